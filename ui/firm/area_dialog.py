"""An area of a site, a new one or one to be changed: its name and how harshly things are used in it."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_text
from register.services.firm import AreaRow, Redated, SiteRow
from register.services.rulebooks import rulebook
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, Picked
from ui.firm.effect import WAIT_MS, effect_block, effect_words
from ui.look.widgets import Words


@dataclass(frozen=True, slots=True)
class AreaMeant:
    """What was typed: the area is None where it is a new one, the class where the site's is to hold."""

    area: AreaRow | None
    site_id: str
    name: str
    environment: str | None


class AreaDialog(Dialog):
    """Asks for it. Signal `rehearsal` wants to know what a class would do to the dates."""

    rehearsal = Signal(object)

    def __init__(self, window: QWidget, site: SiteRow, area: AreaRow | None, deed: Callable[[AreaMeant], None]) -> None:
        super().__init__(window, "Change the area" if area else "Add an area")
        self._site, self._opened, self._deed = site, area, deed
        self.body.addWidget(Words(f"{site.facts.name} ({site.code})", 13, 500, "ink2"))
        self.name = QLineEdit(area.name if area else "")
        self.name_field = Field("Name", self.name, "Such as the one on its door.")
        self.body.addWidget(self.name_field)
        classes = rulebook(site.facts.rulebook).environments.values()
        choices: list[tuple[object, str]] = [(None, f"The site's: {site.environment}")]
        self.environment = Picked([*choices, *((each.id, each.title) for each in classes)])
        self.environment.choose(area.own if area else None)
        self.body.addWidget(Field("Class", self.environment, "How harshly things are used there."))
        self.effect = effect_block()
        self.body.addWidget(self.effect)
        self.answers(leave="Leave it", verb="Save", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self._wait = QTimer(self, singleShot=True, interval=WAIT_MS)
        self._wait.timeout.connect(self._ask)
        self.environment.currentIndexChanged.connect(self._wait.start)
        self.name.setFocus()

    @property
    def meant(self) -> AreaMeant:
        """What is typed at present."""
        chosen = self.environment.chosen
        environment = None if chosen is None else str(chosen)
        return AreaMeant(self._opened, self._site.id, clean_text(self.name.text()), environment)

    def show_effect(self, asked: AreaMeant, done: Redated) -> None:
        """Show what the class would do to the dates, unless another one is chosen by now."""
        if not self.gone and asked.environment == self.meant.environment:
            self.effect.say(*effect_words(done))
            self.effect.show()
            self.complain("")

    def show_refusal(self, _asked: object, why: str) -> None:
        """Say why it can't be."""
        if self.gone:
            return
        self.effect.hide()
        self.complain(why)

    def _ask(self) -> None:
        if self._opened is not None and self.meant.environment != self._opened.own:
            meant = self.meant
            self.rehearsal.emit(AreaMeant(self._opened, meant.site_id, self._opened.name, meant.environment))
        else:
            self.effect.hide()
            self.fit()

    def _save(self) -> None:
        missing = "" if self.meant.name else "Give the area a name, such as the one on its door."
        self.name_field.complain(missing)
        if missing:
            self.name.setFocus()
            self.fit()
            return
        self._deed(self.meant)

"""Moving an item: the new dates are shown before it is done, worked out by a rehearsal."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from register.domain.words import first_word
from register.services.editing import Changed, DutyMove, ItemForm
from register.services.place_choices import SiteWithAreas
from ui.asking.dialog import Dialog
from ui.asking.place_fields import PlaceFields
from ui.dates import shown
from ui.look.widgets import Words
from ui.register_page.prose import Prose


@dataclass(frozen=True, slots=True)
class Place:
    """Where an item is to be: the site's id, and the area's name."""

    site_id: str
    area: str


class MoveDialog(Dialog):
    """Asks where to. Signal `place_meant` asks for a rehearsal, whose answer goes to `show_dates` or `not_possible`."""

    place_meant = Signal(object)

    def __init__(
        self,
        window: QWidget,
        form: ItemForm,
        sites: tuple[SiteWithAreas, ...],
        today: date,
        deed: Callable[[Place], None],
    ) -> None:
        super().__init__(window, "Move this item")
        self._today = today
        self._deed, self._form = deed, form
        self.about(form.tag, form.facts.description, f"{form.site}, {form.area}")
        self.place = PlaceFields(sites, form.site_id, form.area)
        self.body.addWidget(self.place)
        self._dates = QVBoxLayout()
        self._dates.setSpacing(8)
        self.body.addLayout(self._dates)
        self._title = Words("", 13, 600, wrap=True)
        self._dates.addWidget(self._title)
        self._grid: QWidget | None = None
        self.answers(leave="Leave it there", verb="Move", key="Ctrl+Return", deed=self._move, hint="Enter is off here.")
        self._wait = QTimer(self, singleShot=True, interval=120)
        self._wait.timeout.connect(self._ask)
        self.place.changed.connect(self._wait.start)
        self.place.site.setFocus()
        self._say("Choose where it goes; its dates there are shown here before it is moved.", ())

    @property
    def meant(self) -> Place | None:
        """Where the item is to be; None where no site is meant or it is there already."""
        site = self.place.chosen
        if site is None or (site.id == self._form.site_id and self.place.area_name == self._form.area):
            return None
        return Place(site.id, self.place.area_name)

    def show_dates(self, asked: Place, changed: Changed) -> None:
        """Show what the move would do to the dates, unless another place is meant by now."""
        if asked != self.meant:
            return
        self.complain("")
        moved = {duty.duty for duty in changed.moved}
        said = f"Used there as {changed.environment}: " + (
            "its dates change." if moved else "its dates stay as they are."
        )
        if any(duty.after is not None and duty.after < self._today for duty in changed.moved):
            said += " It would be overdue."
        self._say(said, changed.duties)

    def not_possible(self, asked: Place, error: Exception) -> bool:
        """Say why the item can't be moved there; False where that is a fault of the program."""
        if asked != self.meant:
            return True
        self._say("", ())
        return self.refused(error)

    def _ask(self) -> None:
        self.complain("")
        if self.meant is not None:
            self.place_meant.emit(self.meant)
        else:
            self._say("It is there now." if self.place.chosen is not None else "", ())

    def _move(self) -> None:
        if not self.place.check():
            return
        if self.meant is None:
            self.complain("It is there already. Choose another site or area.")
            return
        self._deed(self.meant)

    def _say(self, title: str, duties: tuple[DutyMove, ...]) -> None:
        self._title.setText(title)
        if self._grid is not None:
            self._dates.removeWidget(self._grid)
            self._grid.deleteLater()
        self._grid = _dates(duties)
        self._dates.addWidget(self._grid)
        self._grid.show()
        if self.isVisible():
            self.fit()


def _dates(duties: tuple[DutyMove, ...]) -> QWidget:
    """Return the duties with their dates before and after."""
    widget = QWidget()
    grid = QGridLayout(widget)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(20)
    grid.setVerticalSpacing(4)
    grid.setColumnStretch(0, 1)
    if duties:
        for place, head in enumerate(("", "now", "there")):
            words = Words(head, 12, 500, "ink3")
            words.setAlignment(Qt.AlignmentFlag.AlignRight)
            grid.addWidget(words, 0, place)
    for line, duty in enumerate(duties):
        same = duty.before == duty.after
        title = Words(first_word(duty.duty), 13, 600)
        title.setContentsMargins(0, 0 if line == 0 else 8, 0, 0)
        grid.addWidget(title, 2 * line + 1, 0)
        for place, (day, weight) in enumerate(((duty.before, 400), (duty.after, 400 if same else 600)), start=1):
            words = Words(shown(day) or "no date", 13, weight, "ink2" if same or place == 1 else "ink")
            words.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)
            grid.addWidget(words, 2 * line + 1, place)
        grid.addWidget(Prose(duty.why), 2 * line + 2, 0, 1, 3)
    return widget

"""A van: what it is called, its hours and days, how many go with it, and where its day starts and ends."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtWidgets import QLineEdit, QWidget

from register.planning.travel import Place, place_from
from register.services.week.plan_settings import keep_plan_settings, plan_settings
from register.services.week.visiting import MOST_PEOPLE, VanFacts, VanRow, clock_words, hours_from, keep_van
from register.store.engine import Change
from ui.asking.carrying_out import carry_out
from ui.asking.days import day_field
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, beside
from ui.asking.reading import Reading, needed, whole
from ui.page import Desk

WIDE = 600


@dataclass(frozen=True, slots=True)
class VanMeant:
    """The van that was typed, the one that was opened (None for a new one), and the base (None leaves it)."""

    facts: VanFacts
    opened: VanRow | None = None
    base: Place | None = None


def keep_meant(change: Change, meant: VanMeant) -> str:
    """Enter the van, and the base where one was given; return the van's name."""
    keep_van(change, meant.facts, opened=meant.opened)
    if meant.base is not None:
        kept = plan_settings(change.session.connection())
        keep_plan_settings(change, replace(kept, base=meant.base))
    return meant.facts.name


def ask_van(page: QWidget, desk: Desk, opened: VanRow | None = None) -> None:
    """Ask for a van and enter it, or for what is to change of one."""

    def found(base: Place | None) -> None:
        dialog = VanDialog(page.window(), opened, lambda meant: _keep(desk, dialog, meant), base=base)
        dialog.open()

    desk.jobs.ask(lambda connection: plan_settings(connection).base, found)


def _keep(desk: Desk, dialog: "VanDialog", meant: VanMeant) -> None:
    def done(name: str) -> None:
        dialog.accept()
        desk.messages.tell(f"{name} is {'added' if meant.opened is None else 'changed'}.")

    carry_out(desk, dialog, lambda change: keep_meant(change, meant), done)


class VanDialog(Dialog):
    """Asks for a van; `deed` gets it. The base is asked for along with it where nobody has said it yet."""

    def __init__(
        self, window: QWidget, opened: VanRow | None, deed: Callable[[VanMeant], None], *, base: Place | None = None
    ) -> None:  # fmt: skip
        super().__init__(window, f"Change {opened.facts.name}" if opened else "Add a van", wide=WIDE)
        self._opened, self._deed = opened, deed
        facts = opened.facts if opened else VanFacts("Van 1")
        hours = f"{clock_words(facts.start)}-{clock_words(facts.until)}"
        self.name = Field("Van", QLineEdit(facts.name), "What it is called in the yard.")
        self.people = Field("People", QLineEdit(str(facts.people)), "How many go with it. Some sites need two.")
        self.hours = Field("Hours", QLineEdit(hours), "From leaving to being back.")
        self.days, self._boxes = day_field("Days", facts.days)
        self.base = Field(
            "Base", QLineEdit(), "Where vans start and end, as latitude, longitude, such as -37.9, 148.6."
        )
        self.start = Field("Starts elsewhere", QLineEdit(facts.start_place), "Latitude, longitude. Empty: the base.")
        self.end = Field("Ends elsewhere", QLineEdit(facts.end_place), "Latitude, longitude. Empty: the base.")
        self.body.addLayout(beside(self.name, self.people))
        self.body.addWidget(self.hours)
        self.body.addWidget(self.days)
        self.body.addWidget(self.base)
        self.base.setVisible(base is None)
        self.body.addLayout(beside(self.start, self.end))
        verb = "Save" if opened else "Add"
        self.answers(leave="Leave it", verb=verb, key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self.name.widget.setFocus()

    def _save(self) -> None:
        """Hand on what was typed, or say under the field what is wrong with it."""
        read = Reading()
        start, until = read.of(self.hours, hours_from, (0, 0))
        facts = VanFacts(
            name=read.of(self.name, needed("Give the van a name, such as what it is called in the yard."), ""),
            start=start,
            until=until,
            people=read.of(self.people, whole(1, MOST_PEOPLE), 1),
            days=self._boxes.chosen,
            start_place=str(read.of(self.start, place_from, None) or ""),
            end_place=str(read.of(self.end, place_from, None) or ""),
        )
        base = read.of(self.base, place_from, None)
        self.days.complain("" if facts.days else "Choose at least one day of the week.")
        wrong = read.wrong or (None if facts.days else self.days)
        if wrong is not None:
            wrong.widget.setFocus()
            self.fit()
            return
        self._deed(VanMeant(facts, self._opened, base))

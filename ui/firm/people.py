"""People and instruments: who may test until when, and which instruments are calibrated until when."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

from register.domain.words import Result, counted
from register.services import people
from register.services.people import InstrumentRow, TesterRow
from ui.dates import shown
from ui.firm.empty import Empty
from ui.firm.lists import Shelf
from ui.firm.people_dialog import InstrumentDialog, PersonMeant, TesterDialog
from ui.firm.section import Section, listed
from ui.look.widgets import Words, button
from ui.page import Desk
from ui.table.model import Column

NEAR = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Line:
    """A person or an instrument as it is listed. `verdict` picks glyph and colour of the words in `state`."""

    row: TesterRow | InstrumentRow
    verdict: Result
    state: str


def line_of(row: TesterRow | InstrumentRow, until: date | None, today: date) -> Line:
    """Return how it stands on a day: valid through its last day, expired from the next one."""
    if until is None:
        return Line(row, Result.INCOMPLETE, "No date given")
    if until < today:
        return Line(row, Result.FAIL, "Expired")
    left = until - today
    near = f", {counted(left.days, 'day')} left" if left <= NEAR else ""
    return Line(row, Result.PASS, f"Valid{near}")


TESTERS = (
    Column("state", "Standing", lambda line: line.state, 168, "verdict"),
    Column("name", "Tester", lambda line: line.row.name, 220, "name"),
    Column("licence", "Competence or licence", lambda line: line.row.licence, 0, "code"),
    Column("until", "Valid until", lambda line: shown(line.row.expires_on), 132),
)
INSTRUMENTS = (
    Column("state", "Standing", lambda line: line.state, 168, "verdict"),
    Column("serial", "Serial number", lambda line: line.row.serial, 220, "code"),
    Column("description", "Instrument", lambda line: line.row.description, 0, "name"),
    Column("until", "Calibrated until", lambda line: shown(line.row.calibrated_until), 132),
)


class PeopleSection(Section):
    """The section: two lists, one above the other. Enter on a row changes it."""

    key = "people"
    title = "People and instruments"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.testers = Shelf(TESTERS, "Testers", lambda line: line.row.id)
        self.instruments = Shelf(INSTRUMENTS, "Instruments", lambda line: line.row.id)
        self._add_tester, self._change_tester = button("Add a tester…", "primary"), button("Change tester…")
        self._add_instrument, self._change_instrument = button("Add an instrument…"), button("Change instrument…")
        self._of_testers, self._of_instruments = (
            Words("", 12, 400, "ink2", elide=True),
            Words("", 12, 400, "ink2", elide=True),
        )
        self._no_tester = Empty(
            "No tester yet", "Each record names who measured. Add whoever tests for you with “Add a tester…”."
        )
        self._no_instrument = Empty(
            "No instrument yet", "Each record names what was measured with. Enter yours with “Add an instrument…”."
        )
        self.head()
        for title, about, empty, shelf, buttons in (
            ("Testers", self._of_testers, self._no_tester, self.testers, (self._change_tester, self._add_tester)),
            ("Instruments", self._of_instruments, self._no_instrument, self.instruments,
             (self._change_instrument, self._add_instrument)),
        ):  # fmt: skip
            self.column.addWidget(listed(title, about, empty, shelf, buttons), 1)
        desk.deeds.leads_to_change(self._add_tester, self._change_tester, self._add_instrument, self._change_instrument)
        self.testers.view.chosen.connect(self.change_tester)
        self.instruments.view.chosen.connect(self.change_instrument)
        self._add_tester.clicked.connect(partial(self._ask_tester, None))
        self._change_tester.clicked.connect(self.change_tester)
        self._add_instrument.clicked.connect(partial(self._ask_instrument, None))
        self._change_instrument.clicked.connect(self.change_instrument)

    def refresh(self) -> None:
        """Read both lists."""
        self.desk.jobs.ask(lambda connection: (people.testers(connection), people.instruments(connection)), self._take)

    def _take(self, found: tuple[list[TesterRow], list[InstrumentRow]]) -> None:
        today = self.desk.jobs.today
        testers = [line_of(row, row.expires_on, today) for row in found[0]]
        instruments = [line_of(row, row.calibrated_until, today) for row in found[1]]
        for lines, shelf, empty, about, change in (
            (testers, self.testers, self._no_tester, self._of_testers, self._change_tester),
            (instruments, self.instruments, self._no_instrument, self._of_instruments, self._change_instrument),
        ):
            shelf.show(lines)
            shelf.view.setVisible(bool(lines))
            empty.setVisible(not lines)
            about.say(_about(lines))
            change.setEnabled(bool(lines))

    def change_tester(self, _key: object = None) -> None:
        """Ask what is to change of the tester under the cursor."""
        line = self.testers.current
        if line is not None:
            self._ask_tester(line.row)

    def change_instrument(self, _key: object = None) -> None:
        """Ask what is to change of the instrument under the cursor."""
        line = self.instruments.current
        if line is not None:
            self._ask_instrument(line.row)

    def _ask_tester(self, row: TesterRow | None, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - Qt's signal
        self.open(TesterDialog(self.window(), row, self._keep_tester))

    def _ask_instrument(self, row: InstrumentRow | None, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - Qt's signal
        self.open(InstrumentDialog(self.window(), row, self._keep_instrument))

    def _keep_tester(self, meant: PersonMeant) -> None:
        opened = meant.opened if isinstance(meant.opened, TesterRow) else None
        self.carry_out(
            lambda change: people.keep_tester(change, meant.name, meant.more, meant.until, opened=opened),
            partial(self._kept, meant.name),
        )  # fmt: skip

    def _keep_instrument(self, meant: PersonMeant) -> None:
        opened = meant.opened if isinstance(meant.opened, InstrumentRow) else None
        self.carry_out(
            lambda change: people.keep_instrument(change, meant.name, meant.more, meant.until, opened=opened),
            partial(self._kept, meant.name),
        )  # fmt: skip

    def _kept(self, name: str, _key: str) -> None:
        if self.dialog is not None:
            self.dialog.accept()
        self.desk.messages.tell(f"{name} is kept.")


def _about(lines: list[Line]) -> str:
    expired = sum(line.verdict is Result.FAIL for line in lines)
    return f"{len(lines)}, {expired} expired" if expired else f"{len(lines)}" if lines else ""

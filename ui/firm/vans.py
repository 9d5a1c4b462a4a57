"""Vans and days: who goes out and when, the days on which nobody does, and what holds for all drives."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import Any, Final

from register.domain.words import Result, counted
from register.exchange.week.distances import DrivesRead, read_drives
from register.planning.kept_settings import PlanSettings
from register.planning.travel import Leg, Pair
from register.services.firm import sites
from register.services.week.plan_settings import (
    BY_USER,
    DayOff,
    add_days_off,
    drives,
    keep_drives,
    keep_plan_settings,
    named_days,
    plan_settings,
    turn_day,
)  # fmt: skip
from register.services.week.visiting import VanRow, clock_words, end_van, vans
from register.store.engine import Change
from ui.asking.days import SHORT
from ui.asking.van import ask_van
from ui.dates import shown, shown_with_weekday
from ui.firm.drives_dialog import DrivesDialog
from ui.firm.empty import Empty
from ui.firm.lists import Shelf
from ui.firm.plan_dialogs import DaysMeant, DaysOffDialog, PaceDialog
from ui.firm.section import Section, joined, listed
from ui.look.widgets import Words, button
from ui.page import Desk
from ui.table.model import Column

YEAR: Final = timedelta(days=366)
HOLIDAY: Final = "Holiday, off"
SHEETS: Final = "Sheets (*.csv *.xlsx)"


@dataclass(frozen=True, slots=True)
class DayLine:
    """A named day as it is listed. `verdict` picks glyph and colour of the words in `state`."""

    row: DayOff
    verdict: Result
    state: str


@dataclass(frozen=True, slots=True)
class Found:
    """What the section shows."""

    vans: list[VanRow]
    days: list[DayOff]
    settings: PlanSettings
    drives: int


def days_words(days: frozenset[int]) -> str:
    """Return days of the week in words: "Mon to Fri", "Tue, Thu"."""
    there = sorted(days)
    if len(there) > 2 and there == list(range(there[0], there[-1] + 1)):  # noqa: PLR2004 - two are named
        return f"{SHORT[there[0]]} to {SHORT[there[-1]]}"
    return ", ".join(SHORT[day] for day in there)


def _ends(row: VanRow) -> str:
    facts = row.facts
    if not facts.start_place and not facts.end_place:
        return "The base"
    return " / ".join(place or "the base" for place in (facts.start_place, facts.end_place))


VANS = (
    Column("name", "Van", lambda row: row.facts.name, 190, "name"),
    Column("hours", "Hours", lambda row: f"{clock_words(row.facts.start)} to {clock_words(row.facts.until)}", 132),
    Column("days", "Days", lambda row: days_words(row.facts.days), 0),
    Column("people", "People", lambda row: str(row.facts.people), 64, "number"),
    Column("from", "Starts and ends", _ends, 176),
)
DAYS = (
    Column("state", "Standing", lambda line: line.state, 132, "verdict", words=(HOLIDAY,)),
    Column("day", "Day", lambda line: f"{shown_with_weekday(line.row.day)} {line.row.day.year}", 148),
    Column("why", "Why", lambda line: line.row.why, 0, "name"),
    Column("source", "By", lambda line: line.row.source, 196),
)


class VansSection(Section):
    """The section: two lists, one above the other. Enter on a van changes it; Enter on a day turns it."""

    key = "vans"
    title = "Vans and days"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._settings, self._known_drives = PlanSettings(), 0
        self.vans = Shelf(VANS, "Vans", lambda row: row.id)
        self.days = Shelf(DAYS, "Days off", lambda line: line.row.day.isoformat())
        self._pace, self._drives = button("Base, pace and lunch…"), button("Drives…", hint="Drives you know")
        self._add, self._change = button("Add a van…", "primary"), button("Change van…")
        self._end, self._off, self._turn = button("Van is gone…"), button("Add days off…"), button("Work that day")
        self._of_vans, self._of_days = (Words("", 12, 400, "ink2", elide=True) for _each in range(2))
        self._no_van = Empty("No van yet", "A week is planned for the vans that there are. Add one with “Add a van…”.")
        self._no_day = Empty("No day off", "Days on which nobody goes out come here; the state's holidays too.")
        self.head(self._drives, self._pace)
        for title, about, empty, shelf, buttons in (
            ("Vans", self._of_vans, self._no_van, self.vans, (self._end, self._change, self._add)),
            ("Days off", self._of_days, self._no_day, self.days, (self._turn, self._off)),
        ):
            self.column.addWidget(listed(title, about, empty, shelf, buttons), 1)
        self._connect()

    def _connect(self) -> None:
        self.desk.deeds.leads_to_change(
            self._pace, self._drives, self._add, self._change, self._end, self._off, self._turn
        )
        self._drives.clicked.connect(self.change_drives)
        self.vans.view.chosen.connect(self.change_van)
        self.days.view.chosen.connect(self.turn)
        self.days.view.current_changed.connect(self._say_turn)
        self._pace.clicked.connect(self.change_pace)
        self._add.clicked.connect(self.add_van)
        self._change.clicked.connect(self.change_van)
        self._end.clicked.connect(self.end_van)
        self._off.clicked.connect(self.add_days)
        self._turn.clicked.connect(self.turn)

    def refresh(self) -> None:
        """Read vans, days and what holds for all plans."""
        today = self.desk.jobs.today

        def question(connection: Any) -> Found:  # noqa: ANN401 - the worker's own
            days = named_days(connection, today, today + YEAR)
            return Found(vans(connection), days, plan_settings(connection), len(drives(connection)))

        self.desk.jobs.ask(question, self._take)

    def _take(self, found: Found) -> None:
        self._settings, self._known_drives = found.settings, found.drives
        lines = [_line(row) for row in found.days]
        for rows, shelf, empty in ((found.vans, self.vans, self._no_van), (lines, self.days, self._no_day)):
            shelf.show(rows)
            shelf.view.setVisible(bool(rows))
            empty.setVisible(not rows)
        for each in (self._change, self._end):
            each.setEnabled(bool(found.vans))
        self._turn.setEnabled(bool(lines))
        self._of_vans.say(str(len(found.vans)) if found.vans else "")
        self._of_days.say(f"{len(lines)} in the year to come" if lines else "")
        self.about.say(settings_words(found.settings, found.drives))
        self._say_turn()

    def _say_turn(self, _key: str = "") -> None:
        line = self.days.current
        self._turn.setText("Have it off" if line is not None and line.row.worked else "Work that day")

    # --- vans ---

    def add_van(self) -> None:
        """Ask for a new van."""
        ask_van(self, self.desk)

    def change_van(self, _key: object = None) -> None:
        """Ask what is to change of the van under the cursor."""
        if self.vans.current is not None and not self.desk.deeds.only_looking:
            ask_van(self, self.desk, self.vans.current)

    def end_van(self) -> None:
        """Take the van under the cursor out of use, once it is confirmed."""
        row = self.vans.current
        if row is not None and self.desk.messages.confirm(
            f"{row.facts.name} is gone",
            f"No week to come is planned with {row.facts.name}. Weeks that were kept stay as they are.", "It is gone",
        ):  # fmt: skip
            self.desk.jobs.change(partial(_end, row), partial(self._told, f"{row.facts.name} is no longer planned."))

    # --- days and pace ---

    def add_days(self) -> None:
        """Ask for days off."""
        self.open(DaysOffDialog(self.window(), self.desk.jobs.today, self._keep_days))

    def turn(self, _key: object = None) -> None:
        """Work on the day under the cursor, or have it off again."""
        line = self.days.current
        if line is None or self.desk.deeds.only_looking:
            return
        row = line.row
        done = "is off again" if row.worked else "is worked"
        self.desk.jobs.change(partial(_turn, row.day), partial(self._told, f"{shown(row.day)} {done}."))

    def change_pace(self) -> None:
        """Ask for base, pace and lunch."""
        self.open(PaceDialog(self.window(), self._settings, self._keep_pace))

    def _keep_days(self, meant: DaysMeant) -> None:
        self.carry_out(
            lambda change: add_days_off(change, meant.first, meant.last, meant.why),
            lambda count: self._told(f"{counted(count, 'day')} off."),
        )  # fmt: skip

    def _keep_pace(self, kept: PlanSettings) -> None:
        self.carry_out(
            lambda change: keep_plan_settings(change, kept), partial(self._told, "Base, pace and lunch are kept."),
        )  # fmt: skip

    def change_drives(self) -> None:
        """Ask for a sheet of drives."""
        dialog = DrivesDialog(
            self.window(), self._known_drives, lambda: self.desk.messages.open_file("Drives you know", SHEETS),
            lambda path: self._read_drives(dialog, path), self._keep_drives,
        )  # fmt: skip
        self.open(dialog)

    def _read_drives(self, dialog: DrivesDialog, path: Path) -> None:
        def question(connection: Any) -> DrivesRead:  # noqa: ANN401 - the worker's own
            return read_drives(path, [row.code for row in sites(connection)], self._settings.pace)

        def failed(error: Exception) -> None:
            if not dialog.not_read(error):
                self.desk.messages.failure(error)

        self.desk.jobs.ask(question, dialog.show_read, failed=failed)

    def _keep_drives(self, legs: dict[Pair, Leg]) -> None:
        said = f"{counted(len(legs), 'drive is', 'drives are')} kept." if legs else "No drives of yours any more."
        self.carry_out(lambda change: keep_drives(change, legs), partial(self._told, said))

    def _told(self, said: str, _nothing: object = None) -> None:
        if self.dialog is not None:
            self.dialog.accept()
        self.desk.messages.tell(said)


def _end(row: VanRow, change: Change) -> None:
    end_van(change, row)


def _turn(day: date, change: Change) -> None:
    turn_day(change, day)


def _line(row: DayOff) -> DayLine:
    if row.worked:
        return DayLine(row, Result.PASS, "Worked")
    return DayLine(row, Result.INCOMPLETE, "Off" if row.source == BY_USER else HOLIDAY)


def settings_words(settings: PlanSettings, known: int) -> str:
    """Return in words what holds for all plans."""
    lunch = settings.lunch
    return joined([
        f"Base {settings.base}" if settings.base else "No base yet",
        f"{settings.pace.speed_kmh:g} km/h on roads {settings.pace.road_factor:g} times the straight line",
        f"lunch {clock_words(lunch.at)}, {lunch.minutes} min" if lunch.minutes else "no lunch",
        f"{counted(known, 'drive')} of your own" if known else "",
    ])  # fmt: skip

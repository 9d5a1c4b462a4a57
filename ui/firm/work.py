"""Work: how many hours the crew has in a week, and how many minutes each check takes on an item of each kind."""

from decimal import Decimal, InvalidOperation
from functools import partial
from typing import Any, Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLineEdit, QVBoxLayout, QWidget

from register.domain.words import Check, Kind, first_word, spoken
from register.errors import Refused
from register.planning.learnt import LEAST_TIMINGS, Learnt
from register.planning.workload import DEFAULTS, MOST_MINUTES, SOURCE, minutes_from
from register.services.settings import BY_NAME, set_setting, setting
from register.services.week.minutes import learnt_minutes
from register.store.engine import Change
from ui.asking.fields import Field
from ui.firm.section import LARGE, Section, point_at, scrolled
from ui.look.typeface import px
from ui.look.widgets import Sheet, Words, button
from ui.page import Desk

CHECKS: Final = tuple(check for check in Check if any(check in row for row in DEFAULTS.values()))
HEADS: Final = {
    Check.LOOK: "Look", Check.TRIP_TIME: "Trip time", Check.TRIP_CURRENT: "Trip current",
    Check.EARTH_RESISTANCE: "Earth", Check.INSULATION_RESISTANCE: "Insulation", Check.LEAKAGE_CURRENT: "Leakage",
    Check.POLARITY: "Polarity",
}  # fmt: skip
HOURS: Final = BY_NAME["crew_hours"]

Place = tuple[Kind, Check]


class WorkSection(Section):
    """The section. An empty cell is a check that takes no time on that kind, because it isn't made there."""

    key = "work"
    title = "Work"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._kept: dict[Place, str] = {}
        self._kept_hours = ""
        self._save, self._usual = button("Save hours and minutes", "primary"), button("Use the usual minutes")
        self.head(self._usual, self._save)
        self.hours = QLineEdit()
        self.hours.setMaximumWidth(px(120))
        self.hours_field = Field(HOURS.label, self.hours, HOURS.help)
        self.cells = {(kind, check): QLineEdit() for kind in DEFAULTS for check in CHECKS if check in DEFAULTS[kind]}
        self.learnt: dict[Kind, Words] = {}
        self._wrong = Words("", 12, 500, "overdue", wrap=True)
        self._wrong.hide()
        self.setMaximumWidth(px(840))
        self._about = Words("", 12, 400, "ink2", wrap=True)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(16)
        for inside in (self._hours_sheet(), self._minutes_sheet()):
            column.addWidget(inside)
        column.addStretch(1)
        self.column.addWidget(scrolled(body), 1)
        desk.deeds.leads_to_change(self._save, self._usual)
        self._save.clicked.connect(self.save)
        self._usual.clicked.connect(self.use_usual)

    def _hours_sheet(self) -> QWidget:
        sheet = Sheet()
        within = QVBoxLayout(sheet)
        within.setContentsMargins(24, 18, 24, 18)
        within.addWidget(self.hours_field)
        return sheet

    def _minutes_sheet(self) -> QWidget:
        sheet, grid = Sheet(), QGridLayout()
        self._grid = grid
        grid.setVerticalSpacing(6)
        grid.setColumnStretch(0, 1)
        for place, check in enumerate(CHECKS, start=1):
            words = Words(HEADS[check], 12, 500, "ink2")
            words.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            words.setContentsMargins(0, 0, 12, 0)
            grid.addWidget(words, 0, place)
        for line, kind in enumerate(DEFAULTS, start=1):
            grid.addLayout(self._named(kind), line, 0)
            for place, check in enumerate(CHECKS, start=1):
                if (kind, check) in self.cells:
                    grid.addWidget(self._dressed(kind, check), line, place)
        column = self._within = QVBoxLayout(sheet)
        column.setSpacing(6)
        column.addWidget(Words("Minutes of work", 15, 600))
        column.addWidget(self._about)
        column.addWidget(self._wrong)
        column.addSpacing(6)
        column.addLayout(grid)
        return sheet

    def _named(self, kind: Kind) -> QVBoxLayout:
        """Return the name of a kind with, below it, what was learnt about it."""
        column = QVBoxLayout()
        column.setSpacing(1)
        column.addWidget(Words(first_word(kind), 13, 500))
        self.learnt[kind] = Words("", 11, 500, "accent")
        self.learnt[kind].hide()
        column.addWidget(self.learnt[kind])
        return column

    def _dressed(self, kind: Kind, check: Check) -> QLineEdit:
        cell = self.cells[kind, check]
        cell.setAccessibleName(f"Minutes of the {spoken(check)} of a {spoken(kind)}")
        cell.setAlignment(Qt.AlignmentFlag.AlignRight)
        return cell

    def fit(self, across: int, *, narrow: bool) -> None:  # noqa: ARG002 - the width alone decides
        """Set the columns closer where all of them would not fit, as in large type."""
        tight = across < px(LARGE)
        self._grid.setHorizontalSpacing(6 if tight else 10)
        self._within.setContentsMargins(16 if tight else 24, 18, 16 if tight else 24, 20)
        for cell in self.cells.values():
            cell.setFixedWidth(px(50 if tight else 76))

    def refresh(self) -> None:
        """Read hours and minutes."""
        self.desk.jobs.ask(_read, self._take)

    def _take(self, found: tuple[str, Any, dict[Kind, Learnt]]) -> None:
        hours, own, learnt = found
        minutes = minutes_from(own)
        before, before_hours = self._kept, self._kept_hours
        self._kept = {place: f"{minutes.table[place[0]].get(place[1], Decimal(0)):f}" for place in self.cells}
        self._kept_hours = hours
        for place, cell in self.cells.items():
            if cell.text() == before.get(place, ""):
                cell.setText(self._kept[place])
        if self.hours.text() == before_hours:
            self.hours.setText(hours)
        for kind, words in self.learnt.items():
            words.say(learnt_words(learnt[kind], own=kind in minutes.kinds) if kind in learnt else "")
            words.setVisible(kind in learnt)
        own_words = "Your own figures." if minutes.own else f"The usual figures: {SOURCE}. Put your own in their place."
        self._about.say(
            f"{own_words} Finding and tagging an item counts with its look. What your records teach, {LEAST_TIMINGS}"
            " timings of a kind and more, holds in place of the usual figures, never in place of yours."
        )

    @property
    def wrong(self) -> str:
        """What is said to be wrong with the minutes at present; empty where nothing is."""
        return "" if self._wrong.isHidden() else self._wrong.text()

    def save(self) -> None:
        """Keep hours and minutes, if all of them can be."""
        wrong = [place for place, cell in self.cells.items() if _number(cell.text()) is None]
        self._wrong.setVisible(bool(wrong))
        if wrong:
            kind, check = wrong[0]
            said = self.cells[wrong[0]].text()
            more = f" {len(wrong) - 1} more like it." if len(wrong) > 1 else ""
            self._wrong.say(
                f"{first_word(kind)}, {HEADS[check].lower()}: “{said}” is not a number of minutes. Give one from 0 to"
                f" {MOST_MINUTES}.{more}"
            )
        hours = ""
        try:
            hours = HOURS.read(self.hours.text().strip().replace(",", "."))
            self.hours_field.complain("")
        except Refused as why:
            self.hours_field.complain(str(why))
        if not hours or wrong:
            point_at(self.cells[wrong[0]] if hours else self.hours)
            return
        self.desk.jobs.change(partial(_set, hours, self._own()), self._saved)

    def _own(self) -> dict[str, dict[str, str]] | None:
        """Return the figures that are not the usual ones, by their codes; None where there are none."""
        own: dict[str, dict[str, str]] = {}
        for (kind, check), cell in self.cells.items():
            number = _number(cell.text())
            if number is not None and number != DEFAULTS[kind][check]:
                own.setdefault(kind.value, {})[check.value] = f"{number:f}"
        return own or None

    def _saved(self, _nothing: None) -> None:
        self._kept = {place: cell.text() for place, cell in self.cells.items()}
        self._kept_hours = self.hours.text()
        self.desk.messages.tell("Hours and minutes are saved.")

    def use_usual(self) -> None:
        """Put the usual minutes in place of what stands there; nothing is kept before it is saved."""
        for (kind, check), cell in self.cells.items():
            cell.setText(f"{DEFAULTS[kind][check]:f}")
        self._wrong.hide()


def learnt_words(learnt: Learnt, *, own: bool) -> str:
    """Return in words what was learnt of a kind; where the firm has figures of its own, those hold."""
    said = f"{learnt.minutes.normalize():f} min (learnt from {learnt.timings})"
    return f"{said}; yours hold" if own else said


def _read(connection: Any) -> tuple[str, Any, dict[Kind, Learnt]]:  # noqa: ANN401 - a connection, the register's
    return setting(connection, "crew_hours", HOURS.default), setting(connection, "minutes"), learnt_minutes(connection)


def _set(hours: str, minutes: dict[str, dict[str, str]] | None, change: Change) -> None:
    set_setting(change, "crew_hours", hours)
    set_setting(change, "minutes", minutes)


def _number(said: str) -> Decimal | None:
    """Return the minutes that were typed, with a point or a comma; None where it is no number of them."""
    try:
        number = Decimal(said.strip().replace(",", "."))
    except InvalidOperation:
        return None
    return number if number.is_finite() and 0 <= number <= MOST_MINUTES else None

"""The horizon as a table: a row a site, a column for the site, one for what is overdue, and one for each week."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from register.domain.words import counted
from register.planning.workload import time_words
from register.services.horizon import Horizon, SiteWork, Week
from ui.dates import shown
from ui.wanted import ShowItems

SITE: Final = 0
OVERDUE: Final = 1
FIRST_WEEK: Final = 2

ROW_ROLE: Final = Qt.ItemDataRole.UserRole
"""The whole row behind an index."""

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole


@dataclass(frozen=True, slots=True)
class Choice:
    """What is chosen: a site, or all of them where its id is empty, and some days.

    `when` names the days: "Week 49", "Overdue", "13 weeks". `week` is the place of the week, None for all together.
    """

    row: SiteWork
    when: str
    first: date
    last: date
    week: int | None = None
    overdue: bool = False

    @property
    def site(self) -> str | None:
        """The id of the site, None for all."""
        return self.row.site_id or None

    @property
    def where_and_when(self) -> str:
        """What is chosen, in a line: "Boat yard, week 49"."""
        return f"{self.row.name}, {self.when[:1].lower()}{self.when[1:]}"

    def wanted(self) -> ShowItems:
        """Return these items as another page is asked to show them."""
        said = "overdue" if self.overdue else f"due in {self.when[:1].lower()}{self.when[1:]}"
        return ShowItems(self.site, None if self.overdue else self.first, self.last, said)


class WeeksModel(QAbstractTableModel):
    """Rows of the horizon. The totals are one such row in a table of their own."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[SiteWork, ...] = ()
        self.horizon: Horizon | None = None

    def show_rows(self, horizon: Horizon, rows: tuple[SiteWork, ...]) -> None:
        """Show other rows."""
        self.beginResetModel()
        self.horizon, self.rows = horizon, rows
        self.endResetModel()

    @property
    def weeks(self) -> tuple[Week, ...]:
        """The weeks of the columns."""
        return self.horizon.weeks if self.horizon is not None else ()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else FIRST_WEEK + len(self.weeks)

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:  # noqa: ANN401 - Qt's own
        if not index.isValid() or index.row() >= len(self.rows):
            return None
        row, column = self.rows[index.row()], index.column()
        if role == ROW_ROLE:
            return row
        if role == Role.DisplayRole:
            return self._figure(row, column)
        if role in {Role.AccessibleTextRole, Role.ToolTipRole}:
            return self.said(row, column)
        return None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole) -> Any:  # noqa: ANN401
        if role != Role.DisplayRole:
            return None
        if orientation is Qt.Orientation.Vertical:
            return self.rows[section].name if 0 <= section < len(self.rows) else None
        if 0 <= section - FIRST_WEEK < len(self.weeks):
            return f"Week {self.weeks[section - FIRST_WEEK].number}"
        return {SITE: "Site", OVERDUE: "Overdue"}.get(section)

    def choice(self, index: Index) -> Choice | None:
        """Return what a cell stands for."""
        if self.horizon is None or not index.isValid():
            return None
        row, column, weeks = self.rows[index.row()], index.column(), self.weeks
        if column == SITE:
            return Choice(row, f"{len(weeks)} weeks", self.horizon.today, weeks[-1].last)
        if column == OVERDUE:
            before = self.horizon.today - timedelta(days=1)
            return Choice(row, "Overdue", row.oldest or before, before, overdue=True)
        place = column - FIRST_WEEK
        first = max(weeks[place].first, self.horizon.today)
        return Choice(row, f"Week {weeks[place].number}", first, weeks[place].last, place)

    def said(self, row: SiteWork, column: int) -> str:
        """Return a cell in words: "Boat yard, week 49, 14 duties, 96 minutes"."""
        assert self.horizon is not None
        if column == OVERDUE:
            return f"{row.name}, {overdue_words(row, self.horizon.today)}"
        if column == SITE:
            parts = [row.name, row.address, row.environment, work_words(row.ahead.duties, "in these weeks")]
            return ", ".join(part for part in parts if part)
        place = column - FIRST_WEEK
        work, week = row.weeks[place], self.weeks[place]
        minutes = int(work.minutes.to_integral_value("ROUND_HALF_UP"))
        falls = f"{work_words(work.duties)}, {counted(minutes, 'minute')}" if work.duties else "nothing falls due"
        return f"{row.name}, week {week.number}, {falls}"

    def _figure(self, row: SiteWork, column: int) -> str:
        if column == SITE:
            return row.name
        count = (row.overdue or row.never_done) if column == OVERDUE else row.weeks[column - FIRST_WEEK].duties
        return f"{count:,}" if count else ""


def work_words(duties: int, after: str = "") -> str:
    """Return a number of duties: "1 duty", "14 duties in these weeks"."""
    said = counted(duties, "duty", "duties")
    return f"{said} {after}" if after else said


def overdue_words(row: SiteWork, today: date) -> str:
    """Return what of a site is overdue or was never done, in words."""
    parts = []
    if row.overdue and row.oldest is not None:
        parts.append(f"{work_words(row.overdue)} overdue, the oldest {days_words(row.oldest, today)}")
    if row.never_done:
        parts.append(f"{work_words(row.never_done)} never done")
    return ", ".join(parts) or "nothing overdue"


def days_words(day: date, today: date) -> str:
    """Return how long ago a day was: "1 day", "23 days"."""
    return counted((today - day).days, "day")


def span_words(first: date, last: date) -> str:
    """Return days from one to another: "30 Nov to 6 Dec", with the year where it is not the first one's."""
    return f"{short_day(first)} to {short_day(last)}"


def short_day(day: date) -> str:
    """Return a day without its year: "30 Nov"."""
    return shown(day).replace(f"{day.year}", "").strip(" ,.")


def minutes_words(choice: Choice) -> str:
    """Return the minutes of work of what is chosen, as far as the horizon knows them."""
    work = choice.row.weeks[choice.week] if choice.week is not None else choice.row.ahead
    return time_words(work.minutes)

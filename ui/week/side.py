"""Beside the sheet: the routes, how good they are, what is left out and why, what is done already, what to load."""

from collections.abc import Iterable
from datetime import date

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from register.planning.week_rows import PlannedWeek
from register.services.week.beside import Beside
from register.services.week.kept import TodaysVisit
from ui.dates import shown_with_weekday
from ui.look.typeface import px
from ui.look.widgets import Sheet, Words, button
from ui.week.route import RoutePicture

WIDE = 300


class Side(QWidget):
    """The panel beside the week."""

    def __init__(self) -> None:
        super().__init__()
        self.setFixedWidth(px(WIDE))
        self.route = RoutePicture()
        self._km = Words("", 13, 400, "ink2")
        self.allow = button("Let all be visited again", "quiet")
        self.good, self.left_out = Part("How good it is"), Part("Left out")
        self.done, self.load = Part("Done so far"), Part("Load for the week")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 14, 0, 0)
        column.setSpacing(16)
        routes = Sheet()
        inside = QVBoxLayout(routes)
        inside.setContentsMargins(20, 14, 20, 14)
        inside.addLayout(_head("Route", self._km))
        inside.addWidget(self.route)
        column.addWidget(routes)
        column.addWidget(self._told(), 1)

    def _told(self) -> QWidget:
        sheet, lines, area = Sheet(), QWidget(), QScrollArea()
        inside, column = QVBoxLayout(sheet), QVBoxLayout(lines)
        inside.setContentsMargins(20, 14, 4, 12)
        column.setContentsMargins(0, 0, 16, 0)
        column.setSpacing(18)
        for part in (self.good, self.left_out, self.done, self.load):
            column.addWidget(part)
        self.left_out.column.addWidget(self.allow, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setStyleSheet("QScrollArea, QScrollArea > QWidget > QWidget { background: transparent; }")
        area.setAccessibleName("How good it is, what is left out, what is done, and what to load")
        area.setWidget(lines)
        inside.addWidget(area, 1)
        return sheet

    def show_week(self, week: PlannedWeek) -> None:
        """Show what a week's picture leaves unsaid."""
        self.route.show_week(week)
        self._km.say(f"{week.drive_km:.0f} km")
        self.good.show_lines([Words(week.quality.words, 12, 400, "ink2", wrap=True)], "")
        self.allow.setVisible(bool(week.draft.asked.leave_out))
        said = [Words(note, 12, 400, "soon", wrap=True) for note in week.notes]
        for each in week.left_out:
            said.append(Words(each.name, 13, 600, "overdue" if each.pressing else "ink", wrap=True))
            said.append(Words(each.reason, 12, 400, "ink2", wrap=True))
        self.left_out.show_lines(said, str(len(week.left_out)) if week.left_out else "none")

    def show_beside(self, told: Beside) -> None:
        """Show how far the visits up to today have got, and what to load."""
        left = sum(visit.duties > visit.done for _day, visit in told.done)
        rows = [_progress(day, visit) for day, visit in told.done]
        self.done.show_lines(rows, f"{left} not whole" if left else "all")
        self.done.setVisible(bool(rows))
        kit = [Words(f"{each.number} × {each.thing}", 12, 500, "ink", wrap=True) for each in told.kit]
        self.load.show_lines(kit, "")
        self.load.setVisible(bool(kit))


class Part(QWidget):
    """One part of the panel: its title with a few words at the right, and lines below."""

    def __init__(self, title: str) -> None:
        super().__init__()
        self._right = Words("", 13, 400, "ink2")
        self.column, self._lines = QVBoxLayout(self), QVBoxLayout()
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(8)
        self._lines.setSpacing(6)
        self.column.addLayout(_head(title, self._right))
        self.column.addLayout(self._lines)

    def show_lines(self, lines: Iterable[Words], right: str) -> None:
        """Show other lines."""
        self._right.say(right)
        while (item := self._lines.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for line in lines:
            self._lines.addWidget(line)

    @property
    def lines(self) -> list[str]:
        """What stands in it."""
        items = map(self._lines.itemAt, range(self._lines.count()))
        widgets = [item.widget() for item in items if item is not None]
        return [each.text() for each in widgets if isinstance(each, Words)]


def _progress(day: date, visit: TodaysVisit) -> Words:
    """Return the line of a visit: how far it has got, heavier once it is whole."""
    said = f"{shown_with_weekday(day)}, {visit.name}: {visit.done} of {visit.duties} done"
    whole = visit.done >= visit.duties
    return Words(said, 12, 600 if whole else 400, "service" if whole else "ink2", wrap=True)


def _head(title: str, right: Words) -> QHBoxLayout:
    row = QHBoxLayout()
    row.addWidget(Words(title, 13, 600))
    row.addStretch(1)
    row.addWidget(right)
    return row

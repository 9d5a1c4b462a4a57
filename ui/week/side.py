"""Beside the sheet: the routes, what is left out and why, and what had to be assumed."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from register.planning.week_rows import PlannedWeek
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
        self._count = Words("", 13, 400, "ink2")
        self.allow = button("Let all be visited again", "quiet")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 14, 0, 0)
        column.setSpacing(16)
        routes = Sheet()
        inside = QVBoxLayout(routes)
        inside.setContentsMargins(20, 14, 20, 14)
        inside.addLayout(_head("Route", self._km))
        inside.addWidget(self.route)
        column.addWidget(routes)
        self._told = QVBoxLayout()
        self._told.setSpacing(10)
        column.addWidget(self._left_out(), 1)

    def _left_out(self) -> QWidget:
        sheet = Sheet()
        inside = QVBoxLayout(sheet)
        inside.setContentsMargins(20, 14, 4, 12)
        inside.addLayout(_head("Left out", self._count))
        lines = QWidget()
        lines.setLayout(self._told)
        self._told.setContentsMargins(0, 0, 12, 0)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setStyleSheet("QScrollArea, QScrollArea > QWidget > QWidget { background: transparent; }")
        area.setAccessibleName("What is left out, and why")
        area.setWidget(lines)
        inside.addWidget(area, 1)
        inside.addWidget(self.allow, 0, Qt.AlignmentFlag.AlignLeft)
        return sheet

    def show_week(self, week: PlannedWeek) -> None:
        """Show what a week's picture leaves unsaid."""
        self.route.show_week(week)
        self._km.say(f"{week.drive_km:.0f} km")
        self._count.say(str(len(week.left_out)) if week.left_out else "none")
        self.allow.setVisible(bool(week.draft.asked.leave_out))
        while (item := self._told.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.deleteLater()
        for note in week.notes:
            self._told.addWidget(Words(note, 12, 400, "soon", wrap=True))
        for each in week.left_out:
            ink = "overdue" if each.pressing else "ink"
            self._told.addWidget(Words(each.name, 13, 600, ink, wrap=True))
            self._told.addWidget(Words(each.reason, 12, 400, "ink2", wrap=True))
        self._told.addStretch(1)


def _head(title: str, right: Words) -> QHBoxLayout:
    row = QHBoxLayout()
    row.addWidget(Words(title, 13, 600))
    row.addStretch(1)
    row.addWidget(right)
    row.setContentsMargins(0, 0, 12 if title == "Left out" else 0, 0)
    return row

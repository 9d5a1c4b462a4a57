"""What stands in place of the list where nothing is withdrawn, or nothing that the filters let through."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Words, button


class Empty(QWidget):
    """A closed contact, what is true now, how an item would come here, and the ways on."""

    def __init__(self) -> None:
        super().__init__()
        self._head = Words("", 20, 600)
        self._said = Words("", 13, 400, "ink2", wrap=True)
        self._said.setFixedWidth(px(460))
        for words in (self._head, self._said):
            words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.show_all, self.find_item = button("Show all withdrawn", "primary"), button("Find an item")
        self.take_in = button("Take in a spreadsheet…", "primary")
        column, row = QVBoxLayout(self), QHBoxLayout()
        for choice in (self.show_all, self.find_item, self.take_in):
            row.addWidget(choice)
        row.setSpacing(8)
        column.addStretch(2)
        column.addWidget(Painted(_closed_contact), 3)
        for widget in (self._head, self._said):
            column.addWidget(widget, 0, Qt.AlignmentFlag.AlignHCenter)
            column.addSpacing(10)
        column.addLayout(row)
        column.setAlignment(row, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(3)

    def offer(self, *, any_items: bool) -> None:
        """Lead to the items that there are; where there is none yet, to taking in a spreadsheet."""
        self.find_item.setVisible(any_items)
        self.take_in.setVisible(not any_items)

    def show_for(self, filtered: str, out: int) -> None:
        """Say what is true now; `filtered` names the filter, `out` counts what it hides."""
        self._head.say(f"Nothing is withdrawn {filtered}" if filtered else "Nothing is withdrawn")
        self._said.say(
            "An item comes here when a test fails, or when you take it out of service yourself. It leaves by a"
            " complete pass, or for good."
        )
        self._said.setFixedHeight(self._said.heightForWidth(px(460)))
        self.show_all.setVisible(bool(filtered))
        self.show_all.setText(f"Show all {out} withdrawn")


def _closed_contact(painter: QPainter, place: QRectF) -> None:
    """Draw a large closed contact: everything is in service."""
    tokens, middle = colours(), place.center()
    painter.setPen(QPen(QColor(tokens.rule), 2))
    for left, right in ((-84, -46), (46, 84)):
        painter.drawLine(QPointF(middle.x() + left, middle.y()), QPointF(middle.x() + right, middle.y()))
    painter.setPen(QPen(QColor(tokens.service.fill), 4))
    painter.drawLine(QPointF(middle.x() - 36, middle.y()), QPointF(middle.x() + 36, middle.y()))
    for x in (-36, 36):
        draw.box(painter, QRectF(middle.x() + x - 10, middle.y() - 10, 20, 20), tokens.service.fill, None, 10)

"""The card that shows both ways to connect a safety switch: a picture, the steps, what it needs, and the caution."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QBoxLayout, QVBoxLayout, QWidget

from register.domain.words import SetUp
from ui.asking.dialog import Block, Dialog
from ui.bench.setup import CUTS, NEEDS, TITLES
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px, width
from ui.look.widgets import Painted, Sheet, Words

HIGH: Final = 124
STEPS: Final = {
    SetUp.TESTER_FEEDS_DEVICE: (
        "Plug the device into the tester's outlet.",
        "Join the device's outlet to the tester's earth by the return lead.",
        "Switch the device on, then send each test current.",
    ),
    SetUp.DEVICE_FEEDS_TESTER: (
        "Plug the transformer made for RCD testing into the wall outlet.",
        "Plug the device into the transformer, and switch it on.",
        "Plug the tester into the device's outlet, then send each test current.",
    ),
}
PICTURED: Final = {
    SetUp.TESTER_FEEDS_DEVICE: "Picture: the wall outlet feeds the tester, the tester feeds the device, and a return"
    " lead leads from the device's outlet back to the tester's earth.",
    SetUp.DEVICE_FEEDS_TESTER: "Picture: the wall outlet feeds the transformer made for RCD testing, the transformer"
    " feeds the device, and the device feeds the tester.",
}
_CHAIN: Final = {
    SetUp.TESTER_FEEDS_DEVICE: ("wall outlet", "tester", "device"),
    SetUp.DEVICE_FEEDS_TESTER: ("wall outlet", "transformer", "device", "tester"),
}


class SetUpPicture(Painted):
    """One way to connect, drawn: what feeds what from left to right, the device marked, the return lead below."""

    def __init__(self, set_up: SetUp) -> None:
        super().__init__(self._draw)
        self._set_up = set_up
        self.setFixedHeight(px(HIGH))
        self.setAccessibleName(TITLES[set_up])
        self.setAccessibleDescription(PICTURED[set_up])

    def sizeHint(self) -> QSize:
        return QSize(px(360), px(HIGH))

    def _draw(self, painter: QPainter, room: QRectF) -> None:
        tokens, parts = colours(), _CHAIN[self._set_up]
        draw.box(painter, room, tokens.sunk, None, 6)
        names = [width(part, 12, 600) for part in parts]
        left = room.width() - px(24) - sum(names)
        around = min(px(16), max(px(4), left / len(parts) - px(14)))
        wide = [name + around for name in names]
        gap = max(px(8), (room.width() - px(24) - sum(wide)) / max(1, len(parts) - 1))
        x, high, y = room.x() + px(12), px(40), room.y() + px(28)
        places: dict[str, QRectF] = {}
        for number, part in enumerate(parts):
            places[part] = QRectF(x, y, wide[number], high)
            if number:
                self._arrow(painter, x - gap, x, y + high / 2)
            self._box(painter, places[part], part)
            x += wide[number] + gap
        device, tester = places["device"], places["tester"]
        if self._set_up is SetUp.TESTER_FEEDS_DEVICE:
            self._return_lead(painter, room, device, tester)
        else:
            said = "made for RCD testing"
            below = QRectF(places["transformer"].x(), y + high + px(6), room.width(), px(18))
            draw.text(painter, below, said, 11, 500, tokens.ink2)

    @staticmethod
    def _box(painter: QPainter, place: QRectF, part: str) -> None:
        tokens, tested = colours(), part == "device"
        draw.box(
            painter,
            place,
            tokens.accent_soft if tested else tokens.surface,
            tokens.accent if tested else tokens.line,
            5,
        )
        draw.text(painter, place, part, 12, 600 if tested else 500, tokens.ink, draw.CENTRE)

    @staticmethod
    def _arrow(painter: QPainter, left: float, right: float, y: float) -> None:
        ink = QColor(colours().ink2)
        painter.setPen(QPen(ink, 2))
        painter.drawLine(QPointF(left, y), QPointF(right - 2, y))
        tip = px(5)
        painter.drawLine(QPointF(right - 2, y), QPointF(right - 2 - tip, y - tip))
        painter.drawLine(QPointF(right - 2, y), QPointF(right - 2 - tip, y + tip))

    @staticmethod
    def _return_lead(painter: QPainter, room: QRectF, device: QRectF, tester: QRectF) -> None:
        tokens, low = colours(), device.bottom() + px(26)
        painter.setPen(QPen(QColor(tokens.service.fill), 3))
        start, end = device.center().x(), tester.center().x()
        painter.drawPolyline(
            [QPointF(start, device.bottom()), QPointF(start, low), QPointF(end, low), QPointF(end, tester.bottom() + 2)]
        )
        said = "return lead to the tester's earth"
        wide = width(said, 11, 500) + 2
        left = max(room.x() + 8, min((start + end - wide) / 2, room.right() - 8 - wide))
        words = QRectF(left, low + px(2), wide, px(18))
        draw.text(painter, words, said, 11, 500, tokens.ink2, elide=False)


WIDE: Final = 900
"""So wide the two ways stand side by side."""


class SetUpCard(Dialog):
    """Shows both ways side by side. Esc closes it and changes nothing; `other` is called to take the other way."""

    def __init__(self, window: QWidget, chosen: SetUp, other: Callable[[], None]) -> None:
        super().__init__(window, "How to connect the safety switch", wide=WIDE)
        self.body.addWidget(
            Block(
                "cross", lambda: colours().overdue, "overdue", CUTS,
                "Warn people first. Never on a circuit that feeds medical or life-support equipment, alarms or process"
                " plant without its owner's leave. Only a competent person tests; local codes decide.",
            )
        )  # fmt: skip
        way = QBoxLayout.Direction
        row = QBoxLayout(way.LeftToRight if self.width() >= px(WIDE) else way.TopToBottom)
        row.setSpacing(px(16))
        for set_up in SetUp:
            row.addWidget(_way(set_up, chosen=set_up is chosen), 1)
        self.body.addLayout(row)
        note = "Where one of them gives no reading, try the other: some devices can't be tested in one of the two."
        self.body.addWidget(Words(note, 13, 400, "ink2", wrap=True))
        self._other = other
        self.answers(leave="Close", verb="Connect it the other way", key="Alt+O", deed=self._take_other)

    def _take_other(self) -> None:
        self._other()
        self.accept()


def _way(set_up: SetUp, *, chosen: bool) -> Sheet:
    made = Sheet()
    column = QVBoxLayout(made)
    column.setContentsMargins(px(14), px(12), px(14), px(14))
    column.setSpacing(px(8))
    title = TITLES[set_up] + (", as chosen now" if chosen else "")
    column.addWidget(Words(title, 15, 600, wrap=True))
    column.addWidget(SetUpPicture(set_up))
    for number, step in enumerate(STEPS[set_up], 1):
        column.addWidget(Words(f"{number}.  {step}", 13, 400, wrap=True))
    column.addWidget(Words(f"Needs {NEEDS[set_up]}.", 13, 600, wrap=True))
    column.addStretch(1)
    return made

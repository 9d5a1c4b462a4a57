"""The room that the sheet of a week has on the page: it scrolls there, while hours and heads stay in sight."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QResizeEvent
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget

from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted
from ui.week.card import StopCard
from ui.week.places import GUTTER, HEAD, RIM
from ui.week.sheet import WeekSheet


class WeekArea(QScrollArea):
    """The sheet, which scrolls under the heads of its days and under the hours where it is larger than its room."""

    def __init__(self, sheet: WeekSheet) -> None:
        super().__init__()
        self._sheet = sheet
        self.setWidgetResizable(True)
        self.setWidget(sheet)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setStyleSheet(
            "QScrollArea, QScrollArea > QWidget > QWidget { background: transparent; }"
            "QAbstractScrollArea::corner { background: transparent; border: 0; }"
        )
        self._hours = Painted(self._draw_hours, parent=self.viewport())
        self._hours.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.verticalScrollBar().valueChanged.connect(sheet.lift_heads)
        self.verticalScrollBar().valueChanged.connect(self._hours.update)
        sheet.laid_out.connect(self._hours.update)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._follow)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._hours.setGeometry(0, 0, px(GUTTER) - RIM, self.viewport().height())
        self._sheet.lay_out(self.viewport().size())

    def _draw_hours(self, painter: QPainter, place: QRectF) -> None:
        painter.fillRect(place, QColor(colours().ground))
        scrolled = self.verticalScrollBar().value()
        for hour, y in self._sheet.places.hours_in_sight(scrolled):
            line = QRectF(0, y - scrolled - 8, place.width() - 4, 16)
            draw.text(painter, line, f"{hour}:00", 11, 400, colours().ink3, draw.RIGHT, elide=False)

    def _follow(self, _before: object, now: QWidget | None) -> None:
        """Bring what has the focus out from under heads and hours; a mouse points at what is in sight already."""
        if now is None or now.parent() is not self._sheet or QApplication.mouseButtons():
            return
        place, room, across, down = (
            now.geometry(),
            self.viewport(),
            self.horizontalScrollBar(),
            self.verticalScrollBar(),
        )
        least, most = place.right() + RIM - room.width(), place.left() - px(GUTTER)
        across.setValue(min(max(across.value(), least), most))
        if isinstance(now, StopCard):
            least, most = place.bottom() + RIM - room.height(), place.top() - px(HEAD)
            down.setValue(min(max(down.value(), least), most))

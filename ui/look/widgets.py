"""The small widgets that every page is made of: real ones, with names for screen readers, drawn with the tokens."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QApplication,
    QComboBox,
    QFrame,
    QLabel,
    QPushButton,
    QSizePolicy,
    QStyle,
    QStyleOptionButton,
    QStyleOptionComboBox,
    QStylePainter,
    QWidget,
)
from shiboken6 import isValid

from register.domain.words import Standing, spoken
from ui.look import draw
from ui.look.glyphs import STANDING_GLYPHS, glyph
from ui.look.theme import colours, standing_tone, theme
from ui.look.typeface import font, px, width

RING: Final = 4


class Painted(QWidget):
    """A widget drawn by one function, which gets the painter and the widget's place."""

    def __init__(
        self, drawn: Callable[[QPainter, QRectF], None], *, size: QSize | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._drawn = drawn
        if size is not None:
            self.setFixedSize(size)
        theme.changed.connect(self.update)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        self._drawn(painter, QRectF(self.rect()))
        painter.end()


class Sheet(QFrame):
    """A white sheet with a hairline edge."""

    def __init__(self, parent: QWidget | None = None, *, radius: float = 8) -> None:
        super().__init__(parent)
        self._radius = radius
        theme.changed.connect(self.update)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        tokens = colours()
        draw.box(painter, QRectF(self.rect()), tokens.surface, tokens.hair, self._radius)
        painter.end()


class Words(QLabel):
    """Plain text in one of the inks: `ink`, `ink2`, `ink3`, `accent`, or a tone's text such as `overdue`.

    With `elide` it gives way in a narrow row and ends in dots.
    """

    def __init__(
        self, said: str = "", size: int = 13, weight: int = 400, ink: str = "ink", *, wrap: bool = False,
        code: bool = False, elide: bool = False, parent: QWidget | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setFont(font(size, weight, code=code))
        self.setWordWrap(wrap)
        self.setText(said)
        self._elide = elide
        if elide:
            self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._ink = ink
        self._colour()
        theme.changed.connect(self._colour)

    def say(self, said: str, ink: str | None = None) -> None:
        """Show other words, in another ink if one is given."""
        if ink is not None and ink != self._ink:
            self._ink = ink
            self._colour()
        self.setText(said)
        if self._elide:
            self.setToolTip(said)
        if self.wordWrap() and self.minimumWidth() == self.maximumWidth():  # beside what stretches it gets no more
            self.setMinimumHeight(max(0, self.heightForWidth(self.minimumWidth())))

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._elide:
            super().paintEvent(event)
            return
        painter, room = QPainter(self), QRectF(self.rect())
        painter.setPen(QColor(self._shade()))
        shown = QFontMetricsF(self.font()).elidedText(self.text(), Qt.TextElideMode.ElideRight, room.width() + 0.5)
        painter.drawText(room, int(draw.LEFT | Qt.AlignmentFlag.AlignVCenter) | Qt.TextFlag.TextSingleLine, shown)
        painter.end()

    def _shade(self) -> str:
        colour = getattr(colours(), self._ink)
        return colour if isinstance(colour, str) else str(colour.text)

    def _colour(self) -> None:
        self.setStyleSheet(f"color: {self._shade()}; background: transparent;")


class Drop(QPushButton):
    """A button that opens a menu, with the mark of all that opens one."""

    def __init__(self, said: str) -> None:
        super().__init__(said)
        self.setProperty("drop", True)  # noqa: FBT003 - Qt's own
        theme.changed.connect(self.update)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, option, size = QStylePainter(self), QStyleOptionButton(), 14
        self.initStyleOption(option)
        option.features &= ~QStyleOptionButton.ButtonFeature.HasMenu  # whose mark the style would make room for
        painter.drawControl(QStyle.ControlElement.CE_PushButton, option)
        ink = colours().ink2 if self.isEnabled() else colours().ink3
        glyph(painter, "down", self.width() - size - 12, (self.height() - size) / 2, size, ink)
        painter.end()


def button(said: str, kind: str = "", *, name: str = "", hint: str = "", drop: bool = False) -> QPushButton:
    """Return a push button: `primary` (one a page), `quiet`, `line` (low), or plain. Enter elsewhere presses none.

    One that is to `drop` opens a menu.
    """
    made = Drop(said) if drop else QPushButton(said)
    made.setProperty("kind", kind)
    made.setFont(font(13, 600 if kind == "primary" else 500))
    made.setAutoDefault(False)
    made.setCursor(Qt.CursorShape.PointingHandCursor)
    if name:
        made.setAccessibleName(name)
    if hint:
        made.setToolTip(hint)
    return made


class Chip(QAbstractButton):
    """A filter that is on or off: a glyph, a word, a count. `removable` shows the cross that takes it away."""

    def __init__(
        self, said: str, *, standing: Standing | None = None, count: str = "", drop: bool = False,
        removable: bool = False, parent: QWidget | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self.setText(said)
        self.setCheckable(not drop)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._standing = standing
        self._count = count
        self._end = "close" if removable else "down" if drop else ""
        self._rename()
        theme.changed.connect(self.update)

    def say(self, said: str) -> None:
        """Show another word."""
        self.setText(said)
        self._rename()
        self.updateGeometry()

    def set_count(self, count: str) -> None:
        """Show another count."""
        if count != self._count:
            self._count = count
            self._rename()
            self.updateGeometry()
            self.update()

    def _rename(self) -> None:
        self.setAccessibleName(f"{self.text()}, {self._count}" if self._count else self.text())

    def sizeHint(self) -> QSize:
        wide = 24 + (22 if self._standing else 0) + width(self.text(), 13, 600)
        wide += (8 + width(self._count, 12, 500)) if self._count else 0
        return QSize(int(wide + (22 if self._end else 0)) + 1, px(32))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        place, on = QRectF(self.rect()), self.isChecked()
        ground = tokens.accent_soft if on else tokens.hover if self.underMouse() else tokens.surface
        draw.box(painter, place, ground, tokens.accent if on else tokens.rule, 6)
        x, height = 12.0, place.height()
        if self._standing is not None:
            tone = standing_tone(self._standing)
            glyph(painter, STANDING_GLYPHS[self._standing], x, height / 2 - 8, 16, tone.fill)
            x += 22
        words = QRectF(x, 0, place.width(), height)
        x = draw.text(painter, words, self.text(), 13, 600 if on else 500, elide=False)
        if self._count:
            draw.text(painter, QRectF(x + 8, 0, 80, height), self._count, 12, 500, tokens.ink2)
        if self._end:
            glyph(painter, self._end, place.width() - 26, height / 2 - 7, 14, tokens.ink2)
        painter.end()


class TagLabel(QWidget):
    """A tag number, drawn as the tag it is printed on."""

    def __init__(self, number: str = "", *, height: int = 28, size: int = 15, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._number, self._height, self._size = number, height, size
        theme.changed.connect(self.update)
        self.show_number(number)

    def show_number(self, number: str) -> None:
        """Show another number."""
        self._number = number
        self.setAccessibleName(f"Tag {number}")
        self.setFixedSize(int(draw.tag_width(number, px(self._height), self._size, 600)) + 1, px(self._height))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        if self._number:
            draw.tag(painter, 0, 0, self._number, px(self._height), self._size, 600, colours().ink2)
        painter.end()


class StandingLabel(QWidget):
    """A standing: its glyph and its word, in its colour."""

    def __init__(self, standing: Standing | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._standing = standing
        theme.changed.connect(self.update)
        self.show_standing(standing)

    def show_standing(self, standing: Standing | None) -> None:
        """Show another standing; None shows nothing."""
        self._standing = standing
        word = standing_word(standing) if standing else ""
        self.setAccessibleName(word)
        self.setFixedSize(int(width(word, 13, 600)) + 26, px(28))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._standing is None:
            return
        painter, tone = QPainter(self), standing_tone(self._standing)
        height = self.height()
        glyph(painter, STANDING_GLYPHS[self._standing], 0, height / 2 - 8, 16, tone.fill)
        words = QRectF(24, 0, self.width() - 24, height)
        draw.text(painter, words, standing_word(self._standing), 13, 600, tone.text, elide=False)
        painter.end()


def standing_word(standing: Standing) -> str:
    """Return a standing as it is shown: "Due soon"."""
    return spoken(standing).capitalize()


class PickBox(QComboBox):
    """A field that offers a few values, with the mark that says so; what has no room ends in an ellipsis."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        theme.changed.connect(self.update)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, option, style, size = QStylePainter(self), QStyleOptionComboBox(), self.style(), px(14)
        self.initStyleOption(option)
        room = style.subControlRect(
            QStyle.ComplexControl.CC_ComboBox, option, QStyle.SubControl.SC_ComboBoxEditField, self
        ).width()
        option.currentText = option.fontMetrics.elidedText(option.currentText, Qt.TextElideMode.ElideRight, room)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        glyph(painter, "down", self.width() - size - px(8), (self.height() - size) / 2, size, colours().ink2)
        painter.end()


_MOVES: Final = frozenset({QEvent.Type.Move, QEvent.Type.Resize, QEvent.Type.Show})


class FocusRing(QWidget):
    """The ring around whatever has the focus, drawn above everything in a window."""

    def __init__(self, host: QWidget) -> None:
        super().__init__(host)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._host = host
        self._followed: QWidget | None = None
        self._around: list[QWidget] = []
        self._seen = QRect()
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._follow)
        theme.changed.connect(self.update)
        self.hide()

    def _follow(self, _before: QWidget | None, now: QWidget | None) -> None:
        for each in self._around:
            if isValid(each):
                each.removeEventFilter(self)
        inside = now is not None and self._host.isAncestorOf(now) and now.property("ring") is not False
        self._followed = now if inside else None
        self._around = [] if self._followed is None else self._chain(self._followed)
        for each in self._around:
            each.installEventFilter(self)
            self._heed_scrolling(each)
        self._place()

    def _chain(self, widget: QWidget) -> list[QWidget]:
        """Return a widget and all that it lies in, up to the window."""
        found: list[QWidget] = []
        at: QWidget | None = widget
        while at is not None and at is not self._host:
            found.append(at)
            at = at.parentWidget()
        return found

    def _heed_scrolling(self, around: QWidget) -> None:
        """Follow what scrolls as well: a widget that is scrolled does not move within its parent."""
        if around is not self._followed and isinstance(around, QAbstractScrollArea) and not around.property("heeded"):
            around.setProperty("heeded", True)  # noqa: FBT003 - Qt's own
            for bar in (around.verticalScrollBar(), around.horizontalScrollBar()):
                bar.valueChanged.connect(self._place)

    def eventFilter(self, watched: object, event: QEvent) -> bool:
        """Keep the ring in place while what it follows moves, or what that lies in."""
        if event.type() in _MOVES and watched in self._around:
            self._place()
        elif event.type() is QEvent.Type.Hide and watched in self._around:
            self.hide()
        return False

    def _place(self, _scrolled: int = 0) -> None:
        followed = self._followed
        if followed is None or not isValid(followed) or not followed.isVisible() or followed.visibleRegion().isEmpty():
            self.hide()
            return
        ring = self._mapped(followed).adjusted(-RING, -RING, RING, RING)
        self.setGeometry(ring)
        self._seen = ring
        for each in self._around:
            area = each.parentWidget()
            if isinstance(area, QAbstractScrollArea) and area.viewport() is each:
                self._seen &= self._mapped(each).adjusted(-RING, -RING, RING, RING)
        self._seen.translate(-ring.topLeft())
        self.raise_()
        self.show()
        self.update()

    def _mapped(self, widget: QWidget) -> QRect:
        return QRect(widget.mapTo(self._host, QPoint(0, 0)), widget.size())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setClipRect(self._seen)
        draw.box(painter, QRectF(self.rect()), None, colours().accent, 9, 2)
        painter.end()

"""A dialog over the window: the page is dimmed, the title says the deed, Enter answers nothing, so a scanner can't."""

import threading
from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QObject, QPoint, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import QDialog, QFrame, QHBoxLayout, QLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from register.errors import Refused, Unavailable
from register.services.clashes import Clash
from ui.jobs import SLOW_MS
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import Tone, colours, theme
from ui.look.typeface import px
from ui.look.widgets import FocusRing, TagLabel, Words, button

WIDE: Final = 560
EDGE: Final = 32
AROUND: Final = 24
"""So much of the window stays in sight above and below a dialog."""


class Veil(QWidget):
    """Dims a window while something is asked over it."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        window.installEventFilter(self)
        self.setGeometry(window.rect())
        theme.changed.connect(self.update)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay as large as the window."""
        if event.type() is QEvent.Type.Resize and isinstance(watched, QWidget):
            self.setGeometry(watched.rect())
        return False

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(colours().veil))
        painter.end()


class Dialog(QDialog):
    """What every dialog has: a title, the item that it is about, a body that scrolls, buttons named by their deeds.

    Leaving it lets go of what it still gathers from the register. While its deed is under way, the way out cancels the
    deed instead; one that was cancelled or refused leaves the dialog open, with all that was typed.
    """

    def __init__(self, window: QWidget, title: str, *, wide: int = WIDE) -> None:
        super().__init__(window, Qt.WindowType.Dialog | Qt.WindowType.FramelessWindowHint)
        self.setAttribute(Qt.WidgetAttribute.WA_TranslucentBackground)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(title)
        self.resize(min(px(wide), window.width() - AROUND), px(200))
        self._host = window
        self.gone = False
        self._veil: Veil | None = None
        self._column = QVBoxLayout(self)
        self._column.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        low = window.height() < px(700)
        self._column.setContentsMargins(1, 20 if low else 28, 1, 16 if low else 24)
        self._column.setSpacing(0)
        self._head = QVBoxLayout()
        self._head.setContentsMargins(EDGE, 0, EDGE, 0)
        self._head.setSpacing(12)
        self._head.addWidget(Words(title, 20, 600))
        self._column.addLayout(self._head)
        self._column.addSpacing(12 if low else 20)
        self._fill(low=low)
        self._column.addWidget(self._area, 1)
        self._wrong = Words("", 13, 500, "overdue", wrap=True)
        self._wrong.setContentsMargins(EDGE, 12, EDGE, 0)
        self._wrong.hide()
        self._column.addWidget(self._wrong)
        self._foot = QHBoxLayout()
        self._foot.setContentsMargins(EDGE, 12 if low else 20, EDGE, 0)
        self._foot.setSpacing(8)
        self._column.addLayout(self._foot)
        self._ring = FocusRing(self)
        self._asked_for = threading.Event()
        self._cancel: Callable[[], object] | None = None
        self.cancelled = False
        self._clash: Clash | None = None
        self._slow = QTimer(self, singleShot=True, interval=SLOW_MS)
        self._slow.timeout.connect(self._show_work)
        self.finished.connect(self._leave)
        theme.changed.connect(self.update)

    def _fill(self, *, low: bool) -> None:
        """Make the part that scrolls; its height follows what is asked and said in it."""
        self._area = _body_area()
        self._inside = QWidget()
        self._inside.installEventFilter(self)
        self._fit_soon = QTimer(self, singleShot=True, interval=0)
        self._fit_soon.timeout.connect(self.fit)
        self.body = QVBoxLayout(self._inside)
        self.body.setContentsMargins(EDGE, 2, EDGE, 6)
        self.body.setSpacing(12 if low else 20)
        self._area.setWidget(self._inside)
        self._inside.setAutoFillBackground(False)

    def accept(self) -> None:
        """Close as done; nothing where it was left in the meantime, while the register was still at work."""
        if not self.gone:
            super().accept()

    def reject(self) -> None:
        """Leave everything as it is; where the deed is under way already, cancel it and stay."""
        cancel = self._cancel
        if cancel is None:
            super().reject()
        elif not self.cancelled:
            self.cancelled = True
            self._show_work()
            cancel()

    def _leave(self, _answer: int) -> None:
        self.gone = True
        self._slow.stop()
        self._asked_for.set()

    def gathers(self, stop: threading.Event) -> None:
        """Wait for what was asked of the register; nobody waits any more for what was asked before."""
        self._asked_for.set()
        self._asked_for = stop

    def waits_no_more(self) -> None:
        """Want no answer any more to what was asked of the register."""
        self._asked_for.set()

    @property
    def at_work(self) -> bool:
        """Whether the deed is under way."""
        return self._cancel is not None

    def works(self, cancel: Callable[[], object]) -> None:
        """Wait for the deed, which `cancel` ends at its next step; it can't be done a second time meanwhile."""
        self.complain("")
        self._asked_for.set()
        self._cancel, self.cancelled = cancel, False
        self._deed_button.setEnabled(False)
        self._slow.start()

    def refused(self, error: Exception) -> bool:
        """Say why the deed was not done, and let it be tried again; False where that is a fault of the program."""
        if self.at_work:
            self._rest()
        if self.gone or not isinstance(error, Refused | Unavailable):
            return False
        self._clash = error if isinstance(error, Clash) else self._clash
        self.complain("\n".join([str(error), *(error.lines if isinstance(error, Clash) else ())]))
        return True

    def known(self, version: int) -> int:
        """Return the version that whoever saves knows of: of what he opened, or of what somebody else made since."""
        return version if self._clash is None else self._clash.version

    def _show_work(self) -> None:
        """Let nothing be done but cancelling."""
        self._slow.stop()
        self._inside.setEnabled(False)
        self._way_out.setText("Cancel   Esc")
        self._way_out.setFocus()
        self._hint.say("Cancelling…" if self.cancelled else "At work… Esc cancels it.", "ink2")

    def _rest(self) -> None:
        self._slow.stop()
        self._cancel = None
        self._inside.setEnabled(True)
        self._deed_button.setEnabled(True)
        self._way_out.setText(self._way_out_said)
        self._hint.say(self._hint_said, "ink3")

    def about(self, tag: str, description: str, place: str) -> None:
        """Show under the title which item this is about."""
        row = QHBoxLayout()
        row.setSpacing(12)
        row.addWidget(TagLabel(tag, height=24, size=13))
        row.addWidget(Short(description, 13, 600))
        row.addWidget(Short(place, 13, 400, "ink2"), 1)
        self._head.addLayout(row)

    def answers(self, *, leave: str, verb: str, key: str, deed: Callable[[], None], hint: str = "") -> QPushButton:
        """Put the two buttons below: one leaves everything as it is, the other does the deed; return the latter."""
        self.body.addStretch(1)
        self._hint_said, self._way_out_said = hint, f"{leave}   Esc"
        self._hint, self._way_out = Words(hint, 12, 400, "ink3", wrap=True), button(self._way_out_said)
        self._foot.addWidget(self._hint, 1)
        self._way_out.clicked.connect(self.reject)
        done = button(f"{verb}   {key.replace('Return', 'Enter').replace('+', ' ')}", "primary")
        done.setShortcut(key)
        done.clicked.connect(deed)
        self._foot.addWidget(self._way_out)
        self._foot.addWidget(done)
        self._deed_button = done
        return done

    def complain(self, why: str) -> None:
        """Say above the buttons why it could not be done; nothing typed is lost. Empty text takes it away."""
        if self.gone:
            return
        self._wrong.setText(why)
        self._wrong.setVisible(bool(why))
        self.fit()

    def fit(self) -> None:
        """Take the height that the body needs, as far as the window has it, in the middle of the window."""
        window, most = self._host, self._host.height() - AROUND
        self.body.activate()
        needed = _height(self.body, self.width() - 2)
        self._area.setFixedHeight(0)
        rest = _height(self._column, self.width())
        self._area.setFixedHeight(max(px(60), min(needed, most - rest)))
        fits = needed <= most - rest  # a bar that isn't needed would take width, and with it make itself needed
        shown = Qt.ScrollBarPolicy.ScrollBarAlwaysOff if fits else Qt.ScrollBarPolicy.ScrollBarAsNeeded
        self._area.setVerticalScrollBarPolicy(shown)
        self._column.activate()
        self.resize(self.width(), min(most, rest + self._area.height()))
        corner = window.mapToGlobal(QPoint(0, 0))
        self.move(
            corner.x() + (window.width() - self.width()) // 2, corner.y() + (window.height() - self.height()) // 2
        )

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take another height when what is asked or said needs more or less room."""
        if watched is self._inside and event.type() is QEvent.Type.LayoutRequest and self.isVisible():
            self._fit_soon.start()
        return False

    def showEvent(self, event: QShowEvent) -> None:
        if self._veil is None:
            self._veil = Veil(self._host)
            self._veil.show()
            self._veil.raise_()
            self.finished.connect(self._unveil)
        self.fit()
        super().showEvent(event)

    def _unveil(self) -> None:
        if self._veil is not None:
            self._veil.hide()
            self._veil.deleteLater()
            self._veil = None

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        draw.box(painter, QRectF(self.rect()), colours().surface, colours().rule, 12)
        painter.end()


def _height(layout: QLayout, across: int) -> int:
    """Return the height that a layout needs at a width."""
    return layout.totalHeightForWidth(across) if layout.hasHeightForWidth() else layout.totalSizeHint().height()


def _body_area() -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.viewport().setAutoFillBackground(False)
    return area


class Short(Words):
    """One line that is cut where there is no room for it; all of it is in its tip."""

    def __init__(self, said: str, size: int = 13, weight: int = 400, ink: str = "ink") -> None:
        super().__init__(said, size, weight, ink)
        self.setToolTip(said)

    def minimumSizeHint(self) -> QSize:
        return QSize(px(40), super().minimumSizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(self.font())
        painter.setPen(self.palette().windowText().color())
        cut = self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())
        painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), cut)
        painter.end()


class Block(QWidget):
    """A block on the soft colour of a standing that explains what will happen: a glyph, a sentence, and more of it.

    `tone` gives the colours when it is drawn, so that the block follows the theme.
    """

    def __init__(self, mark: str, tone: Callable[[], Tone], ink: str, said: str = "", more: str = "") -> None:
        super().__init__()
        self._mark, self._tone = mark, tone
        self._said = Words(said, 13, 600, ink, wrap=True)
        self._more = Words(more, 12, 400, "ink2", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(42, 10, 14, 12)
        column.setSpacing(4)
        column.addWidget(self._said)
        column.addWidget(self._more)
        self._more.setVisible(bool(more))
        theme.changed.connect(self.update)

    def say(self, said: str, more: str = "") -> None:
        """Say something else."""
        self._said.setText(said)
        self._more.setText(more)
        self._more.setVisible(bool(more))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tone = QPainter(self), self._tone()
        draw.box(painter, QRectF(self.rect()), tone.soft, None, 6)
        glyph(painter, self._mark, 14, 12, 16, tone.fill)
        painter.end()

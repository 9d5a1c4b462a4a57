"""Listens to every key while the bench is in front: tells a scan from typing, wherever the cursor stands.

A control key that comes from a barcode must fire nothing. So a key that could start something is held for a moment:
followed at once by others it was part of a code and is dropped, alone it is the user's and does what it always does.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QElapsedTimer, QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit, QWidget

from ui.bench.scanner import LEAST, PACE_MS, REST_MS, Ending, Scanner

_ENDS: Final = {Qt.Key.Key_Return: Ending.ENTER, Qt.Key.Key_Enter: Ending.ENTER, Qt.Key.Key_Tab: Ending.TAB}
_ALONE: Final = {
    Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_AltGr, Qt.Key.Key_Meta, Qt.Key.Key_CapsLock,
    Qt.Key.Key_NumLock,
}  # fmt: skip
_MOVES: Final = {
    Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home, Qt.Key.Key_End,
    Qt.Key.Key_PageUp, Qt.Key.Key_PageDown, Qt.Key.Key_Backspace, Qt.Key.Key_Delete, Qt.Key.Key_Backtab,
}  # fmt: skip


@dataclass(slots=True)
class _Before:
    """A field as it was before a burst of keys went into it."""

    field: QLineEdit
    text: str
    start: int
    length: int

    def restore(self) -> None:
        """Put back what stood there."""
        if self.field.text() != self.text:
            self.field.setText(self.text)
            self.field.textEdited.emit(self.text)
        self.field.setCursorPosition(self.start + self.length)
        if self.length:
            self.field.setSelection(self.start, self.length)


class Listening(QObject):
    """Filters the keys of the application. `scanned` gives a code that landed in another field than the scan box.

    `own` is the scan box's field, which takes its codes itself; `heeds` says whether the bench is in front at all,
    `scanner` how the scanner is set.
    """

    scanned = Signal(str)

    def __init__(
        self, page: QWidget, own: QLineEdit, heeds: Callable[[], bool], scanner: Callable[[], Scanner]
    ) -> None:
        super().__init__(page)
        self._page, self._own, self._heeds, self._scanner = page, own, heeds, scanner
        watch = QElapsedTimer()
        watch.start()
        self.pace: Callable[[], int] = watch.elapsed
        self._last, self._burst, self._before = -PACE_MS, "", None
        self._over = False
        self._held: QKeyEvent | None = None
        self._letting_go = False
        self._wait = QTimer(self, singleShot=True, interval=PACE_MS + 10)
        self._wait.timeout.connect(self.let_go)
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._rested)
        app = QApplication.instance()
        assert app is not None
        app.installEventFilter(self)

    _before: _Before | None

    @property
    def holding(self) -> bool:
        """Whether a key waits to be told from a scanner's."""
        return self._held is not None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Look at each key once, where it has the focus."""
        if not isinstance(event, QKeyEvent) or self._letting_go or watched is not QApplication.focusWidget():
            return False
        if event.type() is QEvent.Type.ShortcutOverride and self._heeds() and self._could_fire(event):
            event.accept()
            return True
        if event.type() is not QEvent.Type.KeyPress or not self._heeds() or Qt.Key(event.key()) in _ALONE:
            return False
        return self._key(event)

    def _when(self, event: QKeyEvent) -> int:
        """Return when a key was pressed, in milliseconds: a window that was held up gets keys later than that."""
        return event.timestamp() or self.pace()

    def _key(self, event: QKeyEvent) -> bool:
        """Take a key press; return whether it goes no further."""
        now = self._when(event)
        close, self._last = now - self._last < PACE_MS, now
        key = Qt.Key(event.key())
        if close and self._held is not None:
            self._drop_held()
        if not close:
            self.let_go()
            self._begin()
        if self._could_fire(event):
            if close:
                return True
            self._held = QKeyEvent(event)
            self._wait.start()
            return True
        if key in _ENDS and close:
            return self._end()
        text = event.text()
        if not text or not text.isprintable():
            return close and not self._in_box and key not in _ENDS and key not in _MOVES
        if self._over:  # a window that was held up gets the next code in the same breath
            self._begin()
        self._burst += text
        if self._scanner().ending is Ending.NONE and len(self._burst) >= LEAST:
            self._rest.start()
        return close and self._before is None and not self._in_box and not self._dialog

    @property
    def _in_box(self) -> bool:
        return QApplication.focusWidget() is self._own

    @property
    def _dialog(self) -> bool:
        return QApplication.activeModalWidget() is not None

    def _begin(self) -> None:
        """Note how the field is before the first of what may be many keys."""
        self._burst, self._before, self._over = "", None, False
        widget = QApplication.focusWidget()
        field = widget.lineEdit() if isinstance(widget, QComboBox) else widget
        if isinstance(field, QLineEdit) and field is not self._own:
            start, length = field.selectionStart(), len(field.selectedText())
            self._before = _Before(field, field.text(), start if length else field.cursorPosition(), length)

    def _end(self) -> bool:
        """Take the key that ends a burst, and the second one of a scanner that sends two."""
        if self._over:
            return True
        self._over = bool(self._burst)
        if self._in_box or len(self._burst) < LEAST:
            return False
        return self._ended()

    def _ended(self) -> bool:
        """Take a scan that landed elsewhere out of there. In a dialog it stays: it may be asked for there."""
        sent, before = self._burst, self._before
        self._burst, self._before = "", None
        if self._dialog:
            return True
        if before is not None:
            before.restore()
        self.scanned.emit(sent)
        return True

    def _rested(self) -> None:
        """End the scan of a scanner that sends nothing at its end."""
        if len(self._burst) < LEAST or self._dialog:
            return
        if self._in_box:
            self._burst = ""
            QApplication.postEvent(
                self._own, QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier)
            )
        else:
            self._ended()

    def _could_fire(self, event: QKeyEvent) -> bool:
        """Whether a key could start something: a shortcut of the window, or Esc. Keys of dialogs are theirs."""
        held = event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
        both = held == (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)  # AltGr, which types
        if self._dialog:
            return bool(self._burst) and bool(held) and not both and self._when(event) - self._last < PACE_MS
        key = Qt.Key(event.key())
        functional = Qt.Key.Key_F1 <= key <= Qt.Key.Key_F35
        return key not in _ALONE and ((bool(held) and not both) or functional or key is Qt.Key.Key_Escape)

    def _drop_held(self) -> None:
        self._held = None
        self._wait.stop()

    def let_go(self) -> None:
        """Let a key that came alone do what it always does."""
        event, self._held = self._held, None
        self._wait.stop()
        if event is None:
            return
        wanted = QKeySequence(event.keyCombination())
        self._letting_go = True
        try:
            widget = QApplication.focusWidget()
            if (_edits(widget, event) or not self._fire(wanted)) and widget is not None:
                QApplication.sendEvent(widget, event)
        finally:
            self._letting_go = False

    def _fire(self, wanted: QKeySequence) -> bool:
        """Do what a key is the shortcut of in this window; whether it is one."""
        window = self._page.window()
        for action in window.actions():
            if wanted in action.shortcuts() and action.isEnabled():
                action.trigger()
                return True
        for button in window.findChildren(QAbstractButton):
            if button.shortcut() == wanted and button.isVisible() and button.isEnabled():
                button.click()
                return True
        for shortcut in self._page.findChildren(QShortcut):
            if shortcut.key() == wanted and shortcut.isEnabled():
                shortcut.activated.emit()
                return True
        return False


def _edits(widget: QWidget | None, event: QKeyEvent) -> bool:
    """Whether a field takes a key itself: it copies or pastes, or takes back its own typing."""
    field = widget.lineEdit() if isinstance(widget, QComboBox) else widget
    if not isinstance(field, QLineEdit):
        return False
    undoes = field.isUndoAvailable() and event.matches(QKeySequence.StandardKey.Undo)
    return undoes or any(event.matches(key) for key in _EDITING)


_EDITING: Final = (
    QKeySequence.StandardKey.Copy, QKeySequence.StandardKey.Cut, QKeySequence.StandardKey.Paste,
    QKeySequence.StandardKey.SelectAll,
)  # fmt: skip

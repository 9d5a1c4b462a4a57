"""Undo and redo: what is done next by either stands in the menu, and the same keys work from an empty field."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from register.errors import Refused
from register.store.engine import Change
from ui.actions import Deeds, action
from ui.jobs import Jobs
from ui.messages import Messages


class Undoing(QObject):
    """Offers undo and redo, each named after what it would take back or do again."""

    def __init__(self, window: QWidget, deeds: Deeds, jobs: Jobs, messages: Messages) -> None:
        super().__init__(window)
        self._deeds, self._jobs, self._messages = deeds, jobs, messages
        deeds.offer("undo", partial(self._do, jobs.steps.undo, "Undone"))
        deeds.offer("redo", partial(self._do, jobs.steps.redo, "Done again"))
        jobs.changed.connect(self.refresh)
        self._field = EmptyField(self)
        self.refresh()

    def refresh(self) -> None:
        """Say what would be undone and done again now."""
        for key, what in (("undo", self._jobs.steps.to_undo), ("redo", self._jobs.steps.to_redo)):
            title = action(key).title
            self._deeds.name(key, f"{title}: {_within(what)}" if what else title)
            self._deeds.enable(key, enabled=bool(what))

    def _do(self, deed: Callable[[Change], str], said: str) -> None:
        self._jobs.change(deed, lambda what: self._messages.tell(f"{said}: {_within(what)}."), failed=self._refused)

    def _refused(self, error: Exception) -> None:
        if isinstance(error, Refused) and not self._jobs.steps.to_undo:
            self._messages.tell(str(error))  # a key held down went on past the first step
        else:
            self._messages.failure(error)


def _within(words: str) -> str:
    """Return what was done as it stands within a sentence."""
    return words[:1].lower() + words[1:]


class EmptyField(QObject):
    """Lets the keys of undo and redo through from a field that has no typing of its own to take back."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._moved)

    def _moved(self, before: QWidget | None, now: QWidget | None) -> None:
        if isinstance(before, QLineEdit):
            before.removeEventFilter(self)
        if isinstance(now, QLineEdit):
            now.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Leave the keys to the window where the field is empty, or holds what nobody typed."""
        if (
            event.type() is QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and isinstance(watched, QLineEdit)
        ):
            undoes = event.matches(QKeySequence.StandardKey.Undo) and not watched.isUndoAvailable()
            redoes = event.matches(QKeySequence.StandardKey.Redo) and not watched.isRedoAvailable()
            if undoes or redoes or (not watched.text() and _is_ours(event)):
                event.ignore()
                return True
        return False


def _is_ours(event: QKeyEvent) -> bool:
    return event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo)

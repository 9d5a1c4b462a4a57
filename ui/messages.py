"""Telling and asking, through an object that tests can replace.

Three kinds of failure: a rule said no (`Refused`), something is not there (`Unavailable`), or it is our fault.
"""

import logging
import re
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final, Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from register.errors import Refused, Unavailable

log = logging.getLogger(__name__)

_ENDINGS: Final = re.compile(r"\*(\.\w+)")
"""The endings in a file dialog's kinds: `Workbook (*.xlsx)`."""


class Messages(Protocol):
    """What pages may say to the user and ask of him."""

    def tell(self, text: str) -> None:
        """Say something that was done, in the status line."""

    def failure(self, error: BaseException) -> None:
        """Say that something could not be done, by the kind of its reason."""

    def confirm(self, title: str, text: str, verb: str) -> bool:
        """Ask whether to go on; the button names the deed, and Enter presses none."""
        ...

    def open_file(self, title: str, kinds: str) -> Path | None:
        """Ask for a file that exists."""
        ...

    def save_file(self, title: str, suggested: str, kinds: str) -> Path | None:
        """Ask where to write a file."""
        ...

    def choose_folder(self, title: str) -> Path | None:
        """Ask for a folder."""
        ...


class WindowMessages:
    """Messages shown over a window; `line` takes what is told."""

    def __init__(self) -> None:
        self.window: QWidget | None = None
        self.line: Callable[[str], None] = _no_line
        self._faults_told: set[str] = set()

    def tell(self, text: str) -> None:
        """Say it in the status line."""
        self.line(text)

    def failure(self, error: BaseException) -> None:
        """Show the sentence of a refusal; a fault of ours is logged and told once."""
        if isinstance(error, Refused | Unavailable):
            _box(self.window, "This can't be done" if isinstance(error, Refused) else "Not possible now", str(error))
            return
        details = "".join(traceback.format_exception(error))
        log.error("%s", details)
        place = f"{type(error).__name__}: {error}"
        if place in self._faults_told:
            self.tell("The same fault of the program happened again; nothing of the last step was kept.")
            return
        self._faults_told.add(place)
        said = "Nothing of the last step was kept, and you can go on. Please report this with the details."
        _box(self.window, "This is a fault of the program", said, details)

    def confirm(self, title: str, text: str, verb: str) -> bool:
        """Ask whether to go on."""
        asked = _Box(self.window)
        asked.setWindowTitle(title)
        asked.setTextFormat(Qt.TextFormat.PlainText)
        asked.setText(text)
        go_on = asked.addButton(f"&{verb}", QMessageBox.ButtonRole.AcceptRole)
        leave = asked.addButton("&Leave it", QMessageBox.ButtonRole.RejectRole)
        asked.setEscapeButton(leave)
        for button in (go_on, leave):
            button.setAutoDefault(False)
        asked.exec()
        return asked.clickedButton() is go_on

    def open_file(self, title: str, kinds: str) -> Path | None:
        """Ask for a file that exists."""
        chosen, _kind = QFileDialog.getOpenFileName(self.window, title, "", kinds)
        return Path(chosen) if chosen else None

    def save_file(self, title: str, suggested: str, kinds: str) -> Path | None:
        """Ask where to write a file."""
        chosen, _kind = QFileDialog.getSaveFileName(self.window, title, suggested, kinds)
        return Path(chosen) if chosen else None

    def choose_folder(self, title: str) -> Path | None:
        """Ask for a folder."""
        chosen = QFileDialog.getExistingDirectory(self.window, title)
        return Path(chosen) if chosen else None


def ask_where(
    messages: Messages, title: str, suggested: str, kinds: str, *, beside: Sequence[str] = (), replaces: bool = True
) -> Path | None:
    """Ask where to write a file, None where it was left; one without an ending of `kinds` gets that of `suggested`.

    The dialog asks before it replaces a file of the name typed, but knows nothing of one that the ending makes of it,
    nor of those that are written `beside` it, under the same name with these endings. `replaces` is False where
    whoever makes the file refuses to replace any.
    """
    typed = messages.save_file(title, suggested, kinds)
    if typed is None:
        return None
    whole = typed.suffix.lower() in _ENDINGS.findall(kinds)
    path = typed if whole else typed.with_name(f"{typed.name}{Path(suggested).suffix}")
    unasked = [*(() if whole else (path,)), *(path.with_suffix(ending) for ending in beside)]
    there = [each for each in unasked if each.exists()]
    return path if not replaces or not there or _may_replace(messages, there) else None


def _may_replace(messages: Messages, there: Sequence[Path]) -> bool:
    names = " and ".join(f"“{each.name}”" for each in there)
    if len(there) == 1:
        said = f"{names} is there already. What it holds is lost when it is replaced."
        return messages.confirm("Replace the file", said, "Replace it")
    said = f"{names} are there already. What they hold is lost when they are replaced."
    return messages.confirm("Replace the files", said, "Replace them")


def _no_line(_text: str) -> None:
    """Take what is told before there is a window."""


class _Box(QMessageBox):
    """A box that Enter does not answer, so that a scanner can't; Space, the letters with Alt, and Esc do."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() not in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            super().keyPressEvent(event)


def _box(window: QWidget | None, title: str, text: str, details: str = "") -> None:
    shown = _Box(window)
    shown.setWindowTitle(title)
    shown.setTextFormat(Qt.TextFormat.PlainText)
    shown.setText(text)
    if details:
        shown.setDetailedText(details)
    close = shown.addButton("&Close", QMessageBox.ButtonRole.AcceptRole)
    close.setAutoDefault(False)
    shown.setEscapeButton(close)
    shown.exec()

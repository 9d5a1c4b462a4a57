"""What this computer remembers between two starts: the register of last time, the colours, where the window was.

A small TOML file. What belongs to the register (firm, days, hours) is kept in the register; a value that can't be read
falls back.
"""

import logging
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Final

from PySide6.QtCore import QSize, QStandardPaths
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from ui.toml_file import read_down, write_down

log = logging.getLogger(__name__)

COLOURS: Final = ("system", "light", "dark")
HALF_TYPED: Final = "half-typed.json"
"""What the file beside this one is called that keeps what was half-typed at the bench."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """What is remembered.

    `register` is the path of the register of last time, `window` Qt's own note of the window's place and size in
    hexadecimal; both are empty at first.
    """

    register: str = ""
    colours: str = "system"
    window: str = ""


def place() -> Path:
    """Return where the file is."""
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppConfigLocation)
    return Path(folder) / "settings.toml"


def recall(path: Path) -> Remembered:
    """Return what is remembered; anything missing, unknown or unreadable falls back and is noted in the log."""
    said = read_down(path)
    known = {each.name: said[each.name] for each in fields(Remembered) if isinstance(said.get(each.name), str)}
    if known.get("colours", "system") not in COLOURS:
        log.warning("%s: the colours “%s” are none of %s", path, known.pop("colours"), COLOURS)
    return Remembered(**known)


def put_back(window: QWidget, note: str) -> None:
    """Put a window where it was the last time; where the note means nothing, leave it as far as the screen has room."""
    try:
        window.restoreGeometry(bytes.fromhex(note))
    except ValueError:
        log.warning("Where the window was can't be read from “%s”", note)
    if QGuiApplication.platformName() != "offscreen":  # a screen that nobody sees has no edges
        fit(window, window.screen().availableSize())


def fit(window: QWidget, room: QSize) -> None:
    """Make a window no larger than a screen has room for; one that fills the screen does already."""
    if not window.isMaximized() and not window.isFullScreen():
        window.resize(window.size().boundedTo(room))


def remember(path: Path, what: Remembered) -> None:
    """Write down what to remember."""
    write_down(path, asdict(what))

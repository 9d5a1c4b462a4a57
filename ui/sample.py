"""The sample register, made for the day in a folder of its own."""

import shutil
import threading
from datetime import date, datetime
from pathlib import Path
from typing import Final

from PySide6.QtCore import QStandardPaths

from register.errors import Unavailable

REMOVAL: Final = (
    "Remove the sample register",
    "The sample closes, and its file, copies and spreadsheets are deleted; no other register is touched.",
    "Remove it",
)
"""What is asked before the sample goes: title, text and deed."""


def sample_folder() -> Path:
    """Return the folder that holds the samples and nothing else."""
    return Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)) / "sample"


def is_sample(path: Path) -> bool:
    """Whether a register is the sample that this program made for itself."""
    return sample_folder().resolve() in path.resolve().parents


def remove_sample() -> None:
    """Delete the sample with all that lies beside it; nothing is there any more afterwards."""
    folder = sample_folder()
    try:
        shutil.rmtree(folder)
    except FileNotFoundError:
        return
    except OSError as error:
        raise Unavailable(
            f"Part of the sample is left in {folder}: {error.strerror}. Close what uses it, or delete that folder."
        ) from error


def make_sample(folder: Path, today: date, at: datetime, stop: threading.Event) -> Path:
    """Make the sample register of a day, unless it is there already; those of other days give way to it."""
    from register.demo import run_demo

    def go_on() -> None:
        if stop.is_set():
            raise Unavailable("Making the sample was stopped. Open it again when you want it.")

    path, mark = folder / "demo.register", folder / "made"
    if path.exists() and mark.exists():
        return path
    try:
        for other in folder.parent.glob("20*"):
            shutil.rmtree(other, ignore_errors=True)
        folder.mkdir(parents=True)
        run_demo(today, folder, at=at, go_on=go_on)
        mark.touch()
    except OSError as error:
        raise Unavailable(
            f"The sample can't be written into {folder.parent}: {error.strerror}. Make room there, or open a register."
        ) from error
    return path

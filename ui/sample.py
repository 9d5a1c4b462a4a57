"""The sample register, made for the day in a folder of its own, and removed from there."""

import shutil
import threading
from collections.abc import Callable
from concurrent.futures import Future
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtCore import QStandardPaths

from register.errors import Unavailable
from register.stopping import Stopped, stopped_by
from register.store.address import Place
from ui.away import Away

REMOVAL: Final = (
    "Remove the sample register",
    "The sample closes, and its file, copies and spreadsheets are deleted; no other register is touched.",
    "Remove it",
)
"""What is asked before the sample goes: title, text and deed."""


def sample_folder() -> Path:
    """Return the folder that holds the samples and nothing else."""
    return Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)) / "sample"


def is_sample(path: Place) -> bool:
    """Whether a register is the sample that this program made for itself."""
    return isinstance(path, Path) and sample_folder().resolve() in path.resolve().parents


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

    path, mark = folder / "demo.register", folder / "made"
    if path.exists() and mark.exists():
        return path
    try:
        for other in folder.parent.glob("20*"):
            shutil.rmtree(other, ignore_errors=True)
        folder.mkdir(parents=True)
        with stopped_by(stop):
            run_demo(today, folder, at=at)
        mark.touch()
    except Stopped:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    except OSError as error:
        raise Unavailable(
            f"The sample can't be written into {folder.parent}: {error.strerror}. Make room there, or open a register."
        ) from error
    return path


class Sample:
    """Makes the sample of the day away from the window's thread and opens it, and removes it.

    `say` tells what is going on, `enter` opens a register, `refused` says why something could not be done.
    """

    def __init__(
        self, today: date, now: Callable[[], datetime], say: Callable[[str], None], enter: Callable[[Path], None],
        refused: Callable[[Exception], None],
    ) -> None:  # fmt: skip
        self._today, self._now, self._say, self._enter, self._refused = today, now, say, enter, refused
        self._away = Away("sample")
        self._stop = threading.Event()

    def make(self) -> None:
        """Make the sample, unless that of the day is there already, and open it."""
        self._say("Making the sample register from sixteen sites' spreadsheets: about ten seconds.")
        folder, self._stop = sample_folder() / self._today.isoformat(), threading.Event()
        self._away.run(partial(make_sample, folder, self._today, self._now(), self._stop), self._open)

    def remove(self) -> None:
        """Delete the sample, which nobody has open any more."""
        try:
            remove_sample()
        except Unavailable as reason:
            self._refused(reason)
            return
        self._say("The sample register is removed.")

    def cancel(self) -> None:
        """Stop what is being made; nothing of it stays."""
        self._stop.set()

    def close(self) -> None:
        """Stop what is being made, and tell nobody any more."""
        self.cancel()
        self._away.close()

    def _open(self, done: "Future[Path]") -> None:
        error = done.exception()
        if isinstance(error, Exception):
            self._refused(error)
            return
        self._enter(done.result())

"""The sample register, made for the day in a folder of its own."""

import shutil
import threading
from datetime import date, datetime
from pathlib import Path

from register.errors import Unavailable


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

"""One window per register file: who has it open, since when, told to whoever wants to open it as well.

The lock is a file beside the register that the system lets go of when the program ends, however it ends. It keeps two
windows apart; what keeps two writers apart, the command line among them, is SQLite's own lock.
"""

import json
import os
import socket
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from filelock import BaseFileLock, FileLock, Timeout

from register.errors import Unavailable

ENDING: Final = ".open"


@dataclass(frozen=True, slots=True)
class Holder:
    """Who has a register open: the computer, the user, the process and since when (UTC)."""

    host: str
    user: str
    process: int
    since: datetime


class InUse(Unavailable):
    """A register that another window has open; `holder` is None where it did not say who it is."""

    def __init__(self, name: str, holder: Holder | None) -> None:
        self.holder = holder
        who = "in another window" if holder is None else f"by {holder.user} on {holder.host}"
        super().__init__(f"{name} is open already, {who}. Close it there, or open it here to look at only.")


class Hold:
    """A register file that this program has open. `release` lets others have it.

    `cut_off` says that whoever had it before did not let go of it: his program was killed, or the power failed.
    """

    def __init__(self, lock: BaseFileLock | None, told: Path, *, cut_off: bool = False) -> None:
        self._lock, self._told, self.cut_off = lock, told, cut_off

    def release(self) -> None:
        """Let go of the register; twice does no harm."""
        if self._lock is not None and self._lock.is_locked:
            with suppress(OSError):  # a drive that is written no more: who held it is read only while somebody does
                self._told.unlink(missing_ok=True)
            self._lock.release()


def hold(path: Path, user: str, now: datetime) -> Hold:
    """Take a register file for this program; `InUse` where another has it.

    On a medium that can't be written nobody can change the register either, so nothing is held; nor where there is
    no such folder.
    """
    told = path.with_name(f"{path.name}{ENDING}.json")
    if not path.parent.is_dir():  # the lock's library would make the folder
        return Hold(None, told)
    lock = FileLock(path.with_name(f"{path.name}{ENDING}"))
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise InUse(path.name, _holder(told)) from None
    except OSError:
        return Hold(None, told)
    cut_off = told.exists()
    said = {"host": socket.gethostname(), "user": user, "process": os.getpid(), "since": now.isoformat()}
    with suppress(OSError):  # a drive that is full: it is held all the same, by somebody who did not say who he is
        told.write_text(json.dumps(said), encoding="utf-8")
    return Hold(lock, told, cut_off=cut_off)


def _holder(told: Path) -> Holder | None:
    """Return what the holder said of itself; None where that is not there or can't be read."""
    try:
        said = json.loads(told.read_text(encoding="utf-8"))
        return Holder(str(said["host"]), str(said["user"]), int(said["process"]), datetime.fromisoformat(said["since"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None

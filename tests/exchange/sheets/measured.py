"""Takes hostile files in by the command line, each in a process of its own with bounds, and says what became of it.

Run by a test as a program: forking inside the test's own process would take its threads along.
"""

import contextlib
import hashlib
import json
import os
import resource
import shutil
import signal
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from register.cli.main import main
from register.exchange.sheets import workbook as _loaded_once
from tests.exchange.sheets.hostile_files import HEAVY, ODD, REFUSED
from tests.exchange.sheets.stranger_files import STRANGE

assert _loaded_once

MOST_SECONDS: Final = 60
MOST_WAITING: Final = 600
"""Of the clock on the wall, which goes on while a busy machine does other things; only a file that hangs waits so."""
MOST_ADDRESSES: Final = 2_000_000_000


def _apart(work: Callable[[], int]) -> tuple[int, Any]:
    """Do something in a process of its own; return how it ended and what it used."""
    child = os.fork()
    if child == 0:
        code = 99
        try:
            code = work()
        except BaseException:  # noqa: BLE001 - whatever it is, the parent has to be told
            traceback.print_exc()
        finally:
            sys.stderr.flush()
            os._exit(code)
    _, status, used = os.wait4(child, 0)
    return os.waitstatus_to_exitcode(status), used


def _take_in(file: Path, database: Path, *, keep: bool, said: Path) -> int:
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS + 1))
    signal.alarm(MOST_WAITING)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_ADDRESSES, MOST_ADDRESSES))
    call = ["import", str(file), "--db", str(database), "--today", "2026-11-20", "--site", "YARD", "--json"]
    with (
        said.open("w", encoding="utf-8") as out, said.with_suffix(".err").open("w", encoding="utf-8") as wrong,
        contextlib.redirect_stdout(out), contextlib.redirect_stderr(wrong),
    ):  # fmt: skip
        return main([*call, *([] if keep else ["--dry-run"])])


def measured(folder: Path, database: Path, *, heavy: bool) -> dict[str, dict[str, object]]:
    """Return of each file its exit code, what was said, the seconds and megabytes it used, and whether all was kept."""
    found: dict[str, dict[str, object]] = {}
    files = {name: file for name, file in {**REFUSED, **ODD, **STRANGE}.items() if (name in HEAVY) is heavy}
    for number, (name, (make, outcome)) in enumerate(files.items()):
        place = folder / str(number)
        place.mkdir()
        code, _ = _apart(lambda make=make, place=place: _make(make, place))  # type: ignore[misc]
        assert code == 0, name
        file = Path((place / "made").read_text(encoding="utf-8"))
        before, said = (_digest(database), _digest(file)), place / "said.json"
        keep = isinstance(outcome, str)
        code, used = _apart(lambda file=file, keep=keep, said=said: _take_in(file, database, keep=keep, said=said))  # type: ignore[misc]
        found[name] = {
            "code": code, "said": said.with_suffix(".err").read_text(encoding="utf-8"),
            "told": said.read_text(encoding="utf-8")[:1_000_000], "seconds": round(used.ru_utime + used.ru_stime, 2),
            "megabytes": round(used.ru_maxrss * 1024 / 1e6), "unchanged": (_digest(database), _digest(file)) == before,
        }  # fmt: skip
        shutil.rmtree(place)
    return found


def _make(make: Callable[[Path], Path], place: Path) -> int:
    (place / "made").write_text(str(make(place)), encoding="utf-8")
    return 0


def _digest(path: Path) -> str:
    """Return a hash of a file, empty for what is none, or too large to be read."""
    if not path.is_file() or path.stat().st_size > MOST_ADDRESSES:
        return ""
    return hashlib.sha256(path.read_bytes()).hexdigest()


if __name__ == "__main__":
    json.dump(measured(Path(sys.argv[1]), Path(sys.argv[2]), heavy="--heavy" in sys.argv), sys.stdout)

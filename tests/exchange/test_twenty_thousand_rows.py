"""A list of 20,000 rows and 15 columns: how long its preview and its intake take, and how soon either stops.

Seconds are those of the processor, so that what else the machine does counts for little.
"""

import hashlib
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Final

import pytest

from register.exchange.taking_in import read_file, take_in_reading
from register.services.undo import Steps
from register.stopping import Stopped, go_on, stopped_by
from register.store.engine import create_register, open_register
from tests.bench.build import ACTOR, AT
from tests.bench.intake import CHOICES, COMMIT_GOAL, DRY_RUN_GOAL, ROWS
from tests.bench.made_up import TODAY
from tests.bench.sheet import HEADINGS, write_sheet

pytestmark = [pytest.mark.long, pytest.mark.timeout(1_800)]

STOP_GOAL: Final = 1.0
STOPS: Final = (0.05, 0.5, 1, 2, 3, 4, 5, 6, 8, 10, 12)
"""After so many seconds of its own it is told to stop: while the file is read, and while rows are kept."""


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("rows") / "rows.xlsx"
    write_sheet(path, ROWS)
    assert len(HEADINGS) == 15
    return path


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    path = tmp_path / "empty.register"
    create_register(path).close()
    return path


def steps(path: Path, sheet: Path, *, dry_run: bool, undo: Steps | None = None) -> Iterator[float]:
    """Read the list and take it in; yield how long each of the two took."""
    with closing(open_register(path)) as register:
        began = time.thread_time()
        reading = read_file(register, sheet, CHOICES, today=TODAY, progress=lambda _rows: go_on())
        yield time.thread_time() - began
        if undo is not None:
            register.watch(undo)
        began = time.thread_time()
        done = take_in_reading(register, sheet, reading, CHOICES, actor=ACTOR, at=AT, today=TODAY, dry_run=dry_run)
        assert done.taken.new_items == ROWS
        yield time.thread_time() - began


def test_its_preview_takes_no_longer_than_it_may(empty: Path, sheet: Path) -> None:
    assert sum(steps(empty, sheet, dry_run=True)) <= DRY_RUN_GOAL


def test_its_intake_takes_no_longer_than_it_may(empty: Path, sheet: Path) -> None:
    _reading, keeping = steps(empty, sheet, dry_run=False)
    assert keeping <= COMMIT_GOAL


def test_its_intake_after_a_rehearsal_that_can_be_undone_takes_no_longer_than_it_may(empty: Path, sheet: Path) -> None:
    rehearsed = Path(shutil.copy(empty, empty.with_name("rehearsed.register")))
    list(steps(rehearsed, sheet, dry_run=True))
    _reading, keeping = steps(empty, sheet, dry_run=False, undo=Steps())
    assert keeping <= COMMIT_GOAL


@pytest.mark.parametrize("after", STOPS)
def test_it_stops_within_a_second_wherever_it_is_and_nothing_is_changed(
    after: float, empty: Path, sheet: Path, tmp_path: Path
) -> None:
    own = Path(shutil.copy(empty, tmp_path / "own.register"))
    before = hashlib.sha256(own.read_bytes()).digest()
    stop, told, stopped = threading.Event(), [0.0], []

    def stopping() -> float:
        with stopped_by(stop):
            try:
                list(steps(own, sheet, dry_run=False))
            except Stopped:
                stopped.append(True)
                return time.thread_time() - told[0]
        return 0.0

    assert in_a_thread(stopping, after, stop, told) <= STOP_GOAL
    if stopped:  # what is whole and about to be kept when it is told to stop is kept
        assert hashlib.sha256(own.read_bytes()).digest() == before
    else:
        with closing(open_register(own)) as register, register.read() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM item").scalar_one() == ROWS


def in_a_thread(work: Callable[[], float], after: float, stop: threading.Event, told: list[float]) -> float:
    """Do work in a thread of its own, which is told to stop once it used so many seconds; return its answer."""
    answers: list[float] = []
    thread = threading.Thread(target=lambda: answers.append(work()))
    thread.start()
    clock = time.pthread_getcpuclockid(thread.ident or 0)
    while thread.is_alive() and time.clock_gettime(clock) < after:
        thread.join(0.01)
    if thread.is_alive():
        told[0] = time.clock_gettime(clock)
        stop.set()
    thread.join()
    (answer,) = answers
    return answer

"""Work on the register away from the window: in order, told about, stopped at closing, and no deed is lost."""

import subprocess
import sys
import threading
from collections.abc import Iterator

import pytest
import sqlalchemy as sa
from pytestqt.qtbot import QtBot

from register.errors import Refused
from register.services.places import owner_named
from register.store.engine import Change, Register
from register.store.tables import Owner
from tests.ui.conftest import CLOCK, RecordedMessages, settle
from ui.jobs import Jobs


@pytest.fixture
def jobs(register: Register, messages: RecordedMessages, qtbot: QtBot) -> Iterator[Jobs]:
    made = Jobs(register, messages, CLOCK, "Asha Pell")
    yield made
    made.close()
    assert qtbot is not None


def owners(register: Register) -> list[str]:
    with register.read() as connection:
        return list(connection.execute(sa.select(Owner.name).order_by(Owner.name)).scalars())


def slowly(register: Register) -> None:
    """Write for ever, a little at a time, in one transaction."""
    with register.change(actor="Asha Pell", at=CLOCK.now(), today=CLOCK.today) as change:
        for number in range(10_000_000):
            owner_named(change, f"Owner {number}")


def refuse(_change: Change) -> None:
    raise Refused("No, because of the rule.")


def break_down(_change: Change) -> None:
    raise ZeroDivisionError


def test_answers_come_in_the_order_of_the_questions_on_the_windows_thread(qtbot: QtBot, jobs: Jobs) -> None:
    met: list[object] = []
    for number in range(20):
        jobs.ask(lambda _at, number=number: number, lambda got: met.append((got, threading.current_thread())))  # type: ignore[misc]
    settle(qtbot, jobs)
    assert met == [(number, threading.main_thread()) for number in range(20)]


def test_a_kept_change_is_told_to_everybody_and_a_refused_one_only_said(
    qtbot: QtBot, jobs: Jobs, register: Register, messages: RecordedMessages
) -> None:
    told: list[str] = []
    jobs.changed.connect(lambda: told.append("changed"))
    jobs.change(lambda change: owner_named(change, "Ridge Joinery"), told.append)
    jobs.change(refuse, told.append)
    jobs.change(refuse, told.append, failed=lambda why: told.append(str(why)))
    jobs.change(break_down, told.append)
    settle(qtbot, jobs)
    assert told[0] == "changed"
    assert told[2:] == ["No, because of the rule."]
    assert [type(each) for each in messages.failures] == [Refused, ZeroDivisionError]
    assert owners(register) == ["Ridge Joinery"]


def test_a_rehearsal_keeps_nothing_and_tells_nobody(qtbot: QtBot, jobs: Jobs, register: Register) -> None:
    told: list[str] = []
    jobs.changed.connect(lambda: told.append("changed"))
    jobs.rehearse(lambda change: owner_named(change, "Ridge Joinery") and "seen", told.append)
    settle(qtbot, jobs)
    assert told == ["seen"]
    assert owners(register) == []


def test_longer_work_can_be_stopped_and_keeps_nothing(
    qtbot: QtBot, jobs: Jobs, register: Register, messages: RecordedMessages
) -> None:
    begun = threading.Event()

    def work(at: Register) -> None:
        begun.set()
        slowly(at)

    stop = jobs.run(work, lambda _none: None, changes=True)
    assert begun.wait(10)
    assert jobs.at_risk
    stop.set()
    settle(qtbot, jobs)
    (told,) = messages.told
    assert "nothing of it was kept" in told
    assert not messages.failures
    assert not jobs.at_risk
    assert owners(register) == []


def test_work_after_a_stopped_one_goes_on_as_ever(qtbot: QtBot, jobs: Jobs, register: Register) -> None:
    jobs.run(slowly, lambda _none: None, failed=lambda _why: None, changes=True).set()
    jobs.change(lambda change: owner_named(change, "Ridge Joinery"), lambda _id: None)
    settle(qtbot, jobs)
    assert owners(register) == ["Ridge Joinery"]


def test_closing_stops_longer_work_at_once_and_still_does_the_deeds_asked_for(
    register: Register, messages: RecordedMessages
) -> None:
    others = set(threading.enumerate())
    jobs = Jobs(register, messages, CLOCK, "Asha Pell")
    jobs.run(slowly, lambda _none: None, changes=True)
    jobs.change(lambda change: owner_named(change, "Ridge Joinery"), lambda _id: None)
    jobs.close()
    assert owners(register) == ["Ridge Joinery"]
    assert set(threading.enumerate()) <= others


CLOSED_AT_WORK = """
import sys
from datetime import UTC, date, datetime
from pathlib import Path
from PySide6.QtCore import QTimer
from register.store.engine import create_register
from register.services.places import owner_named
from ui import window
from ui.opening import Opening

path = Path(sys.argv[1])
create_register(path).close()
app = window.application()
opening = Opening(app, date(2026, 11, 24), lambda: datetime.now(UTC), remembered=path.with_suffix(".toml"))
opening.start(path)

def slowly(register):
    with register.change(actor="a", at=datetime.now(UTC), today=date(2026, 11, 24)) as change:
        for number in range(10_000_000):
            owner_named(change, f"Owner {number}")

jobs = opening.program.jobs
jobs.run(slowly, print, changes=True)
opening.program.messages.confirm = lambda *_said: True
QTimer.singleShot(300, opening.program.frame.close)
code = app.exec()
opening.close()
sys.exit(code)
"""


def test_a_window_closed_in_the_middle_of_work_ends_without_a_word_and_with_code_0(tmp_path: object) -> None:
    done = subprocess.run(
        [sys.executable, "-c", CLOSED_AT_WORK, f"{tmp_path}/own.register"],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (0, "")
    assert "QThread" not in done.stderr
    assert "Traceback" not in done.stderr

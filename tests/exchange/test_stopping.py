"""Longer work that is stopped at one of its steps leaves no file, row or lock; the same work then comes to its end."""

import tempfile
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from register import stopping
from register.exchange.due_list import write_due_list
from register.exchange.pack import open_pack, write_pack, write_work
from register.exchange.workbook import write_owner_workbook
from register.services.check import check
from register.services.copying import copy_now
from register.services.due_list import due_list
from register.services.owners.report import owner_report
from register.services.places import known_site
from register.stopping import Stopped, go_on, step_by_step, stopped_by
from register.store.engine import Register, open_register
from tests.desk import Desk
from tests.registers import TODAY, empty_file, path, register

__all__ = ["empty_file", "path", "register"]

NOW = datetime(2026, 11, 20, 8, 15, tzinfo=UTC)
FACTS: dict[str, Any] = {"actor": "Asha Pell", "at": NOW, "today": TODAY}

Work = Callable[[Desk, Path], object]


@pytest.fixture
def yard(register: Register, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    """A yard with some items, a field register of it, and temporary files where they are seen."""
    desk = Desk(register)
    desk.site()
    for number in range(8):
        desk.item(f"S-{number}")
        desk.test(f"S-{number}")
    for folder in ("out", "temporary"):
        (tmp_path / folder).mkdir()
    pack(desk, tmp_path)
    open_pack(tmp_path / "a.fieldpack", tmp_path / "field.register", today=TODAY)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    return desk


def checking(desk: Desk, _out: Path) -> None:
    with desk.read() as connection:
        check(connection)


def copying(desk: Desk, _out: Path) -> None:
    copy_now(desk.register, NOW)


def list_of_due(desk: Desk, out: Path) -> None:
    with desk.read() as connection:
        due = due_list(connection, TODAY, date(2028, 11, 24))
    write_due_list(due, out / "due.xlsx")


def owner_book(desk: Desk, out: Path) -> None:
    with desk.read() as connection:
        write_owner_workbook(owner_report(connection, known_site(connection, "YARD"), TODAY), out / "yard.xlsx")


def pack(desk: Desk, out: Path) -> None:
    write_pack(desk.register, out / "a.fieldpack", sites=["YARD"], holder="Asha Pell", expires_on=TODAY, **FACTS)


def field_work(_desk: Desk, out: Path) -> None:
    with closing(open_register(out.parent / "field.register")) as field:
        write_work(field, out / "a.fieldwork", **FACTS)


WORKS: dict[str, Work] = {
    "check": checking, "copy": copying, "due list": list_of_due, "owner workbook": owner_book, "pack": pack,
    "field work": field_work,
}  # fmt: skip


def state(desk: Desk, root: Path) -> tuple[list[str], dict[str, bytes]]:
    """Return what is kept: the events of the register, every file and every folder."""
    found = {str(each.relative_to(root)): each.read_bytes() if each.is_file() else b"" for each in root.rglob("*")}
    return desk.events(), found


def stopped_at(step: int, work: Callable[[], object], monkeypatch: pytest.MonkeyPatch) -> bool:
    """Do work that is told to stop at one of its steps; whether it came so far."""
    stop, taken, asked = threading.Event(), 0, stopping.is_stopped

    def is_stopped() -> bool:
        nonlocal taken
        taken += 1
        if taken == step:
            stop.set()
        return asked()

    with monkeypatch.context() as counting, stopped_by(stop):
        counting.setattr(stopping, "is_stopped", is_stopped)
        try:
            work()
        except Stopped:
            return True
    return False


@pytest.mark.parametrize("work", WORKS.values(), ids=WORKS)
def test_it_leaves_everything_as_it_was_wherever_it_is_stopped(
    work: Work, yard: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = state(yard, tmp_path)
    tried, step = 0, 1
    while stopped_at(step, lambda: work(yard, tmp_path / "out"), monkeypatch):
        assert state(yard, tmp_path) == before, f"stopped at step {step}"
        tried, step = tried + 1, step + 1 + step // 4
    assert tried > 3
    assert yard.faults() == ()
    assert state(yard, tmp_path) != before or work is checking


def test_rows_are_steps() -> None:
    stop, met = threading.Event(), list[int]()

    def meet(row: int) -> None:
        met.append(row)
        if row == 3:
            stop.set()

    with pytest.raises(Stopped), stopped_by(stop):
        list(map(meet, step_by_step(range(9))))
    assert met == [0, 1, 2, 3]
    go_on()  # the stop was of that work alone

"""A morning's work on a register, as the statements that the program itself sends: to be done again on another disk."""

import hashlib
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import time
from pathlib import Path
from typing import Any

import apsw
import sqlalchemy as sa

from register.services.intake.taking_in import IntakeChoices
from register.services.moves import move_item
from register.services.undo import Steps
from register.store.engine import create_register
from register.store.types import new_key
from tests.desk import QUICK, SLOW, SOUND, Desk
from tests.safety.disk import Log, NotedDisk
from tests.services.sheet import item, sheet_test, take

Statement = tuple[str, Any, bool]
"""A statement's text, its values, and whether they are many rows of values."""


@dataclass(slots=True)
class Recorder:
    """The transactions that were kept, each as its statements with their values; questions are left out."""

    kept: list[list[Statement]] = field(default_factory=list)
    sent: list[Statement] = field(default_factory=list)

    def before(self, *sent: Any) -> None:  # noqa: ANN401 - as the library hands it over
        """Note a statement that is sent."""
        _connection, _cursor, text, values, _context, many = sent
        if not text.lstrip().upper().startswith("SELECT"):
            self.sent.append((text, values, many))

    def commit(self, _connection: object) -> None:
        """Note that what was sent is kept."""
        if any(not text.startswith(("BEGIN", "PRAGMA")) for text, _values, _many in self.sent):
            self.kept.append(list(self.sent))
        self.sent.clear()

    def rollback(self, _connection: object) -> None:
        """Forget what was sent."""
        self.sent.clear()


@contextmanager
def recording() -> Iterator[Recorder]:
    """Record what every engine sends within the block."""
    recorder = Recorder()
    pairs = (("before_cursor_execute", recorder.before), ("commit", recorder.commit), ("rollback", recorder.rollback))
    for name, listener in pairs:
        sa.event.listen(sa.Engine, name, listener)
    try:
        yield recorder
    finally:
        for name, listener in pairs:
            sa.event.remove(sa.Engine, name, listener)


def morning(path: Path, records: int) -> list[list[Statement]]:
    """Make a register and work in it: a site, items, sheets, tests, some that fail, a move; some of it is undone."""
    with recording() as recorder, closing(create_register(path)) as register:
        desk, steps = Desk(register), Steps()
        register.watch(steps)
        desk.site()
        ids = [desk.item(f"S-{number:03}") for number in range(12)]
        leads = [f"L-{number:03}" for number in range(50)]
        take(desk, [item(tag) for tag in leads], [sheet_test(tag) for tag in leads], IntakeChoices(site="YARD"))
        for number in range(records):
            times = SLOW if number % 9 == 8 else QUICK
            desk.test(f"S-{number % 12:03}", readings=[*SOUND, *times], at=time(8 + number // 60, number % 60))
            if number % 5 == 2:
                undo(desk, steps)
        take(desk, [item(f"M-{number:03}") for number in range(50)], choices=IntakeChoices(site="YARD"))
        undo(desk, steps)
        slip = desk.area(name="Slip")
        with desk.change() as change:
            for key in ids[:5]:
                move_item(change, key, slip)
        undo(desk, steps)
    return recorder.kept


def undo(desk: Desk, steps: Steps) -> None:
    """Take back what was done last."""
    with desk.change() as change:
        steps.undo(change)


def again(work: list[list[Statement]], folder: Path, settings: Mapping[str, object]) -> tuple[Log, list[str]]:
    """Do the work again on a disk that is noted; return the log, and what the register held after each commit."""
    log, held = Log(), []
    layer = NotedDisk("noted", log)
    path = folder / "own.register"
    for transaction in work:
        with closing(apsw.Connection(str(path), vfs="noted")) as connection:
            connection.create_scalar_function("new_key", new_key, 0)
            connection.create_scalar_function("from_hex", from_hex, 1)
            for name, value in settings.items():
                list(connection.execute(f"PRAGMA {name}={value}"))
            for text, values, many in transaction:
                send = connection.executemany if many else connection.execute
                list(send(text, values or ()))
            list(connection.execute("COMMIT"))
            log.promise()
            held.append(content(connection))
    layer.unregister()
    return log, held


def from_hex(text: str | None) -> bytes | None:
    """Do what the function of this name does that the program lends to SQLite while it undoes something."""
    return None if text is None else bytes.fromhex(text)


def content(connection: "apsw.Connection | sqlite3.Connection", without: str = "nothing") -> str:
    """Return a hash of everything that a register holds, but for tables whose names begin so."""
    found = hashlib.sha256()
    names = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
    for name in [name for (name,) in names if not name.startswith(without)]:
        for row in connection.execute(f'SELECT * FROM "{name}"'):
            found.update(repr(row).encode())
    return found.hexdigest()


NOTHING = hashlib.sha256().hexdigest()
"""What an empty file holds."""

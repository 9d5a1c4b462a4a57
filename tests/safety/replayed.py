"""The present state of a register's file held against its history, by whoever has SQLite and a hash: nothing of ours.

Each change left a seal in the chain of the history: what every row that it wrote holds since, as half a SHA-256 of its
values. Gone through from the first to the last they say what every row holds now, and which there are none of any more.
"""

import hashlib
import json
import sqlite3
import zlib
from contextlib import closing
from pathlib import Path

OF_THE_HISTORY = {"event", "seal", "alembic_version"}
WORKED_OUT = {"duty": set(), "item_text": set(), "item": {"next_due", "untested", "present_environment"}}
"""What follows from other rows: whole tables, and columns of one."""

BY_ITS_DIGEST = {"photo": {"picture"}}
"""The bytes of a picture, of which another column of the row holds the digest."""

State = dict[tuple[str, str], str]
"""By table and key what a row holds, as a digest."""


def state_by_the_history(path: Path) -> State:
    """Return what every row holds by the seals, the latest word on each."""
    found: dict[tuple[str, str], str | None] = {}
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as file:
        for (packed,) in file.execute("SELECT rows FROM seal ORDER BY seq, part"):
            whole, said = json.loads(zlib.decompress(packed))
            if whole:
                found.clear()
            found.update({(table, key): state for table, rows in said.items() for key, state in rows.items()})
    return {each: state for each, state in found.items() if state is not None}


def state_at_present(path: Path) -> State:
    """Return what every row in the file holds, but for what is worked out from others."""
    found: State = {}
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as file:
        for table in sorted(_tables(file)):
            info = file.execute(f'PRAGMA table_info("{table}")').fetchall()
            left_out = WORKED_OUT.get(table, set()) | BY_ITS_DIGEST.get(table, set())
            columns = sorted({name for _at, name, *_rest in info} - left_out)
            key = [name for _at, name, *_rest, place in sorted(info, key=lambda each: each[5]) if place]
            for row in file.execute(f"SELECT {', '.join(map(_text, (*key, *columns)))} FROM {table}"):
                held = ",".join(map(_quoted, row[len(key) :]))
                found[table, " ".join(row[: len(key)])] = hashlib.sha256(held.encode()).hexdigest()[:32]
    return found


def _tables(file: sqlite3.Connection) -> set[str]:
    names = {name for (name,) in file.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    whole = {name for name, columns in WORKED_OUT.items() if not columns}
    return {each for each in names - OF_THE_HISTORY - whole if not each.startswith(("sqlite_", "item_search"))}


def _text(name: str) -> str:
    return f'CAST("{name}" AS TEXT)'


def _quoted(value: str | None) -> str:
    return "NULL" if value is None else "'" + value.replace("'", "''") + "'"

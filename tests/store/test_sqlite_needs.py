"""A SQLite that lacks what a register needs is named before a register is opened, with what it lacks."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from register.errors import Unavailable
from register.store import sqlite_needs
from register.store.engine import create_register
from register.store.sqlite_needs import check_sqlite, missing_from


@pytest.fixture
def lacking(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A SQLite that has no full-text search of a kind that is asked for."""
    wanted = "full-text search by trigrams (FTS5)"
    monkeypatch.setitem(sqlite_needs.NEEDS, wanted, "CREATE VIRTUAL TABLE found USING fts5(text, tokenize='none such')")
    check_sqlite.cache_clear()
    yield
    monkeypatch.undo()
    check_sqlite.cache_clear()


def test_this_sqlite_has_all_that_is_needed() -> None:
    assert missing_from(":memory:") == []


@pytest.mark.usefixtures("lacking")
def test_what_is_missing_is_said_and_no_register_is_made(tmp_path: Path) -> None:
    with pytest.raises(Unavailable, match=rf"SQLite {sqlite3.sqlite_version}.*lacks full-text search by trigrams"):
        create_register(tmp_path / "own.register")
    assert list(tmp_path.iterdir()) == []

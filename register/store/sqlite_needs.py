"""Whether the SQLite of this computer has what a register needs, tried once before the first one is opened."""

import sqlite3
from contextlib import closing
from functools import lru_cache
from typing import Final

from register.errors import Unavailable

NEEDS: Final = {
    "tables that hold a column to its kind (STRICT)": "CREATE TABLE tried (key INTEGER PRIMARY KEY, name TEXT) STRICT",
    "full-text search by trigrams (FTS5)": "CREATE VIRTUAL TABLE found USING fts5(text, tokenize='trigram')",
    "JSON in queries": "SELECT json_group_array(value) FROM json_each(json_array(json_extract('[1, 2]', '$[0]')))",
}
"""What is asked of SQLite, in words, with a statement that only works where it is there."""


@lru_cache(maxsize=1)
def check_sqlite() -> None:
    """Raise Unavailable, with what is missing, where this SQLite is too old or was built without what is needed."""
    missing = missing_from(":memory:")
    if missing:
        raise Unavailable(
            f"SQLite {sqlite3.sqlite_version}, which comes with this Python, lacks {' and '.join(missing)}, so no"
            " register was opened. Install Python 3.11 or newer from python.org, or a current SQLite."
        )


def missing_from(database: str) -> list[str]:
    """Return in words what a database can't do of all that is needed."""
    missing = []
    with closing(sqlite3.connect(database)) as connection:
        for words, statement in NEEDS.items():
            try:
                connection.execute(statement).fetchall()
            except sqlite3.Error:
                missing.append(words)
    return missing

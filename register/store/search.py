"""The search index: the text by which items are found, and the database's own index over it.

SQLite's index is kept here, not by triggers, because a register opened with `trusted_schema` off runs none on
virtual tables.
"""

from collections.abc import Iterable
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.bulk import insert_rows
from register.store.tables import ItemText
from register.store.types import SQLITE

SHORTEST = 3
"""The index holds runs of three characters; shorter words are not in it."""


def add_texts(connection: Connection, texts: Iterable[tuple[str, str]]) -> None:
    """Index new items: pairs of item id and text."""
    last = connection.execute(sa.select(sa.func.max(ItemText.row))).scalar() or 0
    insert_rows(connection, ItemText, ("item_id", "text"), texts)
    if connection.dialect.name == SQLITE:
        connection.exec_driver_sql(
            "INSERT INTO item_search(rowid, text) SELECT row, text FROM item_text WHERE row > ?", (last,)
        )


def change_text(connection: Connection, item_id: str, text: str) -> None:
    """Index an item anew."""
    row, before = connection.execute(sa.select(ItemText.row, ItemText.text).where(ItemText.item_id == item_id)).one()
    connection.execute(sa.update(ItemText).where(ItemText.item_id == item_id).values(text=text))
    if connection.dialect.name == SQLITE:
        connection.exec_driver_sql(
            "INSERT INTO item_search(item_search, rowid, text) VALUES ('delete', ?, ?)", (row, before)
        )
        connection.exec_driver_sql("INSERT INTO item_search(rowid, text) VALUES (?, ?)", (row, text))


def having(connection: Connection, words: Iterable[str]) -> sa.ColumnElement[bool]:
    """Return the condition that an item's text holds every word; each has at least `SHORTEST` characters."""
    if connection.dialect.name != SQLITE:
        return sa.and_(*(ItemText.text.contains(word, autoescape=True) for word in words))
    match = " AND ".join('"' + word.replace('"', '""') + '"' for word in words)
    hits: Any = sa.text("SELECT rowid FROM item_search WHERE item_search MATCH :match").bindparams(match=match)
    return ItemText.row.in_(hits.columns(sa.column("rowid", sa.Integer)).scalar_subquery())

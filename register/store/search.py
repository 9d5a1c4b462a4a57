"""The search index: the text by which items are found, and the database's own index over it.

SQLite's index is kept here, not by triggers, because a register opened with `trusted_schema` off runs none on
virtual tables.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.text import clean_text
from register.store.bulk import insert_rows, one_of
from register.store.tables import Item, ItemText
from register.store.types import SQLITE

SHORTEST: Final = 3
"""The index holds runs of three characters; shorter words are not in it."""

LAST: Final = "\U0010ffff"
"""No text that begins with a word comes after the word with this behind it."""


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


def remove_texts(connection: Connection, item_ids: Sequence[str]) -> None:
    """Find these items by nothing any more."""
    gone = one_of(connection, item_ids)(ItemText.item_id)
    if connection.dialect.name == SQLITE:
        forget = sa.table("item_search", sa.column("item_search"), sa.column("rowid"), sa.column("text"))
        rows = sa.select(sa.literal("delete"), ItemText.row, ItemText.text).where(gone)
        connection.execute(sa.insert(forget).from_select(["item_search", "rowid", "text"], rows))
    connection.execute(sa.delete(ItemText).where(gone))


@dataclass(frozen=True, slots=True)
class Words:
    """The words that are searched for. Those of at least `SHORTEST` characters are in the index, the others are not."""

    long: tuple[str, ...]
    short: tuple[str, ...]

    @property
    def shape(self) -> tuple[int, int]:
        """How many there are of each: all that the statement depends on."""
        return len(self.long), len(self.short)


def words_of(text: str) -> Words:
    """Return the words of what somebody typed."""
    words = clean_text(text).casefold().split()
    return Words(
        tuple(word for word in words if len(word) >= SHORTEST), tuple(word for word in words if len(word) < SHORTEST)
    )


def matching(dialect: str, shape: tuple[int, int]) -> sa.ColumnElement[bool]:
    """Return the condition that every word stands somewhere in an item's text, for so many long and short words.

    One or two letters begin a word of it; where nothing longer stands beside them they begin the tag. The words
    are bound later, by `word_values`.
    """
    long, short = shape
    if long and dialect != SQLITE:
        return _on_server(short)
    statement = sa.select(ItemText.item_id)
    if long:
        statement = statement.where(_IN_INDEX)
    for number in range(short):
        begins = _begins_word(f"short_{number}") if long else _begins_tag(f"short_{number}")
        statement = statement.where(begins)
    return Item.id.in_(statement)


def word_values(dialect: str, words: Words) -> dict[str, Any]:
    """Return the values that `matching` leaves open, by name."""
    values: dict[str, Any] = {}
    if words.long and dialect == SQLITE:
        values["match"] = " AND ".join('"' + word.replace('"', '""') + '"' for word in words.long)
    elif words.long:
        values["patterns"] = [f"%{_escaped(word)}%" for word in words.long]
    for number, word in enumerate(words.short):
        name = f"short_{number}"
        if words.long:
            values |= {name: f"{_escaped(word)}%", f"{name}_within": f"% {_escaped(word)}%"}
        else:
            values |= {name: word.upper(), f"{name}_last": word.upper() + LAST}
    return values


_HITS: Final[Any] = sa.text("SELECT rowid FROM item_search WHERE item_search MATCH :match")
_IN_INDEX: Final = ItemText.row.in_(_HITS.columns(sa.column("rowid", sa.Integer)).scalar_subquery())


def _on_server(short: int) -> sa.ColumnElement[bool]:
    """Return the condition for words on a server, where `rights` made a function that finds the long ones together.

    Asked directly, the index would not serve: whose a text is decides first, text by text, whether it is looked at.
    """
    own = sa.select(ItemText.row).where(ItemText.item_id == Item.id)
    begun = (own.where(_begins_word(f"short_{number}")).exists() for number in range(short))
    return sa.and_(Item.id.in_(sa.select(sa.func.items_with(_PATTERNS))), *begun)


_PATTERNS: Final = sa.bindparam("patterns", type_=sa.ARRAY(sa.Text))


def _like(name: str) -> sa.ColumnElement[bool]:
    return ItemText.text.like(sa.bindparam(name, type_=sa.Text), escape="/")


def _escaped(word: str) -> str:
    return word.replace("/", "//").replace("%", "/%").replace("_", "/_")


def _begins_word(name: str) -> sa.ColumnElement[bool]:
    return sa.or_(_like(name), _like(f"{name}_within"))


def _begins_tag(name: str) -> sa.ColumnElement[bool]:
    first, last = sa.bindparam(name, type_=sa.Text), sa.bindparam(f"{name}_last", type_=sa.Text)
    return ItemText.item_id.in_(sa.select(Item.id).where(Item.tag_number.between(first, last)))

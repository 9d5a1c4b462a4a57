"""The chain of the history: each event, and each seal, holds a hash of what is before it."""

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import orjson
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.bulk import rows_of
from register.store.seals import Seal
from register.store.tables import Event
from register.store.types import SQLITE

FIRST: Final = "0" * 64
_LEAF: Final = b"\x01"
_SEAL: Final = b"\x02"


@dataclass(frozen=True, slots=True)
class Head:
    """The end of the chain: how many events there are, and the hash of the last one or of what was sealed after it."""

    count: int
    hash: str


def head(connection: Connection) -> Head:
    """Return the end of the chain; on a server also for whoever does not see all events."""
    if connection.dialect.name != SQLITE:
        return Head(*connection.exec_driver_sql("SELECT seq, hash FROM event_head()").one())
    row = connection.execute(sa.select(Event.seq, Event.hash).order_by(Event.seq.desc()).limit(1)).first()
    seq, link = (row.seq, row.hash) if row else (0, FIRST)
    return Head(seq, _sealed_after(connection, seq) or link)


def last_part(connection: Connection, end: Head) -> int:
    """Return how many seals follow on the last event; on a server also for whoever does not see them."""
    if connection.dialect.name != SQLITE:
        return int(connection.exec_driver_sql("SELECT part FROM event_head()").scalar_one())
    return connection.execute(sa.select(sa.func.max(Seal.part)).where(Seal.seq == end.count)).scalar() or 0


def end_in(connection: sqlite3.Connection) -> str:
    """Return the hash at the end of the chain of a file that is read without the program's own way."""
    row = connection.execute(_END).fetchone()
    return str(row[0]) if row[0] else FIRST


_END: Final = (
    "SELECT coalesce((SELECT hash FROM seal WHERE seq = (SELECT coalesce(max(seq), 0) FROM event)"
    " ORDER BY part DESC LIMIT 1), (SELECT hash FROM event ORDER BY seq DESC LIMIT 1))"
)


def passed(connection: Connection, end: Head) -> bool:
    """Whether the chain went through what was once its end, as a report tells it."""
    links = sa.union(
        sa.select(Event.hash).where(Event.seq == end.count), sa.select(Seal.hash).where(Seal.seq == end.count)
    )
    return end.hash in connection.execute(links).scalars().all()


def _sealed_after(connection: Connection, seq: int) -> str | None:
    last = sa.select(Seal.hash).where(Seal.seq == seq).order_by(Seal.part.desc()).limit(1)
    return connection.execute(last).scalar()


def passed_in(connection: sqlite3.Connection, end: Head) -> bool:
    """Whether the chain of a file that is read without the program's own way went through what was once an end."""
    links = "SELECT hash FROM event WHERE seq = :seq UNION SELECT hash FROM seal WHERE seq = :seq"
    return (end.hash,) in connection.execute(links, {"seq": end.count}).fetchall()


def broken_at(connection: Connection) -> int | None:
    """Return the `seq` of the first event that does not follow from what is before it, or whose seal does not.

    None where all do.
    """
    try:
        return _first_broken(
            rows_of(connection, sa.select(Event.seq, *_CHAINED).order_by(Event.seq)), _Seals(connection)
        )
    except sqlite3.OperationalError:  # bytes that are no text, as somebody's editor may leave them
        return _first_broken(_read_as_bytes(connection), _Seals(connection))


def _first_broken(rows: Iterable[Sequence[Any]], seals: "_Seals") -> int | None:
    previous, expected = FIRST, 1
    for seq, *parts, found in rows:
        sealed = seals.follow(previous, seq)
        if sealed is None:
            return seals.broken_at
        if seq != expected or event_hash(sealed, seq, *parts) != found:
            return expected
        previous, expected = found, seq + 1
    return seals.broken_at if seals.follow(previous, None) is None else None


class _Seals:
    """The seals in their order, each to be held against what is before it."""

    def __init__(self, connection: Connection) -> None:
        columns = (Seal.seq, Seal.part, Seal.rows, sa.cast(Seal.hash, sa.LargeBinary))
        self._rows = iter(connection.execute(sa.select(*columns).order_by(Seal.seq, Seal.part)))
        self._next = next(self._rows, None)
        self.broken_at = 0

    def follow(self, previous: str, before: int | None) -> str | None:
        """Return the hash of the last seal before an event, or `previous`; None where one does not follow."""
        while self._next is not None and (before is None or self._next[0] < before):
            seq, part, rows, found = self._next
            link = seal_hash(previous, seq, part, rows)
            if link.encode() != found:
                self.broken_at = seq
                return None
            previous, self._next = link, next(self._rows, None)
        return previous


def seal_hash(previous: str, seq: int, part: int, rows: bytes) -> str:
    """Return the hash of a seal: of what is before it in the chain, where it stands, and what it says."""
    return hashlib.sha256(_SEAL + bytes.fromhex(previous) + f"[{seq},{part}]".encode() + rows).hexdigest()


_CHAINED: Final = (Event.id, Event.at, Event.actor, Event.name, Event.subject, Event.data, Event.hash)


def _read_as_bytes(connection: Connection) -> Iterator[Sequence[Any]]:
    raw = [sa.cast(column, sa.LargeBinary) for column in _CHAINED]
    for seq, *values in connection.execute(sa.select(Event.seq, *raw).order_by(Event.seq)):
        yield seq, *(bytes(value).decode(errors="surrogateescape") for value in values)


def event_hash(previous: str, seq: int, *parts: str) -> str:
    """Return the hash of an event: of what is before it in the chain, its number, and what it says."""
    content = [str(seq), *parts]
    try:
        said = orjson.dumps(content)
    except TypeError:  # damage may leave bytes that are no text
        said = f"[{','.join(map(json.encoder.encode_basestring, content))}]".encode(errors="surrogateescape")
    return hashlib.sha256(_LEAF + bytes.fromhex(previous) + said).hexdigest()

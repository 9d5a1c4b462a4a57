"""Ranges of tag numbers: who may give out which, the next one of each, and that no two ever share one."""

from dataclasses import dataclass
from datetime import date
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.tag_numbers import FEW, Numbers, numbers_of
from register.domain.text import clean_text
from register.errors import Refused
from register.services.clashes import check_unchanged
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Tag
from register.store.tag_ranges import TagRange

_AT_ONCE: Final = 500


@dataclass(frozen=True, slots=True)
class RangeRow:
    """The tag numbers of one holder. `following` is the next one free, None where none is left or the range ended."""

    id: str
    holder: str
    numbers: Numbers
    following: str | None
    left: int
    ended_on: date | None
    version: int

    @property
    def few(self) -> bool:
        """Whether so few are left that it is time for another range."""
        return self.ended_on is None and self.left <= FEW


def ranges(connection: Connection) -> list[RangeRow]:
    """Return all ranges, those in use first, by holder and first number."""
    rows = connection.execute(sa.select(TagRange.__table__)).all()
    found = [_row(connection, row) for row in rows]
    return sorted(found, key=lambda row: (row.ended_on is not None, row.holder, row.numbers.words))


def _row(connection: Connection, row: Row[Any]) -> RangeRow:
    numbers = _numbers(row)
    following = None if row.ended_on is not None else _free(connection, numbers, row.following)
    left = 0 if following is None else row.last - following + 1
    written = None if following is None else numbers.written(following)
    return RangeRow(
        id=row.id,
        holder=row.holder,
        numbers=numbers,
        following=written,
        left=left,
        ended_on=row.ended_on,
        version=row.version,
    )


def _free(connection: Connection, numbers: Numbers, since: int) -> int | None:
    """Return the first number of a range, from one on, that no item has or had; None where none is left."""
    start = max(since, numbers.first)
    while start <= numbers.last:
        some = {numbers.written(each): each for each in range(start, min(start + _AT_ONCE, numbers.last + 1))}
        taken = set(connection.execute(sa.select(Tag.number).where(Tag.number.in_(some))).scalars())
        free = next((each for written, each in some.items() if written not in taken), None)
        if free is not None:
            return free
        start += _AT_ONCE
    return None


def add_range(change: Change, *, holder: str, prefix: str, digits: int, first: int, last: int) -> str:
    """Give tag numbers to a holder and return the range's id.

    Refused where another range, an ended one included, has any of them: a number is never given out twice.
    """
    holder = clean_text(holder)
    if not holder:
        raise Refused("A range of tag numbers needs a holder, such as the van or the person who gives them out.")
    numbers = numbers_of(clean_text(prefix).upper(), digits, first, last)
    for other in ranges(change.session.connection()):
        if numbers.overlaps(other.numbers):
            ended = ", though that range ended" if other.ended_on is not None else ""
            raise Refused(
                f"{numbers.words} shares numbers with {other.numbers.words} of {other.holder}{ended}. Numbers are"
                " never given out twice: choose others."
            )
    row = TagRange(holder=holder, prefix=numbers.prefix, digits=digits, first=first, last=last, following=first)
    change.session.add(row)
    change.session.flush()
    audit.log(change, Name.TAG_RANGE_ADD, row.id, name=f"{holder}: {numbers.words}")
    return row.id


def end_range(change: Change, range_id: str, *, version: int) -> None:
    """End a range: what is left of it is never given out, by nobody. Refused where somebody else changed it."""
    row = change.session.get_one(TagRange, range_id)
    numbers = _numbers(row)
    check_unchanged(numbers.words, found=row.version, opened=version)
    if row.ended_on is None:
        row.ended_on = change.today
        change.session.flush()
        audit.log(change, Name.TAG_RANGE_END, row.id, name=f"{row.holder}: {numbers.words}", on=change.today)


def take_following(change: Change, range_id: str) -> str:
    """Return the next number of a range, which nobody gets after this; refused where none is left."""
    row = change.session.get_one(TagRange, range_id)
    numbers = _numbers(row)
    free = None if row.ended_on is not None else _free(change.session.connection(), numbers, row.following)
    if free is None:
        raise Refused(
            f"No number is left of {numbers.words} for {row.holder}. Give {row.holder} another range under Firm, Tags."
        )
    row.following = free + 1
    return numbers.written(free)


def check_holder(connection: Connection, number: str, range_id: str | None) -> None:
    """Refuse a number that is kept for another holder than that of a range; without one, for anybody's."""
    for row in connection.execute(sa.select(TagRange.__table__)):
        numbers = _numbers(row)
        if row.id != range_id and numbers.holds(number) and not _same_holder(connection, row.holder, range_id):
            raise Refused(
                f"The tag {number} is kept for {row.holder} ({numbers.words}). Choose {row.holder}'s range, or use a"
                " tag of your own."
            )


def _same_holder(connection: Connection, holder: str, range_id: str | None) -> bool:
    mine = connection.execute(sa.select(TagRange.holder).where(TagRange.id == range_id)).scalar()
    return mine == holder


def _numbers(row: TagRange | Row[Any]) -> Numbers:
    return Numbers(row.prefix, row.digits, row.first, row.last)

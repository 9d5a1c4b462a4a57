"""How long records and photos are kept, what is past that, and removing it when the contractor says so.

Nothing is removed by itself. Whatever the years, the last pass of each duty and the last test of an item stay until
the next one or until the item is removed for good, as the law asks, and so does all of an item that is out of service;
so no date ever changes by it.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection
from sqlalchemy.orm import aliased

from register.domain.explain import day_words
from register.domain.words import Result
from register.errors import Refused
from register.services.projection import REMOVED, WITHDRAWN, redate
from register.services.settings import KEEP_YEARS, setting
from register.store import audit
from register.store.amended import Correction, stands
from register.store.audit import Name
from register.store.bulk import chunks, delete_rows, insert_rows, one_of
from register.store.engine import Change
from register.store.let_go import LetGo
from register.store.photos import Photo, WithdrawalPhoto
from register.store.rows import table_of
from register.store.tables import Event, Item, Reading, Record, RecordDuty, Withdrawal
from register.store.types import new_key

LAW: Final = (
    "The law's least, Model WHS Regulations r 150(3) and r 165(2): each record until the item's next test, or until it"
    " is removed for good. Local law may ask more; it decides."
)
PRACTICE: Final = (
    "Seven years is what AS/NZS 3760:2003 clause 2.5.2 asks unless regulations say otherwise (restated second-hand)."
)

RECORD, PHOTO = "record", "photo"


@dataclass(frozen=True, slots=True)
class Past:
    """One record or photo that need not be kept any longer: its id, item, and the day it is of."""

    kind: str
    id: str
    item_id: str
    day: date


@dataclass(frozen=True, slots=True)
class YearPast:
    """What is past keeping of one year: how many records and photos, of how many items."""

    year: int
    records: int
    photos: int
    items: int


@dataclass(frozen=True, slots=True)
class Keeping:
    """How long records are kept, and what is past it. What is of a day before `before` need not be kept.

    `still` counts the records of before that day that stay all the same; `gone` what was removed so far.
    """

    years: int
    before: date
    past: tuple[YearPast, ...]
    still: int
    gone: int

    @property
    def records(self) -> int:
        """How many records are past keeping."""
        return sum(each.records for each in self.past)

    @property
    def photos(self) -> int:
        """How many photos are past keeping."""
        return sum(each.photos for each in self.past)


@dataclass(frozen=True, slots=True)
class LetGone:
    """What was removed."""

    records: int
    photos: int
    before: date


def keeping(connection: Connection, today: date) -> Keeping:
    """Return how long records are kept, and by years what is past that on a day."""
    years = int(setting(connection, "keep_years", KEEP_YEARS))
    before = years_before(today, years)
    past = past_keeping(connection, before)
    old = sa.select(sa.func.count()).select_from(Record).where(Record.tested_on < before)
    counts = Counter((each.day.year, each.kind) for each in past)
    items = {year: len({each.item_id for each in past if each.day.year == year}) for year, _kind in counts}
    rows = tuple(YearPast(year, counts[year, RECORD], counts[year, PHOTO], items[year]) for year in sorted(items))
    records = sum(row.records for row in rows)
    gone = connection.execute(sa.select(sa.func.count()).select_from(LetGo)).scalar_one()
    return Keeping(years, before, rows, connection.execute(old).scalar_one() - records, gone)


def years_before(day: date, years: int) -> date:
    """Return the first day of which everything is still kept on another day, so many years on."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:  # the 29th of February, in a year that has none
        return date(day.year - years, 3, 1)


def past_keeping(connection: Connection, before: date) -> list[Past]:
    """Return what is of a day before `before` and need not be kept, in the order of days."""
    found = [*_records(connection, before), *_photos(connection, before)]
    return sorted(found, key=lambda each: (each.day, each.kind, each.id))


def _records(connection: Connection, before: date) -> Iterator[Past]:
    """Yield the records that need not be kept: no date, withdrawal or correction that stays rests on them."""
    passes = (
        sa.select(RecordDuty.item_id, RecordDuty.duty, sa.func.max(RecordDuty.tested_on).label("on"))
        .where(RecordDuty.verdict == Result.PASS.value, stands(RecordDuty.record_id))
        .group_by(RecordDuty.item_id, RecordDuty.duty)
        .subquery()
    )
    counts = sa.select(RecordDuty.record_id).join(
        passes,
        sa.and_(
            passes.c.item_id == RecordDuty.item_id, passes.c.duty == RecordDuty.duty,
            passes.c.on == RecordDuty.tested_on,
        ),
    )  # fmt: skip
    later = aliased(Record)
    tested_since = sa.exists().where(
        later.item_id == Record.item_id, later.tested_on > Record.tested_on, stands(later.id)
    )
    statement = (
        sa.select(Record.id, Record.item_id, Record.tested_on)
        .join(Item, Item.id == Record.item_id)
        .where(
            Record.tested_on < before,
            Item.state != WITHDRAWN,
            sa.or_(Item.state == REMOVED, sa.and_(Record.id.not_in(counts), tested_since)),
        )
    )
    rows = {row.id: row for row in connection.execute(statement)}
    kept = _corrected(connection, rows)
    return (Past(RECORD, key, row.item_id, row.tested_on) for key, row in rows.items() if key not in kept)


def _corrected(connection: Connection, ids: Collection[str]) -> set[str]:
    """Return those records that stay because a correction of a record that stays leads to them."""
    links = connection.execute(sa.select(Correction.record_id, Correction.new_record_id)).all()
    kept: set[str] = set()
    while True:
        stay = {new for old, new in links if old not in ids or old in kept}
        more = {new for new in stay if new is not None and new in ids} - kept
        if not more:
            return kept
        kept |= more


def _photos(connection: Connection, before: date) -> Iterator[Past]:
    """Yield the pictures of withdrawals that ended so long ago, unless another withdrawal shows the same one."""
    needed = (
        sa.select(WithdrawalPhoto.photo_id)
        .join(Withdrawal, Withdrawal.id == WithdrawalPhoto.withdrawal_id)
        .where(sa.or_(Withdrawal.ended_on.is_(None), Withdrawal.ended_on >= before))
    )
    statement = (
        sa.select(
            WithdrawalPhoto.photo_id,
            sa.func.min(sa.cast(WithdrawalPhoto.item_id, sa.Text)),
            sa.func.max(Withdrawal.ended_on),
        )
        .join(Withdrawal, Withdrawal.id == WithdrawalPhoto.withdrawal_id)
        .where(WithdrawalPhoto.photo_id.not_in(needed))
        .group_by(WithdrawalPhoto.photo_id)
    )
    for key, item_id, ended_on in connection.execute(statement):
        assert ended_on is not None
        yield Past(PHOTO, key, item_id, ended_on)


def let_go(change: Change, before: date) -> LetGone:
    """Remove for good what is of a day before `before` and past keeping; the history tells how much, and stays whole.

    Refused where that day is not past keeping yet, and where there is nothing to remove. It can't be undone.
    """
    connection = change.session.connection()
    years = int(setting(connection, "keep_years", KEEP_YEARS))
    if before > years_before(change.today, years):
        raise Refused(
            f"Records of {day_words(before)} are kept until {years} years have passed. Choose an earlier day, or set"
            " fewer years under Settings."
        )
    past = past_keeping(connection, before)
    if not past:
        raise Refused(
            f"Nothing of before {day_words(before)} is past keeping, so there is nothing to remove. Set fewer years"
            " under Settings, or leave it."
        )
    change.session.flush()
    _list(change, past)
    ids = {kind: [each.id for each in past if each.kind == kind] for kind in (RECORD, PHOTO)}
    _take_out_records(connection, ids[RECORD])
    _take_out_photos(connection, ids[PHOTO])
    change.session.expire_all()
    audit.log(
        change, Name.LET_GO, new_key(), before=before, years=years, records=len(ids[RECORD]), photos=len(ids[PHOTO]),
        items=len({each.item_id for each in past}), sha256=_digest(past),
    )  # fmt: skip
    redate(change, {each.item_id for each in past})
    return LetGone(len(ids[RECORD]), len(ids[PHOTO]), before)


def _list(change: Change, past: Collection[Past]) -> None:
    """Name what goes, which lets the tables of records and photos let go of it."""
    columns = ("id", "kind", "item_id", "day", "let_go_by", "let_go_at")
    rows = ((each.id, each.kind, each.item_id, each.day, change.actor, change.at) for each in past)
    insert_rows(change.session.connection(), LetGo, columns, rows)


def _digest(past: Collection[Past]) -> str:
    lines = sorted(f"{each.kind} {each.id} {each.item_id} {each.day.isoformat()}" for each in past)
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


def _take_out_records(connection: Connection, ids: Collection[str]) -> None:
    for some in chunks(ids, 5_000):
        among = one_of(connection, some)
        connection.execute(sa.delete(table_of(Correction)).where(among(Correction.record_id)))
        for column in (Withdrawal.record_id, Withdrawal.end_record_id):
            connection.execute(sa.update(table_of(Withdrawal)).where(among(column)).values({column.key: None}))
    for table, key in ((Reading, "record_id"), (RecordDuty, "record_id"), (Record, "id")):
        delete_rows(connection, table, (key,), ((each,) for each in ids))


def _take_out_photos(connection: Connection, ids: Collection[str]) -> None:
    for table, key in ((WithdrawalPhoto, "photo_id"), (Photo, "id")):
        delete_rows(connection, table, (key,), ((each,) for each in ids))


def let_go_faults(connection: Connection) -> Iterator[str]:
    """Yield a sentence where more or less is listed as removed than the history tells."""
    told = connection.execute(sa.select(Event.data).where(Event.name == Name.LET_GO.value)).scalars()
    events = sum(said["records"] + said["photos"] for said in map(json.loads, told))
    rows = connection.execute(sa.select(sa.func.count()).select_from(LetGo)).scalar_one()
    if rows != events:
        yield f"{rows:,} records and photos are listed as removed after their time; the history tells of {events:,}."

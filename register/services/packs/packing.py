"""Making a field pack: the part of the office's register that belongs to some sites, in a register of its own."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.text import clean_text
from register.errors import Refused
from register.services.item_texts import texts
from register.services.packs.identity import FIELD_PACK, FieldPack, field_pack, key_of, register_identity
from register.services.places import known_site
from register.services.projection import REMOVED, redate
from register.services.rulebooks import rulebook
from register.services.settings import BY_NAME
from register.store import audit, chain
from register.store.amended import Correction
from register.store.audit import Name
from register.store.bulk import insert_rows, rows_of
from register.store.engine import Change
from register.store.packs import Pack, PackBase
from register.store.photos import Photo, WithdrawalPhoto
from register.store.rows import plain, table_of
from register.store.search import add_texts
from register.store.tables import (
    Area,
    Exposure,
    HeldLimit,
    Instrument,
    Item,
    Mark,
    Override,
    Owner,
    Reading,
    Record,
    RecordDuty,
    Setting,
    Site,
    Table,
    Tag,
    Tester,
    Withdrawal,
)
from register.store.tag_ranges import TagRange
from register.store.types import new_key

LONGEST_DAYS: Final = 92
"""A pack holds for a quarter at most (common practice, no source): what is older is out of step with the office."""

KEPT_WHOLE: Final = (Item, Tag, Withdrawal, TagRange)
"""What a field register keeps word for word as it was packed, because its rows can change there."""

KEPT_BY_KEY: Final = (Area, Tester, Instrument, HeldLimit, Exposure, Record, Mark, Correction, Photo, WithdrawalPhoto)
"""What is only ever added to in the field, so that its keys are enough."""

_NOT_SENT: Final = frozenset({"register_id", "pack_secret", "copies_folder", "second_copies_folder", FIELD_PACK})


class PackState(StrEnum):
    """Where a field pack stands: it is out, work came back of it, or its day is past and none came."""

    OUT = "out"
    BACK = "came-back"
    EXPIRED = "expired"


@dataclass(frozen=True, slots=True)
class PackRow:
    """A field pack as the office remembers it. `counts` says what came back, empty before anything did."""

    id: str
    sites: tuple[str, ...]
    holder: str
    made_on: date
    expires_on: date
    items: int
    merged: bool
    counts: dict[str, int]

    def state(self, today: date) -> PackState:
        """Return where it stands on a day."""
        if self.merged:
            return PackState.BACK
        return PackState.OUT if self.expires_on >= today else PackState.EXPIRED


def packs_made(connection: Connection) -> list[PackRow]:
    """Return the packs that this register made, the latest first."""
    rows = connection.execute(sa.select(Pack.__table__).order_by(Pack.id.desc()))
    return [
        PackRow(
            id=row.id,
            sites=tuple(row.sites),
            holder=row.holder,
            made_on=row.made_on,
            expires_on=row.expires_on,
            items=row.items,
            merged=row.merged_at is not None,
            counts=dict(row.counts),
        )
        for row in rows
    ]


def begin_pack(change: Change, sites: Sequence[str], holder: str, expires_on: date) -> FieldPack:
    """Note in the office that a pack of some sites, by their codes, is made for somebody; return what it says.

    Refused in a register that is a field pack itself, without a holder or a site, and for an expiry out of reason.
    """
    connection = change.session.connection()
    mine = field_pack(connection)
    if mine is not None:
        raise Refused(f"This register is itself a field pack for {mine.holder}. Make packs from the office's register.")
    name = clean_text(holder)
    if not name:
        raise Refused("A field pack needs a holder. Give the name of who works with it.")
    if not sites:
        raise Refused("A field pack needs at least one site. Name the sites that it is for.")
    _check_expiry(expires_on, change.today)
    ids = {known_site(connection, code) for code in sites}
    register, key = register_identity(change), new_key()
    change.session.flush()
    rows = connection.execute(sa.select(Site.code, Site.rulebook).where(Site.id.in_(ids)).order_by(Site.code)).all()
    made = FieldPack(
        id=key, register=register, firm=_text(connection, "firm"), holder=name,
        sites=tuple(row.code for row in rows), items=_present(connection, ids), made_at=change.at,
        made_on=change.today, expires_on=expires_on, head=chain.head(connection).hash,
        rulebooks={each: rulebook(each).version for each in sorted(_rulebooks(connection, ids))},
        key=key_of(connection, key),
    )  # fmt: skip
    change.session.add(
        Pack(
            id=key, sites=list(made.sites), holder=name, made_at=change.at, made_on=change.today,
            expires_on=expires_on, items=made.items, merged_at=None, counts={},
        )
    )  # fmt: skip
    audit.log(change, Name.PACK_MAKE, key, sites=list(made.sites), holder=name, expires_on=expires_on, items=made.items)
    return made


def _check_expiry(expires_on: date, today: date) -> None:
    if expires_on < today:
        raise Refused(f"A pack that expires on {day_words(expires_on)} could not be opened any more. Give a later day.")
    if (expires_on - today).days > LONGEST_DAYS:
        raise Refused(f"A field pack holds for {LONGEST_DAYS} days at most. Give an earlier day than {expires_on}.")


def _text(connection: Connection, name: str) -> str:
    found = connection.execute(sa.select(Setting.value).where(Setting.name == name)).scalar()
    return found if isinstance(found, str) else ""


def _present(connection: Connection, sites: set[str]) -> int:
    counted = sa.select(sa.func.count()).select_from(Item).where(Item.site_id.in_(sites), Item.state != REMOVED)
    return int(connection.execute(counted).scalar_one())


def _rulebooks(connection: Connection, sites: set[str]) -> set[str]:
    """Return the rulebooks of the sites, and of every place where their items were."""
    items = sa.select(Item.id).where(Item.site_id.in_(sites))
    stays = sa.select(Exposure.rulebook).where(Exposure.item_id.in_(items))
    return set(connection.execute(sa.union(sa.select(Site.rulebook).where(Site.id.in_(sites)), stays)).scalars())


def fill_pack(office: Connection, change: Change, pack: FieldPack) -> None:
    """Fill an empty register with what a pack holds; `change` is a transaction of that register."""
    connection = change.session.connection()
    connection.exec_driver_sql("PRAGMA defer_foreign_keys=1")  # items point to each other, in whatever order they come
    for table, condition in _parts(pack.sites):
        _copy(office, connection, table, condition)
    _forget_items_elsewhere(connection)
    _close_others_ranges(connection, pack)
    for setting in office.execute(sa.select(Setting.name, Setting.value).where(Setting.name.in_(BY_NAME))):
        if setting.name not in _NOT_SENT:
            change.session.add(Setting(name=setting.name, value=setting.value))
    change.session.add(Setting(name="register_id", value=pack.id))
    change.session.add(Setting(name=FIELD_PACK, value=pack.plain()))
    change.session.flush()
    add_texts(connection, texts(connection).items())
    insert_rows(connection, PackBase, ("kind", "key", "kept"), _base(connection))
    audit.log(change, Name.PACK_OPEN, pack.id, sites=list(pack.sites), holder=pack.holder, head=pack.head)
    redate(change)


def _copy(office: Connection, field: Connection, table: type[Table], condition: sa.ColumnElement[bool]) -> None:
    columns = table.__table__.columns
    insert_rows(field, table, [each.name for each in columns], rows_of(office, sa.select(*columns).where(condition)))


def _forget_items_elsewhere(connection: Connection) -> None:
    """Let an item not point to one that it replaced, or that replaced it, at a site that is not sent."""
    item, sent = table_of(Item), sa.select(Item.id)
    for column in (item.c.replaces_id, item.c.replaced_by_id):
        connection.execute(sa.update(item).where(column.not_in(sent)).values({column: None}))


def _close_others_ranges(connection: Connection, pack: FieldPack) -> None:
    """Leave the holder's ranges of tag numbers alone open, so that two laptops never give out the same number."""
    for row in connection.execute(sa.select(TagRange.id, TagRange.holder).where(TagRange.ended_on.is_(None))).all():
        if row.holder.casefold() != pack.holder.casefold():
            connection.execute(sa.update(table_of(TagRange)).where(TagRange.id == row.id).values(ended_on=pack.made_on))


def _parts(codes: Sequence[str]) -> list[tuple[type[Table], sa.ColumnElement[bool]]]:
    """Return each table that is sent, in the order in which rows lead to others, and which of its rows."""
    own = sa.select(Site.id).where(Site.code.in_(codes))
    items = sa.select(Item.id).where(Item.site_id.in_(own))
    stays = sa.select(Exposure.area_id).where(Exposure.item_id.in_(items))
    sites = sa.select(Site.id).where(sa.or_(
        Site.id.in_(own), Site.id.in_(sa.select(Exposure.site_id).where(Exposure.item_id.in_(items)))
    ))  # fmt: skip
    areas = sa.select(Area.id).where(sa.or_(Area.site_id.in_(own), Area.id.in_(stays)))
    owners = sa.union(
        sa.select(Site.owner_id).where(Site.id.in_(sites)), sa.select(Tag.owner_id).where(Tag.item_id.in_(items))
    )
    records = sa.select(Record.id).where(Record.item_id.in_(items))
    out = sa.select(Withdrawal.id).where(Withdrawal.item_id.in_(items), Withdrawal.ended_on.is_(None))
    shown = WithdrawalPhoto.withdrawal_id.in_(out)
    replaced = sa.or_(Correction.new_record_id.is_(None), Correction.new_record_id.in_(records))
    targets = sa.or_(Override.target_id.in_(sites), Override.target_id.in_(areas), Override.target_id.in_(items))
    return [
        (Owner, Owner.id.in_(owners)), (Site, Site.id.in_(sites)), (Area, Area.id.in_(areas)),
        (Tester, sa.true()), (Instrument, sa.true()), (HeldLimit, sa.true()), (TagRange, sa.true()),
        (Item, Item.id.in_(items)),
        (Tag, Tag.item_id.in_(items)), (Exposure, Exposure.item_id.in_(items)), (Override, targets),
        (Record, Record.id.in_(records)), (RecordDuty, RecordDuty.item_id.in_(items)),
        (Reading, Reading.record_id.in_(records)), (Mark, Mark.item_id.in_(items)),
        (Withdrawal, Withdrawal.item_id.in_(items)),
        (Photo, Photo.id.in_(sa.select(WithdrawalPhoto.photo_id).where(shown))), (WithdrawalPhoto, shown),
        (Correction, sa.and_(Correction.record_id.in_(records), replaced)),
    ]  # fmt: skip


def _base(connection: Connection) -> Iterator[tuple[str, str, Any]]:
    """Yield the rows of a fresh field register as they are to be remembered."""
    for table in KEPT_WHOLE:
        for row in connection.execute(sa.select(table.__table__)).mappings():
            yield table.__tablename__, row["id"], plain(table_of(table), dict(row))
    for by_key in KEPT_BY_KEY:
        for key in connection.execute(sa.select(by_key.id)).scalars():
            yield by_key.__tablename__, key, None

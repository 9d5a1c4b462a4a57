"""Bringing new rows from the field into the office's tables, where others may hold the same name or number already.

Each rule gives the same rows in whatever order packs come: the one that was made first keeps a number or a place,
which its id tells, and nothing is dropped.
"""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.text import LONGEST_TAG
from register.services.packs.work import FieldWork
from register.store.amended import Correction
from register.store.bulk import chunks, one_of
from register.store.engine import Change
from register.store.let_go import LetGo
from register.store.photos import Photo, WithdrawalPhoto
from register.store.rows import table_of, values
from register.store.search import add_texts
from register.store.tables import (
    Area,
    CodeAside,
    Exposure,
    HeldLimit,
    Instrument,
    Item,
    Mark,
    Reading,
    Record,
    RecordDuty,
    Site,
    Table,
    Tag,
    Tester,
    Withdrawal,
)

Row = dict[str, Any]

_WAITING: Final = 1_000_000
"""Where the places of an item wait for their turn."""


@dataclass(frozen=True, slots=True)
class Clash:
    """One thing that the office and the field, or two laptops, did to the same item; and what stands now."""

    tag: str
    what: str


@dataclass(slots=True)
class Joining:
    """A merge under way: what was added, which items it concerns, and what clashed."""

    change: Change
    work: FieldWork
    added: Counter[str] = field(default_factory=Counter)
    touched: set[str] = field(default_factory=set)
    clashes: list[Clash] = field(default_factory=list)
    areas: dict[str, str] = field(default_factory=dict)

    @property
    def connection(self) -> Connection:
        """The connection of the transaction."""
        return self.change.session.connection()

    def rows(self, table: type[Table]) -> list[Row]:
        """Return the new rows of a table, as the register keeps them, in the office's areas."""
        found = [values(table_of(table), each) for each in self.work.added[table.__tablename__]]
        for row in found:
            if row.get("area_id") in self.areas:
                row["area_id"] = self.areas[row["area_id"]]
        return found

    def unknown(self, table: type[Table]) -> list[Row]:
        """Return the new rows of a table that the register neither has under their ids nor let go after their time."""
        rows = self.rows(table)
        ids = {row["id"] for row in rows}
        known = known_ids(self.connection, table, ids) | known_ids(self.connection, LetGo, ids)
        return [row for row in rows if row["id"] not in known]

    def insert(self, table: type[Table], rows: Collection[Row]) -> None:
        """Add rows to a table."""
        if rows:
            self.connection.execute(sa.insert(table_of(table)), list(rows))
            self.added[table.__tablename__] += len(rows)
            self.touched |= {row["item_id"] for row in rows if row.get("item_id")}

    def clash(self, item_id: str, what: str) -> None:
        """Note what clashed on an item."""
        tag = self.connection.execute(sa.select(Item.tag_number).where(Item.id == item_id)).scalar() or ""
        self.clashes.append(Clash(tag, what))


def known_ids(connection: Connection, table: type[Table], ids: Collection[str]) -> set[str]:
    """Return those of some ids that a table has."""
    key: Any = table.__table__.c.id
    return {
        found
        for some in chunks(ids, 5_000)
        for found in connection.execute(sa.select(key).where(one_of(connection, some)(key))).scalars()
    }


def join_rows(joining: Joining) -> None:
    """Add what is new, in the order in which rows lead to others."""
    _areas(joining)
    for table, name in ((Tester, "name"), (Instrument, "serial")):
        held = set(joining.connection.execute(sa.select(table.__table__.c[name])).scalars())
        joining.insert(table, [row for row in joining.unknown(table) if row[name] not in held])
    joining.insert(HeldLimit, joining.unknown(HeldLimit))
    _items(joining)
    for row in joining.unknown(Tag):
        claim(joining, row)
    waiting = [row | {"seq": _WAITING + place} for place, row in enumerate(joining.unknown(Exposure))]
    joining.insert(Exposure, waiting)
    _records(joining)
    _marks(joining)
    joining.insert(Withdrawal, joining.unknown(Withdrawal))
    joining.insert(Photo, joining.unknown(Photo))
    _photos(joining)
    _corrections(joining)
    joining.insert(CodeAside, joining.unknown(CodeAside))


def _areas(joining: Joining) -> None:
    """Add new areas; one of a name that the site has already is that one, and keeps its class."""
    for row in joining.unknown(Area):
        same = sa.select(Area.id, Area.environment).where(Area.site_id == row["site_id"], Area.name == row["name"])
        found = joining.connection.execute(same).first()
        if found is None:
            joining.insert(Area, [row])
            continue
        joining.areas[row["id"]] = found.id
        if row["environment"] not in {None, found.environment}:
            site = joining.connection.execute(sa.select(Site.code).where(Site.id == row["site_id"])).scalar_one()
            said = f"The area {row['name']} of {site} has another class in the field; the office's stands."
            joining.clashes.append(Clash("", said))


def _items(joining: Joining) -> None:
    rows = joining.unknown(Item)
    joining.insert(Item, rows)
    joining.touched |= {row["id"] for row in rows}
    add_texts(joining.connection, ((row["id"], "") for row in rows))


# --- tags: no number twice among an owner's items ---


def claim(joining: Joining, row: Row) -> None:
    """Add a tag. Where two items were given the same number, the one that was entered first keeps it."""
    row["number"] = _settled_number(joining, row["number"], row["owner_id"], row)
    if row["number"]:
        joining.insert(Tag, [row])


def _settled_number(joining: Joining, number: str, owner_id: str, row: Row) -> str:
    """Return the number that a tag row gets; empty where the same item has the same tag already."""
    held = joining.change.session.scalars(sa.select(Tag).where(Tag.number == number, Tag.owner_id == owner_id)).first()
    if held is None:
        return number
    if held.item_id == row["item_id"]:
        if row["id"] < held.id:
            _rekey(joining, held.id, row)
        return ""
    if held.item_id < row["item_id"]:
        return _second(joining, number, row["item_id"], held.item_id)
    held.number = _second(joining, number, held.item_id, row["item_id"])
    joining.touched.add(held.item_id)
    other = joining.change.session.get_one(Item, held.item_id)
    if other.tag_number == number:  # it may have been settled before, or not be one of the merge's items at all
        other.tag_number = held.number
    joining.change.session.flush()
    return number


def _rekey(joining: Joining, held: str, row: Row) -> None:
    kept = {name: row[name] for name in ("id", "since")}
    joining.connection.execute(sa.update(table_of(Tag)).where(Tag.id == held).values(**kept))
    joining.change.session.expire_all()


def _second(joining: Joining, number: str, item_id: str, keeper: str) -> str:
    """Return the number that stands for one given twice, until a new tag is fixed; and list the clash."""
    other = f"{number[: LONGEST_TAG - 7]}/{item_id[-6:].upper()}"
    first = joining.connection.execute(
        sa.select(Site.code).join(Item, Item.site_id == Site.id).where(Item.id == keeper)
    ).scalar()
    where = f" at {first}" if first else ""
    joining.clashes.append(Clash(number, (
        f"The tag {number} is on two items. The one entered first{where} keeps it; the other is {other} until you fix"
        " a new tag to it, or move the first if they are the same thing."
    )))  # fmt: skip
    return other


# --- what was measured and said ---


def _records(joining: Joining) -> None:
    """Add records with their duties and readings; the same test under two ids is kept twice and listed."""
    fresh = joining.unknown(Record)
    meanwhile = _tested_meanwhile(joining)
    for row in fresh:
        same = sa.select(Record.id).where(Record.item_id == row["item_id"], Record.content == row["content"])
        if joining.connection.execute(same).first() is not None:
            row["content"] = f"{row['content']}:{row['id']}"
            joining.clash(row["item_id"], "The very same test is in the register already; both are kept.")
        elif row["item_id"] in meanwhile:
            joining.clash(row["item_id"], "It was tested elsewhere too since the pack was made; both tests are kept.")
        joining.insert(Record, [row])
    ids = {row["id"] for row in fresh}
    for table in (RecordDuty, Reading):
        joining.insert(table, [row for row in joining.rows(table) if row["record_id"] in ids])


def _tested_meanwhile(joining: Joining) -> set[str]:
    """Return the items that were tested elsewhere since the pack was made."""
    mine = {each["id"] for each in joining.work.added["record"]}
    since = sa.select(Record.id, Record.item_id).where(Record.recorded_at > joining.work.pack.made_at)
    return {item_id for record_id, item_id in joining.connection.execute(since) if record_id not in mine}


def _marks(joining: Joining) -> None:
    """Add what was said to be done; the same duty of the same day counts once, as it was said first."""
    for row in joining.unknown(Mark):
        same = sa.and_(Mark.item_id == row["item_id"], Mark.duty == row["duty"], Mark.done_on == row["done_on"])
        held = joining.connection.execute(sa.select(Mark.id).where(same)).scalar()
        if held is None:
            joining.insert(Mark, [row])
        elif row["id"] < held:
            first = {"id": row["id"], "told_by": row["told_by"]}
            joining.connection.execute(sa.update(table_of(Mark)).where(same).values(**first))


def _photos(joining: Joining) -> None:
    """Add what pictures show; the same picture of the same withdrawal counts once, as it was added first."""
    gone = known_ids(joining.connection, LetGo, {row["photo_id"] for row in joining.rows(WithdrawalPhoto)})
    for row in joining.unknown(WithdrawalPhoto):
        if row["photo_id"] in gone:
            continue
        same = sa.and_(
            WithdrawalPhoto.withdrawal_id == row["withdrawal_id"], WithdrawalPhoto.photo_id == row["photo_id"]
        )
        held = joining.connection.execute(sa.select(WithdrawalPhoto.id).where(same)).scalar()
        if held is None or row["id"] < held:
            joining.connection.execute(sa.delete(table_of(WithdrawalPhoto)).where(same))
            joining.insert(WithdrawalPhoto, [row])


def _corrections(joining: Joining) -> None:
    """Add corrections; of two of the same record the first stands."""
    gone = known_ids(joining.connection, LetGo, {row["record_id"] for row in joining.rows(Correction)})
    for row in joining.unknown(Correction):
        if row["record_id"] in gone:
            continue
        same = Correction.record_id == row["record_id"]
        held = joining.connection.execute(sa.select(Correction.id).where(same)).scalar()
        if held is not None and held < row["id"]:
            continue
        joining.connection.execute(sa.delete(table_of(Correction)).where(same))
        joining.insert(Correction, [row])
        item = joining.connection.execute(sa.select(Record.item_id).where(Record.id == row["record_id"])).scalar_one()
        joining.touched.add(item)
        if held is not None:
            joining.clash(item, "A record of it was corrected twice; the first correction stands, both new tests stay.")

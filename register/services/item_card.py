"""The card of one item: what it is, each date with its reasons, its readings over time, its records and its tags."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.items import Item as DomainItem
from register.domain.measures import plain_number
from register.domain.schedule import DutyDue
from register.domain.wear import strokes
from register.domain.words import SwitchType, WithdrawalReason, spoken
from register.services.amended import Undone, undone_records
from register.services.cases import case
from register.services.owners.queries import OpenQuery, open_queries
from register.services.past_readings import CardRecord, History, past_readings
from register.services.photos import Shown, photos_of
from register.services.questions import DutyAnswer, ItemAnswer, item_answer
from register.services.repairs import Repair, repairs
from register.services.replacing import Succession, succession
from register.services.rulebooks import rulebook
from register.store.tables import Item, Owner, Site, Tag, Withdrawal


@dataclass(frozen=True, slots=True)
class CardDuty:
    """One duty: `because` are the sentences that explain its date, `rule` those that say where that stands."""

    answer: DutyAnswer
    because: tuple[str, ...]
    rule: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CardTag:
    """A number that the item carries or carried; `until` is None while it does."""

    number: str
    since: date | None
    until: date | None


@dataclass(frozen=True, slots=True)
class CardWithdrawal:
    """What keeps an item out of service. `why` names the reading and its limit where a test failed."""

    since: date
    reason: WithdrawalReason
    why: str
    tag_number: str
    told: str
    needed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ItemCard:
    """All that the card of an item shows. `records` are the newest first, `histories` the most telling first.

    `undone` are the records that an undo took back, `repairs` what was reported, `photos` the pictures of it.
    """

    item: ItemAnswer
    site_id: str
    owner: str
    strokes: int
    plate: str
    duties: tuple[CardDuty, ...]
    records: tuple[CardRecord, ...]
    histories: tuple[History, ...]
    tags: tuple[CardTag, ...]
    withdrawal: CardWithdrawal | None
    removed_on: date | None
    succession: Succession
    undone: tuple[Undone, ...] = ()
    queries: tuple[OpenQuery, ...] = ()
    repairs: tuple[Repair, ...] = ()
    photos: tuple[Shown, ...] = ()


def item_card(connection: Connection, item_id: str, on: date) -> ItemCard | None:
    """Return the card of one item as it stands on a day; None where it is not there, as after its entry was undone."""
    if connection.scalar(sa.select(Item.id).where(Item.id == item_id)) is None:
        return None
    answer = item_answer(connection, item_id, on)
    records, histories = past_readings(connection, item_id)
    known = case(connection, item_id)
    return ItemCard(
        item=answer,
        site_id=known.site_id,
        owner=_owner(connection, known.site_id),
        strokes=strokes(rulebook(answer.rulebook), answer.environment),
        plate=plate_words(known.item),
        duties=tuple(_duty(due, told) for due, told in zip(known.duties(), answer.duties, strict=True)),
        records=records,
        histories=histories,
        tags=_tags(connection, item_id),
        withdrawal=_withdrawal(connection, answer),
        undone=undone_records(connection, item_id),
        queries=tuple(open_queries(connection, item_id)),
        succession=succession(connection, item_id),
        repairs=repairs(connection, item_id),
        photos=photos_of(connection, item_id),
        removed_on=connection.execute(sa.select(Item.removed_on).where(Item.id == item_id)).scalar_one(),
    )


def plate_words(item: DomainItem) -> str:
    """Return what the rating plate says in one line: "30 mA, type II, no delay, waveform A · 10 A · 4 outlets"."""
    parts = [_switch_words(item)] if item.has_switch else []
    if item.rated_current_a is not None:
        parts.append(f"{plain_number(item.rated_current_a)} A")
    if item.outlets > 1:
        parts.append(f"{item.outlets} outlets")
    return " · ".join(parts)


def _switch_words(item: DomainItem) -> str:
    switch = item.safety_switch
    if switch is None or switch.rated_residual_ma is None:
        return "rated residual current not known"
    kind = "type not known" if switch.type is None else _type_words(switch.type)
    delay = "no delay" if switch.delay.value == "general" else switch.delay.value
    waveform = "" if switch.waveform is None else f"waveform {switch.waveform.value}"
    return ", ".join(filter(None, [f"{plain_number(switch.rated_residual_ma)} mA", kind, delay, waveform]))


def _type_words(kind: SwitchType) -> str:
    return "IEC type" if kind is SwitchType.IEC else f"type {kind.value}"


def _owner(connection: Connection, site_id: str) -> str:
    statement = sa.select(Owner.name).join(Site, Site.owner_id == Owner.id).where(Site.id == site_id)
    return str(connection.execute(statement).scalar_one())


def _duty(due: DutyDue, told: DutyAnswer) -> CardDuty:
    """Part the reasons of a date from the rules behind it, which begin with the sentence that names the source."""
    rules = next((at for at, said in enumerate(told.why) if due.line.source.text in said), len(told.why))
    return CardDuty(told, told.why[:rules], told.why[rules:])


def _tags(connection: Connection, item_id: str) -> tuple[CardTag, ...]:
    rows: list[Any] = list(
        connection.execute(
            sa.select(Tag.number, Tag.since, Tag.until).where(Tag.item_id == item_id).order_by(Tag.id.desc())
        )
    )
    rows.sort(key=lambda row: row.until is not None)
    return tuple(CardTag(row.number, row.since, row.until) for row in rows)


def _withdrawal(connection: Connection, answer: ItemAnswer) -> CardWithdrawal | None:
    out = answer.withdrawn
    if out is None:
        return None
    told = connection.execute(
        sa.select(Withdrawal.told).where(Withdrawal.item_id == answer.item_id, Withdrawal.ended_on.is_(None))
    ).scalar_one()
    needed = tuple(spoken(duty) for duty in out.needed)
    return CardWithdrawal(out.since, out.reason, out.detail, out.tag_number, told, needed)

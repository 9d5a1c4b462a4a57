"""What the rules need to know of items, read from the register in a few queries however many items there are."""

import json
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date, time
from decimal import Decimal
from functools import lru_cache, partial
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.intervals import Interval
from register.domain.items import Exposure as DomainExposure
from register.domain.items import Item as DomainItem
from register.domain.items import LeadSize, SafetySwitch
from register.domain.rulebook import Rulebook
from register.domain.schedule import Done, DutyDue, Scope, Stay, schedule
from register.domain.schedule import Override as DomainOverride
from register.domain.standing import Moment
from register.domain.words import Condition, Delay, Duty, Kind, Result, SwitchType, Waveform
from register.services.rulebooks import rulebook
from register.store.amended import stands
from register.store.bulk import Among, chunks, one_of, rows_of
from register.store.tables import Exposure, Item, Mark, Override, RecordDuty

MEASURED: Final = "measured"
AS_FOUND: Final = "as found in an earlier register"
TOLD: Final = "as reported"
WITH_TEST: Final = "pressed at the operating-time test"

AT_ONCE: Final = 10_000
"""So many items are asked for in one query, by name or from one id to another."""


Overrides = dict[str, tuple[DomainOverride, ...]]
"""Overrides by the id of the site, area or item that they are made for."""


class Case(NamedTuple):
    """One item with all that decides its dates. `passed` tells the moment of each duty's latest pass."""

    id: str
    site_id: str
    item: DomainItem
    stays: tuple[Stay, ...]
    done: Mapping[Duty, Done]
    passed: Mapping[Duty, Moment]

    @property
    def rulebooks(self) -> dict[str, Rulebook]:
        """The rulebooks of all the places where it has been."""
        return {stay.exposure.rulebook: rulebook(stay.exposure.rulebook) for stay in self.stays}

    @property
    def environment(self) -> str:
        """The environment class that counts at present."""
        return self.stays[-1].exposure.environment

    def duties(self) -> tuple[DutyDue, ...]:
        """Return the item's schedule."""
        return schedule(self.item, self.stays, self.rulebooks, self.done)


class _Past(NamedTuple):
    """What was done to an item. Items that were tested together share one."""

    done: Mapping[Duty, Done]
    passed: Mapping[Duty, Moment]


def cases(connection: Connection, item_ids: Collection[str] | None = None) -> Iterator[Case]:
    """Yield the cases of the items named, or of all, in no particular order."""
    overrides = overrides_in_force(connection)
    for some in spans(connection, item_ids):
        yield from cases_among(connection, some, overrides)


def case(connection: Connection, item_id: str) -> Case:
    """Return the case of one item."""
    return next(cases(connection, [item_id]))


def spans(connection: Connection, item_ids: Collection[str] | None) -> Iterator[Among]:
    """Yield conditions under which stand so many at a time of the items named, or of all."""
    if item_ids is not None:
        for named in chunks(item_ids, AT_ONCE):
            yield one_of(connection, named)
        return
    keys = connection.execute(sa.select(Item.id).order_by(Item.id)).scalars().all()
    for some in chunks(keys, AT_ONCE):
        yield partial(_is_between, some[0], some[-1])


def _is_between(first: str, last: str, column: Any) -> sa.ColumnElement[bool]:  # noqa: ANN401 - a column
    return column.between(first, last)  # type: ignore[no-any-return]


class Placed(NamedTuple):
    """One item as the rules see it, and where it is at present: the environment class that counts, and the rulebook."""

    id: str
    item: DomainItem
    environment: str
    rulebook: str


def placed(connection: Connection, item_ids: Collection[str]) -> Iterator[Placed]:
    """Yield the items named, in no particular order, without what was done to them."""
    columns = (Exposure.item_id, Exposure.environment, Exposure.rulebook)
    for among in spans(connection, item_ids):
        latest = sa.select(*columns).where(among(Exposure.item_id)).order_by(Exposure.item_id, Exposure.seq)
        where = {key: stay for key, *stay in rows_of(connection, latest)}  # the last of each counts
        for key, _site, *values in rows_of(connection, sa.select(*_ITEM_COLUMNS).where(among(Item.id))):
            yield Placed(key, _item(*values), *where[key])


def cases_among(connection: Connection, among: Among, overrides: Overrides) -> Iterator[Case]:
    """Yield the cases of the items for which a condition holds."""
    return (each for each, _beside in cases_beside(connection, among, overrides, ()))


def cases_beside(
    connection: Connection, among: Among, overrides: Overrides, columns: Sequence[Any]
) -> Iterator[tuple[Case, tuple[Any, ...]]]:
    """Yield the cases of the items for which a condition holds, each with further columns of the item's row."""
    stays = _stays(connection, among, overrides)
    past = _passes(connection, among)
    statement = sa.select(*_ITEM_COLUMNS, *columns).where(among(Item.id))
    for key, site, *values in rows_of(connection, statement):
        known = _past(past.get(key, ""))
        item = _item(*values[:_TRAITS])
        yield Case(key, site, item, tuple(stays[key]), known.done, known.passed), tuple(values[_TRAITS:])


_ITEM_COLUMNS: Final = (
    Item.id, Item.site_id, Item.kind, Item.outlets, Item.rated_current_a, sa.type_coerce(Item.switch, sa.Text),
    Item.condition, Item.condition_since, Item.scope_reason, Item.battery_run, Item.protected_by_switch,
    Item.moved_in_use, Item.risk_factor, sa.type_coerce(Item.lead, sa.Text),
)  # fmt: skip
_TRAITS: Final = len(_ITEM_COLUMNS) - 2


# Most items are like many others in all that the rules ask, and most things happened on one of a few hundred days, so
# the values made of them are shared.


@lru_cache(maxsize=16_384)
def _item(
    kind: str,
    outlets: int,
    rated_current_a: str | None,
    switch: str | None,
    condition: str,
    since: date | None,
    scope_reason: str,
    *rest: Any,  # noqa: ANN401 - columns of several types
) -> DomainItem:
    """Return the rules' view of an item from what is kept of it; `rest` are the last five columns."""
    battery_run, protected_by_switch, moved_in_use, risk_factor, lead = rest
    return DomainItem(
        kind=Kind(kind),
        outlets=outlets,
        safety_switch=switch_of(switch),
        rated_current_a=None if rated_current_a is None else Decimal(rated_current_a),
        condition=Condition(condition),
        since=since,
        scope_reason=scope_reason,
        battery_run=bool(battery_run),
        protected_by_switch=protected_by_switch,
        moved_in_use=moved_in_use,
        risk_factor=risk_factor,
        lead=lead_of(lead),
    )


def switch_of(kept: str | None) -> SafetySwitch | None:
    """Return the safety switch kept in an item's row, or None where it carries none."""
    stored = None if kept is None else json.loads(kept)
    if stored is None:
        return None
    rated, kind, waveform = stored.get("rated_residual_ma"), stored.get("type"), stored.get("waveform")
    return SafetySwitch(
        rated_residual_ma=Decimal(rated) if rated else None,
        type=SwitchType(kind) if kind else None,
        delay=Delay(stored.get("delay") or Delay.GENERAL),
        waveform=Waveform(waveform) if waveform else None,
    )


def lead_of(kept: str | None) -> LeadSize | None:
    """Return the size of a lead kept in an item's row, or None where nobody recorded it."""
    stored = None if kept is None else json.loads(kept)
    if stored is None:
        return None
    length, conductor = stored.get("length_m"), stored.get("conductor_mm2")
    return LeadSize(Decimal(length) if length else None, Decimal(conductor) if conductor else None)


def lead_row(lead: LeadSize | None) -> dict[str, str] | None:
    """Return the size of a lead as it is kept in an item's row; what is unknown is left out."""
    known = {} if lead is None else {"length_m": lead.length_m, "conductor_mm2": lead.conductor_mm2}
    return {name: f"{value:f}" for name, value in known.items() if value is not None} or None


@lru_cache(maxsize=16_384)
def _stay(since: date, environment: str, place: str, rules: str, overrides: tuple[DomainOverride, ...]) -> Stay:
    return Stay(DomainExposure(since, environment, place, rules), overrides)


def switch_row(switch: SafetySwitch | None) -> dict[str, str] | None:
    """Return a safety switch as it is kept in an item's row; what is unknown is left out."""
    if switch is None:
        return None
    row = {"delay": switch.delay.value}
    if switch.rated_residual_ma is not None:
        row["rated_residual_ma"] = f"{switch.rated_residual_ma:f}"
    if switch.type is not None:
        row["type"] = switch.type.value
    if switch.waveform is not None:
        row["waveform"] = switch.waveform.value
    return row


def overrides_in_force(connection: Connection) -> Overrides:
    """Return the overrides in force by the id of what they are made for."""
    found: dict[str, list[DomainOverride]] = defaultdict(list)
    for row in connection.execute(sa.select(Override.__table__).where(Override.ended_on.is_(None))):
        found[row.target_id].append(
            DomainOverride(
                scope=Scope[row.scope.upper()],
                duty=Duty(row.duty),
                interval=Interval.parse(row.interval),
                reason=row.reason,
                approver=row.approver,
                approved_on=row.approved_on,
                review_on=row.review_on,
            )
        )
    return {target: tuple(made) for target, made in found.items()}


def _stays(connection: Connection, among: Among, overrides: Overrides) -> dict[str, list[Stay]]:
    """Return each item's stays in order of time."""
    columns = (
        Exposure.item_id, Exposure.since, Exposure.environment, Exposure.place, Exposure.rulebook,
        Exposure.site_id, Exposure.area_id,
    )  # fmt: skip
    statement = sa.select(*columns).where(among(Exposure.item_id)).order_by(Exposure.item_id, Exposure.seq)
    found: dict[str, list[Stay]] = defaultdict(list)
    made: tuple[DomainOverride, ...] = ()
    for item_id, *stay, site_id, area_id in rows_of(connection, statement):
        if overrides:
            made = overrides.get(site_id, ()) + overrides.get(area_id, ()) + overrides.get(item_id, ())
        found[item_id].append(_stay(*stay, made))
    return found


def _passes(connection: Connection, among: Among) -> dict[str, str]:
    """Return the latest pass of each duty of each item, by record or by report, in one text that `_past` reads."""
    found = dict(rows_of(connection, _latest_passes(among)))
    marks = sa.select(Mark.item_id, Mark.duty, sa.func.max(Mark.done_on)).group_by(Mark.item_id, Mark.duty)
    for item_id, duty, on in connection.execute(marks.where(among(Mark.item_id))):
        found[item_id] = f"{found.get(item_id, '')};{duty}|{on.isoformat()}||{TOLD}"
    return found


@lru_cache(maxsize=16_384)
def _past(passes: str) -> _Past:
    """Return what was done by the text of an item's passes; of one day the pass with the latest time counts."""
    done: dict[Duty, Done] = {}
    passed: dict[Duty, Moment] = {}
    for told in filter(None, passes.split(";")):
        name, on, at, how = told.split("|")
        duty, moment = Duty(name), Moment(date.fromisoformat(on), time.fromisoformat(at) if at else None)
        before = passed.get(duty)
        if before is None or not (before.after(moment) or (before.on == moment.on and moment.at is None)):
            done[duty], passed[duty] = Done(moment.on, how), moment
    timed, pressed = done.get(Duty.OPERATING_TIME), done.get(Duty.BUTTON_PRESS)
    if timed is not None and (pressed is None or timed.on >= pressed.on):
        done[Duty.BUTTON_PRESS] = Done(timed.on, WITH_TEST)
    return _Past(done, passed)


def _latest_passes(among: Among) -> sa.Select[*tuple[Any, ...]]:
    """Return the statement for the latest pass of each duty, item by item.

    Of one day the pass with the latest time counts; its words sort so that it has the greatest.
    """
    day, moment = sa.cast(RecordDuty.tested_on, sa.Text), sa.func.coalesce(RecordDuty.tested_at, "")
    how = sa.case((RecordDuty.as_found == sa.true(), AS_FOUND), else_=MEASURED)
    latest = (
        sa.select(
            RecordDuty.item_id, (RecordDuty.duty + "|" + sa.func.max(day + "|" + moment + "|" + how)).label("told")
        )
        .where(RecordDuty.verdict == Result.PASS.value, among(RecordDuty.item_id), stands(RecordDuty.record_id))
        .group_by(RecordDuty.item_id, RecordDuty.duty)
        .subquery()
    )
    return sa.select(latest.c.item_id, sa.func.aggregate_strings(latest.c.told, ";")).group_by(latest.c.item_id)

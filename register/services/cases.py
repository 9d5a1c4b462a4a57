"""What the rules need to know of items, read from the register in a few queries however many items there are."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, time
from decimal import Decimal
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.intervals import Interval
from register.domain.items import Exposure as DomainExposure
from register.domain.items import Item as DomainItem
from register.domain.items import SafetySwitch
from register.domain.rulebook import Rulebook
from register.domain.schedule import Done, DutyDue, Scope, Stay, schedule
from register.domain.schedule import Override as DomainOverride
from register.domain.standing import Moment
from register.domain.words import Condition, Delay, Duty, Kind, Result, SwitchType, Waveform
from register.services.rulebooks import rulebook
from register.store.bulk import chunks
from register.store.tables import Exposure, Item, Mark, Override, RecordDuty

MEASURED: Final = "measured"
AS_FOUND: Final = "as found in an earlier register"
TOLD: Final = "as reported"
WITH_TEST: Final = "pressed at the operating-time test"

_SOME: Final = 500
"""So many items are asked for by name in one query; for more of them the whole table is read."""


@dataclass(frozen=True, slots=True)
class Case:
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


@dataclass(slots=True)
class _Past:
    """What was done to one item."""

    done: dict[Duty, Done] = field(default_factory=dict)
    passed: dict[Duty, Moment] = field(default_factory=dict)


def cases(connection: Connection, item_ids: Collection[str] | None = None) -> Iterator[Case]:
    """Yield the cases of the items named, or of all, in no particular order."""
    if item_ids is None:
        yield from _cases(connection, None)
        return
    for some in chunks(item_ids, _SOME):
        yield from _cases(connection, some)


def case(connection: Connection, item_id: str) -> Case:
    """Return the case of one item."""
    return next(iter(_cases(connection, [item_id])))


def _cases(connection: Connection, ids: list[str] | None) -> Iterator[Case]:
    overrides = _overrides(connection)
    stays = _stays(connection, ids, overrides)
    past = _past(connection, ids)
    for row in connection.execute(_where(sa.select(*_ITEM_COLUMNS), Item.id, ids)):
        known = past.get(row.id) or _Past()
        yield Case(row.id, row.site_id, item_of(row), tuple(stays[row.id]), known.done, known.passed)


_ITEM_COLUMNS: Final = (
    Item.id, Item.site_id, Item.kind, Item.outlets, Item.rated_current_a, Item.switch, Item.condition,
    Item.condition_since, Item.scope_reason, Item.battery_run, Item.protected_by_switch, Item.moved_in_use,
    Item.risk_factor,
)  # fmt: skip


def _where(statement: sa.Select[*tuple[Any, ...]], column: Any, ids: list[str] | None) -> sa.Select[*tuple[Any, ...]]:  # noqa: ANN401 - a column
    return statement if ids is None else statement.where(column.in_(ids))


def item_of(row: Row[Any]) -> DomainItem:
    """Return the rules' view of an item from a row with the table's columns."""
    return DomainItem(
        kind=Kind(row.kind),
        outlets=row.outlets,
        safety_switch=switch_of(row.switch),
        rated_current_a=None if row.rated_current_a is None else Decimal(row.rated_current_a),
        condition=Condition(row.condition),
        since=row.condition_since,
        scope_reason=row.scope_reason,
        battery_run=row.battery_run,
        protected_by_switch=row.protected_by_switch,
        moved_in_use=row.moved_in_use,
        risk_factor=row.risk_factor,
    )


def switch_of(stored: dict[str, str] | None) -> SafetySwitch | None:
    """Return the safety switch kept in an item's row, or None where it carries none."""
    if stored is None:
        return None
    rated, kind, waveform = stored.get("rated_residual_ma"), stored.get("type"), stored.get("waveform")
    return SafetySwitch(
        rated_residual_ma=Decimal(rated) if rated else None,
        type=SwitchType(kind) if kind else None,
        delay=Delay(stored.get("delay") or Delay.GENERAL),
        waveform=Waveform(waveform) if waveform else None,
    )


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


def _overrides(connection: Connection) -> dict[str, tuple[DomainOverride, ...]]:
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


def _stays(
    connection: Connection, ids: list[str] | None, overrides: dict[str, tuple[DomainOverride, ...]]
) -> dict[str, list[Stay]]:
    """Return each item's stays in order of time."""
    columns = (
        Exposure.item_id, Exposure.since, Exposure.environment, Exposure.place, Exposure.rulebook,
        Exposure.site_id, Exposure.area_id,
    )  # fmt: skip
    statement = _where(sa.select(*columns), Exposure.item_id, ids).order_by(Exposure.item_id, Exposure.seq)
    found: dict[str, list[Stay]] = defaultdict(list)
    for item_id, since, environment, place, rules, site_id, area_id in connection.execute(statement):
        made: tuple[DomainOverride, ...] = ()
        if overrides:
            made = overrides.get(site_id, ()) + overrides.get(area_id, ()) + overrides.get(item_id, ())
        found[item_id].append(Stay(DomainExposure(since, environment, place, rules), made))
    return found


def _past(connection: Connection, ids: list[str] | None) -> dict[str, _Past]:
    """Return the latest pass of each duty of each item, by record or by report."""
    past: dict[str, _Past] = defaultdict(_Past)
    for item_id, duty, on, at, as_found in connection.execute(_latest_passes(ids)):
        how = AS_FOUND if as_found else MEASURED
        _keep(past[item_id], Duty(duty), on, how, time.fromisoformat(at) if at else None)
    marks = sa.select(Mark.item_id, Mark.duty, sa.func.max(Mark.done_on)).group_by(Mark.item_id, Mark.duty)
    for item_id, duty, on in connection.execute(_where(marks, Mark.item_id, ids)):
        _keep(past[item_id], Duty(duty), on, TOLD, None)
    for known in past.values():
        timed, pressed = known.done.get(Duty.OPERATING_TIME), known.done.get(Duty.BUTTON_PRESS)
        if timed is not None and (pressed is None or timed.on >= pressed.on):
            known.done[Duty.BUTTON_PRESS] = Done(timed.on, WITH_TEST)
    return past


def _latest_passes(ids: list[str] | None) -> sa.Select[*tuple[Any, ...]]:
    """Return the statement for the passes on the latest day of each item and duty (several on that day, all)."""
    latest = _where(
        sa.select(RecordDuty.item_id, RecordDuty.duty, sa.func.max(RecordDuty.tested_on).label("on"))
        .where(RecordDuty.verdict == Result.PASS.value)
        .group_by(RecordDuty.item_id, RecordDuty.duty),
        RecordDuty.item_id,
        ids,
    ).subquery()
    return sa.select(
        RecordDuty.item_id, RecordDuty.duty, RecordDuty.tested_on, RecordDuty.tested_at, RecordDuty.as_found
    ).join(
        latest,
        (RecordDuty.item_id == latest.c.item_id)
        & (RecordDuty.duty == latest.c.duty)
        & (RecordDuty.verdict == Result.PASS.value)
        & (RecordDuty.tested_on == latest.c.on),
    )


def _keep(known: _Past, duty: Duty, on: date, how: str, at: time | None) -> None:
    """Keep the latest of what is known of a duty; of one day the one with the latest time."""
    moment, before = Moment(on, at), known.passed.get(duty)
    if before is not None and (before.after(moment) or (before.on == on and at is None)):
        return
    known.done[duty] = Done(on, how)
    known.passed[duty] = moment

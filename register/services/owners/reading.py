"""Reads the rows of an owner's report from the register, some at a time, so that a large one takes no more memory."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any, Final, NamedTuple, TypeVar

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.explain import day_words, why
from register.domain.intervals import occasion_words
from register.domain.records import Finding
from register.domain.rulebook import Rulebook
from register.domain.schedule import DutyDue, out_of_scope
from register.domain.standing import duty_standing
from register.domain.words import Condition, Duty, Kind, Result, SetUp, WithdrawalReason, spoken
from register.services.amended import CORRECTION_COLUMNS, corrected_words
from register.services.cases import Case, cases
from register.services.kept_readings import findings_of
from register.services.owners.rows import (
    DueRow,
    DutyDate,
    OwnDutyRow,
    Period,
    RecordRow,
    RegisterRow,
    ReportedItem,
    Streamed,
    WithdrawnRow,
)
from register.services.projection import REMOVED
from register.services.questions import standing_of, withdrawn_items
from register.services.withdrawals.needed import Withdrawn
from register.store.amended import Correction, stands
from register.store.bulk import chunks, one_of
from register.store.tables import Area, Item, Record, RecordDuty, Site, Tag
from register.store.tables import Duty as DutyRow

AT_ONCE: Final = 500
"""So many items or records are read at a time."""

_Row = TypeVar("_Row")


class _Known(NamedTuple):
    """One item: its row, its head as every sheet shows it, what decides its dates, and its schedule."""

    row: Row[Any]
    head: ReportedItem
    case: Case
    duties: tuple[DutyDue, ...]


@dataclass(frozen=True, slots=True)
class RowReader:
    """Reads what is reported of some sites as at one day. `several`: the rows name their site."""

    connection: Connection
    sites: tuple[str, ...]
    as_at: date
    soon: int

    @property
    def several(self) -> bool:
        """Whether the report is on more than one site."""
        return len(self.sites) > 1

    def items(self) -> Streamed[RegisterRow]:
        """Return the sites' items: by site, area and tag, removed ones last."""
        return self._streamed(self._all_items, self._register)

    def due(self, until: date) -> Streamed[DueRow]:
        """Return the contractor's duties that were never done, are overdue, or fall due by a day, in their order."""
        return self._streamed(partial(self._due_keys, until), self._due)

    def withdrawn(self) -> Streamed[WithdrawnRow]:
        """Return what is out of service, site by site, the longest first."""
        return self._streamed(self._out, self._withdrawn)

    def own_duties(self) -> Streamed[OwnDutyRow]:
        """Return the users' own duties, item by item."""
        return self._streamed(self._all_items, self._own)

    def records(self, tested: Period) -> Streamed[RecordRow]:
        """Return the records of a period, the newest first, without what they found."""
        return self._streamed(partial(self._record_ids, tested), partial(self._records, measured=False))

    def measured(self, tested: Period) -> Streamed[RecordRow]:
        """Return the records of a period, the newest first, with what they found."""
        return self._streamed(partial(self._record_ids, tested), self._records)

    def failed(self, tested: Period) -> Streamed[RecordRow]:
        """Return the records of a period that failed and were not corrected, the newest first."""
        counting = (Record.verdict == Result.FAIL.value, stands(Record.id))
        return self._streamed(partial(self._record_ids, tested, *counting), self._records)

    def schedules(self) -> Iterator[tuple[DutyDue, ...]]:
        """Yield the schedule of each item."""
        return (each.duties() for some in chunks(self._all_items(), AT_ONCE) for each in cases(self.connection, some))

    def heads(self, item_ids: Sequence[str]) -> dict[str, ReportedItem]:
        """Return what every row says of these items, by item."""
        return {key: self._head(row) for key, row in self._item_rows(item_ids).items()}

    def _streamed(
        self, keys: Callable[[], Sequence[Any]], read: Callable[[list[Any]], Iterator[_Row]]
    ) -> Streamed[_Row]:
        return Streamed(lambda: (row for some in chunks(keys(), AT_ONCE) for row in read(some)))

    def _all_items(self) -> Sequence[str]:
        statement = (
            sa.select(Item.id)
            .join(Area, Area.id == Item.area_id)
            .join(Site, Site.id == Item.site_id)
            .where(Item.site_id.in_(self.sites))
            .order_by(Site.name, Site.code, Item.state == REMOVED, Area.name, Item.tag_number)
        )
        return self.connection.scalars(statement).all()

    def _item_rows(self, item_ids: Sequence[str]) -> dict[str, Row[Any]]:
        """Return the rows of items by id, in the order of the ids."""
        among = one_of(self.connection, list(item_ids))
        statement = (
            sa.select(Item.__table__, Area.name.label("area"), Site.name.label("site"))
            .join(Area, Area.id == Item.area_id)
            .join(Site, Site.id == Item.site_id)
            .where(among(Item.id))
        )
        rows = {row.id: row for row in self.connection.execute(statement)}
        return {key: rows[key] for key in dict.fromkeys(item_ids)}

    def _head(self, row: Row[Any]) -> ReportedItem:
        return ReportedItem(
            tag=row.tag_number,
            kind=Kind(row.kind),
            description=row.description,
            area=row.area,
            standing=standing_of(row, self.as_at, self.soon),
            id=row.id,
            site=row.site if self.several else "",
        )

    def _known(self, item_ids: Sequence[str]) -> dict[str, _Known]:
        found = {each.id: each for each in cases(self.connection, list(dict.fromkeys(item_ids)))}
        return {
            key: _Known(row, self._head(row), found[key], found[key].duties())
            for key, row in self._item_rows(item_ids).items()
        }

    def _register(self, item_ids: list[str]) -> Iterator[RegisterRow]:
        tags = self._earlier_tags(item_ids)
        for key, (row, head, known, duties) in self._known(item_ids).items():
            rules = known.rulebooks[known.stays[-1].exposure.rulebook]
            contractors = [each for each in duties if each.contractors and not each.terms.relieved]
            yield RegisterRow(
                item=head, environment=rules.environments[row.present_environment].title, next_due=row.next_due,
                duties=tuple(DutyDate(each.duty, each.due) for each in contractors), serial=row.serial,
                earlier_tags=tuple(tags.get(key, ())), outlets=row.outlets, safety_switch=known.item.safety_switch,
                rated_current_a=known.item.rated_current_a, remarks=_remarks(row, known, duties, rules),
                not_found_on=row.not_found_on,
            )  # fmt: skip

    def _earlier_tags(self, item_ids: list[str]) -> dict[str, list[str]]:
        """Return the numbers that items carried before, by item."""
        tags: dict[str, list[str]] = defaultdict(list)
        among = one_of(self.connection, item_ids)
        statement = sa.select(Tag.item_id, Tag.number).join(Item, Item.id == Tag.item_id)
        earlier = statement.where(among(Tag.item_id), Tag.number != Item.tag_number).order_by(Tag.number)
        for item_id, number in self.connection.execute(earlier):
            tags[item_id].append(number)
        return tags

    def _due_keys(self, until: date) -> Sequence[Row[str, str]]:
        """Return item and duty of what is due, from the dates that are kept for lists."""
        statement = (
            sa.select(DutyRow.item_id, DutyRow.duty)
            .join(Item, Item.id == DutyRow.item_id)
            .where(
                Item.site_id.in_(self.sites),
                Item.state != REMOVED,
                DutyRow.contractors == sa.true(),
                (DutyRow.first_needed == sa.true()) | (DutyRow.due <= until),
            )
            .order_by(sa.nulls_first(DutyRow.due), Item.tag_number, DutyRow.duty)
        )
        return self.connection.execute(statement).all()

    def _due(self, keys: list[Row[str, str]]) -> Iterator[DueRow]:
        known = self._known([key.item_id for key in keys])
        for item_id, duty in keys:
            _, head, case, duties = known[item_id]
            each = next(one for one in duties if one.duty == duty)
            yield DueRow(
                item=head,
                standing=duty_standing(self.as_at, each, soon_days=self.soon),
                duty=each.duty,
                last_done=None if each.done is None else each.done.on,
                interval=each.interval,
                due=each.due,
                why=why(case.item, each, case.rulebooks),
                source=each.line.source.text,
            )

    def _out(self) -> Sequence[Withdrawn]:
        return [out for site in self.sites for out in withdrawn_items(self.connection, site)]

    def _withdrawn(self, out: list[Withdrawn]) -> Iterator[WithdrawnRow]:
        heads = self.heads([each.item_id for each in out])
        findings = findings_of(self.connection, [each.record_id for each in out if each.record_id is not None])
        for each in out:
            failing = [one for one in findings.get(each.record_id or "", []) if one.result is Result.FAIL]
            yield WithdrawnRow(
                item=heads[each.item_id], since=each.since, reason=each.reason, why=each.detail, failing=tuple(failing),
                tag_number=each.tag_number, waiting_for=_waiting(each), ends=_ends(each),
            )  # fmt: skip

    def _own(self, item_ids: list[str]) -> Iterator[OwnDutyRow]:
        for row, head, _, duties in self._known(item_ids).values():
            for each in duties:
                if not each.contractors and not each.terms.relieved and row.state != REMOVED:
                    done = None if each.done is None else each.done.on
                    yield OwnDutyRow(head, each.duty, _every(each), done, each.due, each.line.source.text)

    def _record_ids(self, tested: Period, *which: sa.ColumnElement[bool]) -> Sequence[str]:
        statement = (
            sa.select(Record.id)
            .join(Item, Item.id == Record.item_id)
            .where(Item.site_id.in_(self.sites), Record.tested_on.between(tested.first, tested.last), *which)
        )
        return self.connection.scalars(statement.order_by(Record.tested_on.desc(), Record.id)).all()

    def _records(self, record_ids: list[str], *, measured: bool = True) -> Iterator[RecordRow]:
        among = one_of(self.connection, record_ids)
        statement = sa.select(Record.__table__, *CORRECTION_COLUMNS).outerjoin(
            Correction, Correction.record_id == Record.id
        )
        found = {row.id: row for row in self.connection.execute(statement.where(among(Record.id)))}
        duties: dict[str, list[Duty]] = defaultdict(list)
        for record_id, duty in self.connection.execute(
            sa.select(RecordDuty.record_id, RecordDuty.duty).where(among(RecordDuty.record_id))
        ):
            duties[record_id].append(Duty(duty))
        findings = findings_of(self.connection, record_ids) if measured else {}
        heads = self.heads([row.item_id for row in found.values()])
        for key in record_ids:
            row = found[key]
            yield _record(row, heads[row.item_id], duties[key], findings.get(key, []))


def _remarks(row: Row[Any], known: Case, duties: Sequence[DutyDue], rules: Rulebook) -> str:
    """Say what is not plain from the dates: removed, not found, out of scope, relieved, never tested."""
    sentences = [row.remarks] if row.remarks else []
    if row.state == REMOVED:
        when = f" on {day_words(row.removed_on)}" if row.removed_on else ""
        return f"Removed for good{when}: {row.removal_reason.rstrip('.') or 'no reason recorded'}."
    if row.not_found_on is not None:
        sentences.append(f"Not found on {day_words(row.not_found_on)}: please say where it is.")
    outside = out_of_scope(known.item, rules)
    if outside:
        sentences.append(outside)
    sentences += [each.terms.relieved for each in duties if each.terms.relieved and each.contractors]
    if any(each.first_needed for each in duties):
        since = "since its repair" if known.item.condition is Condition.REPAIRED else "yet"
        sentences.append(f"Not tested {since}: do not use it before it is.")
    return " ".join(sentences)


def _waiting(each: Withdrawn) -> str:
    if each.reason is WithdrawalReason.OVERDUE:
        return "The contractor's next visit"
    return "The owner: have it repaired by a licensed person, or dispose of it"


def _ends(each: Withdrawn) -> str:
    named = " and ".join(spoken(duty) for duty in each.needed) or "every duty due"
    return f"A complete pass of {named}, dated after the withdrawal, or removal for good."


def _every(duty: DutyDue) -> str:
    if duty.terms.interval is not None:
        return f"every {duty.terms.interval.words}"
    return ", and ".join(occasion_words(each) for each in duty.terms.occasions)


def _record(row: Row[Any], head: ReportedItem, duties: list[Duty], findings: list[Finding]) -> RecordRow:
    return RecordRow(
        item=head, tested_on=row.tested_on, tester=row.tester, instrument=row.instrument, duties=tuple(duties),
        verdict=Result(row.verdict), why=row.why, findings=tuple(findings),
        set_up=None if row.set_up is None else SetUp(row.set_up), as_found=row.as_found,
        remarks=" ".join(filter(None, [row.remarks, *row.warnings])),
        superseded=corrected_words(row), id=row.id,
    )  # fmt: skip

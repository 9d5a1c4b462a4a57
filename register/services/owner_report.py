"""Everything that the owner of a site is told, gathered from the register as at one day."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any, Final

import sqlalchemy as sa
from dateutil.relativedelta import relativedelta
from sqlalchemy.engine import Connection, Row

from register.domain.explain import day_words, why
from register.domain.intervals import occasion_words
from register.domain.records import Finding
from register.domain.rulebook import Confidence, Rulebook
from register.domain.schedule import DutyDue, out_of_scope
from register.domain.standing import duty_standing
from register.domain.words import CONTRACTORS_DUTIES, Condition, Duty, Kind, Result, SetUp, WithdrawalReason, spoken
from register.services.amended import CORRECTION_COLUMNS, corrected_words
from register.services.cases import Case, cases
from register.services.kept import findings_of
from register.services.out_of_service import Withdrawn
from register.services.projection import REMOVED
from register.services.questions import soon_days, standing_of, withdrawn_items
from register.services.report_rows import (
    DueRow,
    DutyDate,
    OwnDutyRow,
    OwnerReport,
    Period,
    RecordRow,
    RegisterRow,
    ReportedItem,
    RuleUsed,
    SiteHead,
    WithdrawnRow,
)  # fmt: skip
from register.services.rulebooks import rulebook
from register.services.settings import setting
from register.store import audit
from register.store.amended import Correction
from register.store.tables import Area, Item, Owner, Record, RecordDuty, Site, Tag

LOOK_AHEAD: Final = timedelta(weeks=13)
LOOK_BACK: Final = relativedelta(months=12)


def owner_report(connection: Connection, site_id: str, as_at: date, period: Period | None = None) -> OwnerReport:
    """Return the report on one site: a quarter ahead, and the tests of a period or of a year back."""
    site = connection.execute(
        sa.select(Site.__table__, Owner.name.label("owner"))
        .join(Owner, Owner.id == Site.owner_id)
        .where(Site.id == site_id)
    ).one()
    rules = rulebook(site.rulebook)
    rows = _items(connection, site_id)
    known = {each.id: each for each in cases(connection, list(rows))}
    duties = {key: each.duties() for key, each in known.items()}
    soon, until, tested = soon_days(connection), as_at + LOOK_AHEAD, period or Period(as_at - LOOK_BACK, date.max)
    heads = {key: _head(row, as_at, soon) for key, row in rows.items()}
    end = audit.head(connection)
    return OwnerReport(
        firm=setting(connection, "firm", ""), firm_contact=setting(connection, "firm_contact", ""), owner=site.owner,
        site=SiteHead(
            site.code, site.name, site.address, rules.environments[site.environment].title,
            f"{rules.title}, version {rules.version}",
        ),
        as_at=as_at, looks_ahead_to=until, events=end.count, chain_head=end.hash,
        items=tuple(_register(rows, heads, known, duties, _earlier_tags(connection, site_id))),
        due=tuple(_due(rows, heads, known, duties, until=until, today=as_at, soon=soon)),
        withdrawn=tuple(_withdrawn(connection, site_id, heads)),
        own_duties=tuple(_own(rows, heads, duties)),
        records=tuple(_records(connection, site_id, heads, tested)),
        rules=tuple(_rules(rules, duties.values())), cautions=rules.cautions, records_since=tested.first,
        records_until=None if period is None else tested.last, sites=(site.code,),
    )  # fmt: skip


def _items(connection: Connection, site_id: str) -> dict[str, Row[Any]]:
    """Return the site's items by id: by area and tag, removed ones last."""
    statement = (
        sa.select(Item.__table__, Area.name.label("area"))
        .join(Area, Area.id == Item.area_id)
        .where(Item.site_id == site_id)
        .order_by(Item.state == REMOVED, Area.name, Item.tag_number)
    )
    return {row.id: row for row in connection.execute(statement)}


def _head(row: Row[Any], as_at: date, soon: int) -> ReportedItem:
    return ReportedItem(
        row.tag_number, Kind(row.kind), row.description, row.area, standing_of(row, as_at, soon), row.id
    )


def _earlier_tags(connection: Connection, site_id: str) -> dict[str, list[str]]:
    """Return the numbers that the site's items carried before, by item."""
    tags: dict[str, list[str]] = defaultdict(list)
    statement = sa.select(Tag.item_id, Tag.number).join(Item, Item.id == Tag.item_id)
    earlier = statement.where(Item.site_id == site_id, Tag.number != Item.tag_number).order_by(Tag.number)
    for item_id, number in connection.execute(earlier):
        tags[item_id].append(number)
    return tags


def _register(
    rows: Mapping[str, Row[Any]],
    heads: Mapping[str, ReportedItem],
    known: Mapping[str, Case],
    duties: Mapping[str, tuple[DutyDue, ...]],
    tags: Mapping[str, list[str]],
) -> Iterable[RegisterRow]:
    for key, row in rows.items():
        item = known[key].item
        rules = known[key].rulebooks[known[key].stays[-1].exposure.rulebook]
        contractors = [each for each in duties[key] if each.contractors and not each.terms.relieved]
        yield RegisterRow(
            item=heads[key], environment=rules.environments[row.present_environment].title, next_due=row.next_due,
            duties=tuple(DutyDate(each.duty, each.due) for each in contractors), serial=row.serial,
            earlier_tags=tuple(tags.get(key, ())), outlets=row.outlets, safety_switch=item.safety_switch,
            rated_current_a=item.rated_current_a, remarks=_remarks(row, known[key], duties[key], rules),
            not_found_on=row.not_found_on,
        )  # fmt: skip


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


def _due(
    rows: Mapping[str, Row[Any]],
    heads: Mapping[str, ReportedItem],
    known: Mapping[str, Case],
    duties: Mapping[str, tuple[DutyDue, ...]],
    *,
    until: date,
    today: date,
    soon: int,
) -> list[DueRow]:
    found = [
        DueRow(
            heads[key], duty_standing(today, each, soon_days=soon), each.duty,
            None if each.done is None else each.done.on, each.interval, each.due,
            why(known[key].item, each, known[key].rulebooks), each.line.source.text,
        )
        for key, scheduled in duties.items()
        if rows[key].state != REMOVED
        for each in scheduled
        if each.contractors and (each.first_needed or (each.due is not None and each.due <= until))
    ]  # fmt: skip
    return sorted(found, key=lambda each: (each.due or date.min, each.item.tag, each.duty))


def _withdrawn(connection: Connection, site_id: str, heads: Mapping[str, ReportedItem]) -> Iterable[WithdrawnRow]:
    out = withdrawn_items(connection, site_id)
    findings = findings_of(connection, [each.record_id for each in out if each.record_id is not None])
    for each in out:
        failing = [one for one in findings.get(each.record_id or "", []) if one.result is Result.FAIL]
        yield WithdrawnRow(
            item=heads[each.item_id], since=each.since, reason=each.reason, why=each.detail, failing=tuple(failing),
            tag_number=each.tag_number, waiting_for=_waiting(each), ends=_ends(each),
        )  # fmt: skip


def _waiting(each: Withdrawn) -> str:
    if each.reason is WithdrawalReason.OVERDUE:
        return "The contractor's next visit"
    return "The owner: have it repaired by a licensed person, or dispose of it"


def _ends(each: Withdrawn) -> str:
    named = " and ".join(spoken(duty) for duty in each.needed) or "every duty due"
    return f"A complete pass of {named}, dated after the withdrawal, or removal for good."


def _own(
    rows: Mapping[str, Row[Any]],
    heads: Mapping[str, ReportedItem],
    duties: Mapping[str, tuple[DutyDue, ...]],
) -> Iterable[OwnDutyRow]:
    for key, scheduled in duties.items():
        for each in scheduled:
            if not each.contractors and not each.terms.relieved and rows[key].state != REMOVED:
                done = None if each.done is None else each.done.on
                yield OwnDutyRow(heads[key], each.duty, _every(each), done, each.due, each.line.source.text)


def _every(duty: DutyDue) -> str:
    if duty.terms.interval is not None:
        return f"every {duty.terms.interval.words}"
    return ", and ".join(occasion_words(each) for each in duty.terms.occasions)


def _records(
    connection: Connection, site_id: str, heads: Mapping[str, ReportedItem], tested: Period
) -> list[RecordRow]:
    """Return the records of a period, the newest first."""
    here = sa.select(Item.id).where(Item.site_id == site_id)
    statement = (
        sa.select(Record.__table__, *CORRECTION_COLUMNS)
        .outerjoin(Correction, Correction.record_id == Record.id)
        .where(Record.item_id.in_(here), Record.tested_on.between(tested.first, tested.last))
    )
    found = connection.execute(statement.order_by(Record.tested_on.desc(), Record.id)).all()
    duties: dict[str, list[Duty]] = defaultdict(list)
    done = sa.select(RecordDuty.record_id, RecordDuty.duty).where(
        RecordDuty.item_id.in_(here), RecordDuty.tested_on.between(tested.first, tested.last)
    )
    for record_id, duty in connection.execute(done):
        duties[record_id].append(Duty(duty))
    findings = findings_of(connection, [row.id for row in found])
    return [_record(row, heads[row.item_id], duties[row.id], findings.get(row.id, [])) for row in found]


def _record(row: Row[Any], head: ReportedItem, duties: list[Duty], findings: list[Finding]) -> RecordRow:
    return RecordRow(
        item=head, tested_on=row.tested_on, tester=row.tester, instrument=row.instrument, duties=tuple(duties),
        verdict=Result(row.verdict), why=row.why, findings=tuple(findings),
        set_up=None if row.set_up is None else SetUp(row.set_up), as_found=row.as_found,
        remarks=" ".join(filter(None, [row.remarks, *row.warnings])),
        superseded=corrected_words(row), id=row.id,
    )  # fmt: skip


def _rules(rules: Rulebook, duties: Iterable[tuple[DutyDue, ...]]) -> list[RuleUsed]:
    """Return the editions from which this report's dates and limits come, with how far each is to be trusted."""
    used: dict[tuple[str, Confidence, bool], set[str]] = defaultdict(set)
    for each in (one for scheduled in duties for one in scheduled):
        source = each.line.source
        whose = "intervals" if each.duty in CONTRACTORS_DUTIES else "the user's duties"
        used[source.edition.title, source.confidence, source.edition.in_force].add(f"{spoken(each.duty)} ({whose})")
    for line in rules.limits:
        source = line.source
        used[source.edition.title, source.confidence, source.edition.in_force].add(f"{spoken(line.check)} (limits)")
    return [
        RuleUsed(title, ", ".join(sorted(names)), confidence, in_force)
        for (title, confidence, in_force), names in sorted(used.items())
    ]

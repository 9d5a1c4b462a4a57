"""Taking test records in: judged by the rules in force, kept with their limits, dates moved on a pass."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, NamedTuple

import orjson
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.asked import duties_of
from register.domain.explain import day_words
from register.domain.items import Item as DomainItem
from register.domain.record_checks import check_record
from register.domain.records import Judgement, ReadingPlan, TestRecord
from register.domain.rulebook import Rulebook
from register.domain.text import clean_tag, clean_text
from register.domain.verdict import judge
from register.domain.words import Duty, Result
from register.errors import Refused
from register.services.cases import case
from register.services.fitness import fit_to_test
from register.services.items import find_item
from register.services.kept_readings import (
    READING_COLUMNS,
    Measured,
    keep_limits,
    measured,
    word_of,
)
from register.services.people import add_instrument, add_tester
from register.services.places import plan_of
from register.services.projection import REMOVED, redate
from register.services.withdrawals.by_records import follow_record
from register.store import audit
from register.store.amended import Correction
from register.store.audit import Entry, Name
from register.store.bulk import insert_rows
from register.store.engine import Change
from register.store.tables import Item, Reading, Record, RecordDuty, Site, Tag

EARLIEST: Final = date(1990, 1, 1)
"""Older dates are slips of the hand (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class RecordEntry:
    """One test record as it comes from outside, under the id that its maker gave it.

    `old_confirmed` says that a date before 1990 was asked back and is right.
    """

    id: str
    tag: str
    record: TestRecord
    site: str | None = None
    tester: str = ""
    instrument: str = ""
    remarks: str = ""
    old_confirmed: bool = False


@dataclass(frozen=True, slots=True)
class Recorded:
    """What became of one record. `known` says that it was in the register already and nothing was changed.

    `dates` are the duties' dates afterwards; `withdrawn` and `returned` say whether it took the item out of
    service or brought it back; `still_needed` are the duties that keep it out. `warnings` are sentences that stay with
    the record, such as of a calibration that had run out.
    """

    id: str
    tag: str
    judgement: Judgement | None
    known: bool = False
    dates: tuple[tuple[Duty, date | None], ...] = ()
    withdrawn: bool = False
    returned: bool = False
    still_needed: tuple[Duty, ...] = ()
    warnings: tuple[str, ...] = ()


class Judged(NamedTuple):
    """A record ready to be kept: judged, or with the verdict as found in an older register.

    `content` tells the same test taken in twice.
    """

    id: str
    item_id: str
    record: TestRecord
    measured: Measured
    judgement: Judgement
    content: str
    as_found: bool
    tester: str
    instrument: str
    remarks: str
    rulebook: Rulebook
    environment: str
    warnings: tuple[str, ...]


def record_tests(change: Change, entries: Sequence[RecordEntry]) -> list[Recorded]:
    """Take in records in their order; all or none. The same id twice changes nothing."""
    return [_record(change, entry) for entry in entries]


def _record(change: Change, entry: RecordEntry) -> Recorded:
    connection = change.session.connection()
    if (kept := change.session.get(Record, entry.id)) is not None:
        return Recorded(entry.id, _its_tag(change, kept, entry), None, known=True)
    item_id = find_item(connection, entry.tag, site=entry.site)
    row = change.session.get_one(Item, item_id)
    if row.state == REMOVED:
        raise Refused(f"{row.tag_number} was removed for good, so no test can be recorded on it. Check the tag.")
    check_day(entry.record.tested_on, change.today, old_confirmed=entry.old_confirmed)
    known = case(connection, item_id)
    rules = known.rulebooks[known.stays[-1].exposure.rulebook]
    record = with_duties(entry.record, known.item, rules)
    try:
        check_record(record, known.item)
    except Refused as wrong:  # among many records the sentence says of which
        raise Refused(
            f"The test of {row.tag_number} of {day_words(record.tested_on)} was not taken in. {wrong}"
        ) from None
    judgement = judge(record, known.item, rules, _plan(connection, known.site_id))
    seen = measured(record, known.item, judgement)
    content = _fresh(connection, item_id, content_of(record, judgement.verdict, seen))
    if content is None:
        return Recorded(entry.id, row.tag_number, judgement, known=True)
    tester, instrument = clean_text(entry.tester) or change.actor, clean_text(entry.instrument)
    judged = Judged(
        entry.id, item_id, record, seen, judgement, content, as_found=False, tester=tester, instrument=instrument,
        remarks=clean_text(entry.remarks), rulebook=rules, environment=known.environment,
        warnings=fit_to_test(connection, tester, instrument, record.tested_on),
    )  # fmt: skip
    keep(change, [judged])
    _found_again(change, row, record)
    redate(change, [item_id])
    outcome = follow_record(change, item_id, judged.id, record, judgement)
    after = case(connection, item_id)
    dates = tuple((duty.duty, duty.due) for duty in after.duties() if duty.contractors and not duty.terms.relieved)
    return Recorded(
        entry.id, row.tag_number, judgement, dates=dates, withdrawn=outcome.opened, returned=outcome.ended,
        still_needed=outcome.still_needed, warnings=judged.warnings,
    )  # fmt: skip


def _its_tag(change: Change, kept: Record, entry: RecordEntry) -> str:
    """Return the tag of the item of a record that is kept already; refused where another test has its id."""
    had = change.session.scalars(sa.select(Tag.number).where(Tag.item_id == kept.item_id)).all()
    tag = change.session.get_one(Item, kept.item_id).tag_number
    if clean_tag(entry.tag) not in had or kept.tested_on != entry.record.tested_on:
        raise Refused(
            f"The id {entry.id} is that of a record of {tag} of {day_words(kept.tested_on)}. Give the record of"
            f" {entry.tag} of {day_words(entry.record.tested_on)} an id of its own."
        )
    return tag


def with_duties(record: TestRecord, item: DomainItem, rules: Rulebook) -> TestRecord:
    """Return the record with the duties it set out to do written down: every contractor's duty where it names none."""
    if record.duties:
        return record
    return TestRecord(
        duties_of(item, rules), record.readings, record.look, record.tested_on, record.tested_at, record.set_up
    )


def check_day(day: date, today: date, *, old_confirmed: bool = False) -> None:
    """Refuse a date in the future, and one so old that it must be a slip unless somebody confirmed it."""
    if day > today:
        raise Refused(
            f"The date {day_words(day)} is in the future: today is {day_words(today)}. Give the day it was done."
        )
    if day < EARLIEST and not old_confirmed:
        raise Refused(f"The date {day_words(day)} is before 1990. Check the year, and confirm it if it is right.")


def _fresh(connection: Connection, item_id: str, content: str) -> str | None:
    """Return the content under which a test of the item is kept; None where the register holds the very same already.

    One that was corrected counts no more, so the same test may be recorded again, under a content of its own.
    """
    same = (
        sa.select(Record.id, Correction.id)
        .outerjoin(Correction, Correction.record_id == Record.id)
        .where(Record.item_id == item_id, Record.content == sa.bindparam("content", type_=sa.Text))
    )
    while found := connection.execute(same, {"content": content}).first():
        record_id: str = found[0]
        corrected: str | None = found[1]
        if corrected is None:
            return None
        content = hashlib.sha256(f"{content} again after {record_id}".encode()).hexdigest()
    return content


def _plan(connection: Connection, site_id: str) -> ReadingPlan:
    return plan_of(connection.execute(sa.select(Site.reading_plan).where(Site.id == site_id)).scalar_one())


def _found_again(change: Change, row: Item, record: TestRecord) -> None:
    """Take back the mark *not found* of an item that was tested since."""
    if row.not_found_on is not None and record.tested_on >= row.not_found_on:
        audit.log(change, Name.ITEM_CHANGE, row.id, field="not_found_on", before=row.not_found_on, after=None)
        row.not_found_on = None


def keep(change: Change, judged: Sequence[Judged]) -> None:
    """Write records with their readings and events; their dates are left to the caller."""
    change.session.flush()
    connection = change.session.connection()
    keep_limits(connection, (each.measured for each in judged))
    insert_rows(connection, Record, _RECORD_COLUMNS, (_record_row(change, each) for each in judged))
    insert_rows(connection, RecordDuty, _DUTY_COLUMNS, (row for each in judged for row in _duty_rows(each)))
    readings = ((each.id, *row) for each in judged for row in each.measured.readings)
    insert_rows(connection, Reading, READING_COLUMNS, readings)
    audit.log_all(change, (_event(each) for each in judged))
    for tester in dict.fromkeys(each.tester for each in judged):
        add_tester(change, tester)
    for instrument in dict.fromkeys(each.instrument for each in judged):
        add_instrument(change, instrument)


_RECORD_COLUMNS: Final = (
    "id", "item_id", "tested_on", "tested_at", "tester", "instrument", "set_up", "look", "verdict", "why", "as_found",
    "rulebook", "rulebook_version", "environment", "look_limit_id", "missing", "remarks", "warnings", "content",
    "recorded_at",
)  # fmt: skip
_DUTY_COLUMNS: Final = ("record_id", "duty", "item_id", "verdict", "tested_on", "tested_at", "as_found")


def _record_row(change: Change, judged: Judged) -> tuple[Any, ...]:
    record, judgement = judged.record, judged.judgement
    return (
        judged.id, judged.item_id, record.tested_on, _time(record), judged.tester, judged.instrument,
        word_of(record.set_up), word_of(record.look), judgement.verdict._value_, judgement.why, judged.as_found,
        judged.rulebook.id, judged.rulebook.version, judged.environment, judged.measured.look_limit,
        judged.measured.missing, judged.remarks, judged.warnings, judged.content, change.at,
    )  # fmt: skip


def _duty_rows(judged: Judged) -> list[tuple[Any, ...]]:
    record = judged.record
    facts = (judged.item_id, judged.judgement.verdict._value_, record.tested_on, _time(record), judged.as_found)
    return [(judged.id, duty, *facts) for duty in judged.measured.duties]


def _time(record: TestRecord) -> str | None:
    return None if record.tested_at is None else record.tested_at.isoformat()


def _event(judged: Judged) -> Entry:
    facts = {
        "item": judged.item_id, "tested_on": judged.record.tested_on, "verdict": judged.judgement.verdict._value_,
        "as_found": judged.as_found, "tester": judged.tester, "instrument": judged.instrument,
        "content": judged.content,
    }  # fmt: skip
    return Entry(Name.RECORD_ADD, judged.id, facts)


def content_of(record: TestRecord, verdict: Result, seen: Measured) -> str:
    """Return a hash of what was measured and when: the same for the same test, however often it is taken in."""
    facts = [
        record.tested_on.isoformat(), _time(record), record.look, sorted(seen.duties), verdict,
        orjson.Fragment(seen.facts),
    ]  # fmt: skip
    return hashlib.sha256(orjson.dumps(facts)).hexdigest()

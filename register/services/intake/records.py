"""The tests of a file that is taken in: judged by today's rules, weighed against the result written in the sheet."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.items import Item as DomainItem
from register.domain.places import OF_THE_WHOLE_ITEM
from register.domain.record_checks import check_record
from register.domain.records import Judgement, ReadingPlan, TestRecord
from register.domain.rulebook import Rulebook
from register.domain.text import clean_tag, clean_text
from register.domain.verdict import judge
from register.domain.words import Result, spoken
from register.errors import Refused
from register.services.cases import Placed, placed, spans
from register.services.fitness import Fitness, fitness
from register.services.intake.rows import Became, IntakeRecord, RowPlace, RowProblem
from register.services.kept_readings import Measured, measured, reading_facts
from register.services.projection import REMOVED
from register.services.recording import Judged, check_day, content_of, keep, with_duties
from register.services.rulebooks import rulebook
from register.store.bulk import rows_of
from register.store.engine import Change
from register.store.tables import Item, Record, Site, Tag
from register.store.types import new_key

_WORSE: Final = (Result.PASS, Result.INCOMPLETE, Result.FAIL)
"""From good to bad."""


@dataclass(slots=True)
class Kept:
    """The tests that were new, how many the register held before, and which it is of each row."""

    judged: list[Judged] = field(default_factory=list)
    same: int = 0
    became: dict[RowPlace, Became] = field(default_factory=dict)


def take_records(change: Change, records: Sequence[IntakeRecord], problems: list[RowProblem]) -> Kept:
    """Judge and keep the tests that the register does not hold yet. Their dates are left to the caller."""
    connection = change.session.connection()
    keyed = [(record, key) for record in records if (key := _key(record, problems))]
    ids = _ids(connection, {code for _record, (code, _tag) in keyed})
    wanted = sorted({ids[key] for _record, key in keyed if key in ids})
    known = {each.id: each for each in placed(connection, wanted)}
    contents, removed = _contents(connection, wanted), _removed(connection, wanted)
    fit = fitness(connection)
    kept = Kept()
    for record, key in keyed:
        item_id = ids.get(key)
        if item_id is None:
            reason = "No item has this tag, so the test was left out. Take in the item first, or mend the tag."
            problems.append(RowProblem(record.place, "tag", record.tag, reason))
            continue
        judged = _judged(change, record, known[item_id], removed.get(item_id), problems, fit)
        if judged is None:
            continue
        if judged.content in contents[item_id]:
            kept.same += 1
            kept.became.setdefault(record.place, Became.SAME)
            continue
        contents[item_id].add(judged.content)
        kept.became[record.place] = Became.NEW
        kept.judged.append(judged)
    keep(change, kept.judged)
    return kept


def _key(record: IntakeRecord, problems: list[RowProblem]) -> tuple[str, str] | None:
    """Return the site's code and the tag of a test; None, with the reason noted, where the tag can't be one."""
    try:
        return record.site, clean_tag(record.tag)
    except Refused as refused:
        problems.append(RowProblem(record.place, "tag", record.tag, str(refused)))
        return None


def _ids(connection: Connection, codes: Collection[str]) -> dict[tuple[str, str], str]:
    """Return the items of the sites by site code and each tag they have or had."""
    statement = (
        sa.select(Site.code, Tag.number, Tag.item_id)
        .join(Item, Item.id == Tag.item_id)
        .join(Site, Site.id == Item.site_id)
        .where(Site.code.in_(codes))
    )
    return {(code, number): item for code, number, item in connection.execute(statement)}


def _contents(connection: Connection, items: Collection[str]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for among in spans(connection, items):
        for item_id, content in rows_of(
            connection, sa.select(Record.item_id, Record.content).where(among(Record.item_id))
        ):
            found[item_id].add(content)
    return found


def _removed(connection: Connection, items: Collection[str]) -> dict[str, date]:
    """Return the day from which an item is gone for good, where it is and the day is known."""
    found: dict[str, date] = {}
    gone = sa.select(Item.id, Item.removed_on).where(Item.state == REMOVED, Item.removed_on.is_not(None))
    for among in spans(connection, items):
        found |= dict(rows_of(connection, gone.where(among(Item.id))))
    return found


def _judged(
    change: Change,
    record: IntakeRecord,
    known: Placed,
    removed_on: date | None,
    problems: list[RowProblem],
    fit: Fitness,
) -> Judged | None:
    """Return the test as it will be kept; None, with the reason noted, where it can't be."""
    rules = rulebook(known.rulebook)
    test = with_duties(record.record, known.item, rules)
    if removed_on is not None and test.tested_on > removed_on:
        reason = (
            f"The item was removed for good on {day_words(removed_on)}, before this test. Check the tag and the date."
        )
        problems.append(RowProblem(record.place, "date", day_words(test.tested_on), reason))
        return None
    try:
        check_day(test.tested_on, change.today, old_confirmed=True)
    except Refused as refused:
        problems.append(RowProblem(record.place, "date", day_words(test.tested_on), str(refused)))
        return None
    try:
        found, seen = _JUDGED.judge(test, known.item, rules)
    except Refused as refused:
        problems.append(RowProblem(record.place, "readings", "", str(refused)))
        return None
    if known.item.outlets > 1:
        problems.extend(_of_no_outlet(record, known.item))
    judgement, as_found = _settle(record, found, problems)
    tester, instrument = clean_text(record.tester), clean_text(record.instrument)
    return Judged(
        new_key(), known.id, test, seen, judgement, content_of(test, judgement.verdict, seen), as_found=as_found,
        tester=tester, instrument=instrument, remarks=clean_text(record.remarks), rulebook=rules,
        environment=known.environment, warnings=fit.warnings(tester, instrument, test.tested_on),
    )  # fmt: skip


def _of_no_outlet(record: IntakeRecord, item: DomainItem) -> Iterator[RowProblem]:
    """Say of readings on an item of several outlets that name none that they count for none of them."""
    nowhere = dict.fromkeys(
        spoken(each.check)
        for each in record.record.readings
        if each.outlet is None and each.check not in OF_THE_WHOLE_ITEM
    )
    if nowhere:
        reason = (
            f"Which of the {item.outlets} outlets this was measured on is not said, so it shows none of them to be "
            "good. Name the outlet in the heading, as “outlet 1”, or in a column of its own."
        )
        yield RowProblem(record.place, ", ".join(nowhere), "", reason, refused=False)


class _Judgements:
    """What was judged, for all tests that measured the very same on items that are alike.

    Many tests of a sheet did, and all of them come again when what was rehearsed is taken in. The item and the rulebook
    are known by their identity, which no other can take while they are remembered here.
    """

    def __init__(self) -> None:
        self._made: dict[tuple[object, ...], tuple[DomainItem, Rulebook, Judgement, Measured]] = {}

    def judge(self, test: TestRecord, item: DomainItem, rules: Rulebook) -> tuple[Judgement, Measured]:
        """Judge what was measured, whenever that was; refused where it can't be true of the item."""
        facts = tuple(map(reading_facts, test.readings))
        key = (test.duties, facts, test.look, id(item), id(rules))
        made = self._made.get(key)
        if made is None:
            if len(self._made) >= _MOST_JUDGEMENTS:
                self.forget()
            check_record(test, item)
            judgement = judge(test, item, rules, ReadingPlan())
            made = self._made[key] = item, rules, judgement, measured(test, item, judgement, facts)
        return made[2:]

    def forget(self) -> None:
        """Let go of what was judged."""
        self._made.clear()


_MOST_JUDGEMENTS: Final = 32_768
_JUDGED: Final = _Judgements()


def forget_judgements() -> None:
    """Let go of what was judged, once it is kept: the rehearsal of the next sheet begins anew."""
    _JUDGED.forget()


def _settle(record: IntakeRecord, judgement: Judgement, problems: list[RowProblem]) -> tuple[Judgement, bool]:
    """Weigh our judgement against the result written in the sheet: the worse counts, a gap is filled as found."""
    found, verdict = record.as_found, judgement.verdict
    if found is None or found is verdict:
        return judgement, False
    if verdict is Result.INCOMPLETE:
        why = f"{found.value.capitalize()} as found in the earlier register. {judgement.why}"
        return replace(judgement, verdict=found, why=why), True
    worse = max(found, verdict, key=_WORSE.index)
    reason = f"The sheet says {found.value}, the readings say {verdict.value}: {judgement.why} Kept as {_A[worse]}."
    problems.append(RowProblem(record.place, "result", found.value, reason, refused=False))
    if worse is verdict:
        return judgement, False
    why = f"{found.value.capitalize()} as found in the earlier register; its readings alone would pass."
    return replace(judgement, verdict=found, why=why), True


_A: Final = {Result.FAIL: "a fail", Result.INCOMPLETE: "incomplete"}

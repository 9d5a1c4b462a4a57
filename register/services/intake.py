"""Taking in what a spreadsheet says: compared with the register first, then kept in one transaction, or not at all.

The same file twice changes nothing: items are known by their tag at their owner's, tests by what was measured.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.items import SAFETY_SWITCHES, SafetySwitch
from register.domain.record_checks import check_record
from register.domain.records import Judgement, ReadingPlan
from register.domain.text import clean_tag, clean_text
from register.domain.verdict import judge
from register.domain.words import Kind, Result
from register.errors import Refused
from register.services.cases import Case, cases, switch_row
from register.services.intake_rows import IntakeItem, IntakeRecord, RowProblem, SheetRows
from register.services.items import NewItem, enter_items
from register.services.places import NewSite, add_site, area_named, site_id
from register.services.projection import redate
from register.services.recording import Judged, content_of, keep, with_duties
from register.services.replay import replay
from register.services.rulebooks import rulebook
from register.store import audit
from register.store.audit import Name
from register.store.bulk import chunks
from register.store.engine import Change
from register.store.tables import Area, Intake, Item, Record, Site, Tag
from register.store.types import new_key

DEFAULT_RULEBOOK: Final = "au-in-service"


@dataclass(frozen=True, slots=True)
class IntakeChoices:
    """What the rows may leave open: the site they are of, and how to enter it where it is new."""

    site: str = ""
    site_name: str = ""
    owner: str = ""
    rulebook: str = ""
    environment: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """What taking in a file did, or would do: counts, and every row that was not taken or is to be known."""

    new_items: int = 0
    changed_items: int = 0
    same_items: int = 0
    new_records: int = 0
    same_records: int = 0
    as_found: int = 0
    problems: tuple[RowProblem, ...] = ()

    @property
    def refused(self) -> int:
        """How many rows or tests were not taken."""
        return sum(problem.refused for problem in self.problems)


def take_in(change: Change, rows: SheetRows, choices: IntakeChoices, *, file_name: str, sha256: str) -> Taken:
    """Take in the rows of one file; raises `Refused` with nothing kept where the file as a whole can't be taken."""
    problems = list(rows.problems)
    sites = _sites(change, rows, choices)
    items = _with_site(rows.items, choices)
    entered = _enter(change, items, rows.records, sites, choices, problems)
    kept = _records(change, rows.records, choices, problems)
    redate(change, {*entered.touched, *(each.item_id for each in kept.judged)})
    replay(change, [each.item_id for each in kept.judged])
    taken = Taken(
        new_items=entered.new, changed_items=entered.changed, same_items=entered.same,
        new_records=len(kept.judged), same_records=kept.same,
        as_found=sum(each.as_found for each in kept.judged), problems=tuple(problems),
    )  # fmt: skip
    if taken.new_items or taken.changed_items or taken.new_records:
        _note(change, taken, file_name, sha256)
    return taken


@dataclass(slots=True)
class _Entered:
    new: int = 0
    changed: int = 0
    same: int = 0
    touched: tuple[str, ...] = ()


@dataclass(slots=True)
class _Kept:
    judged: list[Judged]
    same: int = 0


def _note(change: Change, taken: Taken, file_name: str, sha256: str) -> None:
    counts = {
        "new_items": taken.new_items, "changed_items": taken.changed_items, "new_records": taken.new_records,
        "refused": taken.refused,
    }  # fmt: skip
    row = Intake(file_name=file_name, sha256=sha256, taken_at=change.at, counts=counts)
    change.session.add(row)
    change.session.flush()
    audit.log(change, Name.INTAKE, row.id, file=file_name, sha256=sha256, counts=counts)


def _code(site: str, choices: IntakeChoices) -> str:
    return clean_text(site or choices.site).upper()


def _with_site(items: Sequence[IntakeItem], choices: IntakeChoices) -> list[IntakeItem]:
    return [replace(item, site=_code(item.site, choices)) for item in items]


def _sites(change: Change, rows: SheetRows, choices: IntakeChoices) -> dict[str, str]:
    """Return the sites that the rows name by their codes, entering new ones."""
    named: dict[str, IntakeItem | None] = {}
    for item in rows.items:
        named.setdefault(_code(item.site, choices), item)
    for record in rows.records:
        named.setdefault(_code(record.site, choices), None)
    if "" in named:
        raise Refused("The file does not say which site it is of. Name it with --site CODE, or in the mapping.")
    return {code: _site(change, code, item, choices) for code, item in named.items()}


def _site(change: Change, code: str, item: IntakeItem | None, choices: IntakeChoices) -> str:
    found = site_id(change.session.connection(), code)
    if found is not None:
        return found
    rules = choices.rulebook or DEFAULT_RULEBOOK
    if not choices.environment:
        classes = ", ".join(rulebook(rules).environments)
        raise Refused(
            f"The site {code} is new: say how its places are used, with --environment and a class of the rulebook"
            f" {rules}: {classes}."
        )
    name = (item.site_name if item else "") or choices.site_name or code
    owner = (item.owner if item else "") or choices.owner or name
    return add_site(change, NewSite(code, name, owner, rules, choices.environment))


def _enter(
    change: Change,
    items: Sequence[IntakeItem],
    records: Sequence[IntakeRecord],
    sites: Mapping[str, str],
    choices: IntakeChoices,
    problems: list[RowProblem],
) -> _Entered:
    """Enter new items and change known ones where the rows say something else."""
    known = _known(change.session.connection(), sites)
    first_seen = _first_seen(records, choices)
    fresh: list[NewItem] = []
    entered = _Entered()
    touched: list[str] = []
    seen: dict[tuple[str, str], IntakeItem] = {}
    for item in items:
        key = (item.site, clean_tag(item.tag))
        if key in seen:
            problems.append(_again(item, seen[key]))
            continue
        seen[key] = item
        present = known.get(key)
        if present is not None:
            changed = _change(change, present, item)
            entered.changed += changed
            entered.same += not changed
            touched += [present.id] * changed
        elif item.kind is None:
            problems.append(RowProblem(item.place, "kind", "", "A new item needs a kind. Say what it is."))
        else:
            area = area_named(change, sites[item.site], item.area, item.area_environment)
            fresh.append(_new(item, item.kind, area, first_seen.get(key, change.today), change.today))
    entered.touched = (*touched, *_enter_new(change, fresh))
    entered.new = len(fresh)
    return entered


def _enter_new(change: Change, fresh: Sequence[NewItem]) -> list[str]:
    return enter_items(change, fresh) if fresh else []


def _again(item: IntakeItem, first: IntakeItem) -> RowProblem:
    reason = f"The tag stands in row {first.place.row} already; this row was left out. Give it its own tag."
    return RowProblem(item.place, "tag", item.tag, reason)


def _first_seen(records: Sequence[IntakeRecord], choices: IntakeChoices) -> dict[tuple[str, str], date]:
    """Return the first day on which the rows show each item at its site."""
    first: dict[tuple[str, str], date] = {}
    for record in records:
        key = (_code(record.site, choices), clean_tag(record.tag))
        first[key] = min(first.get(key, record.record.tested_on), record.record.tested_on)
    return first


def _known(connection: Connection, sites: Mapping[str, str]) -> dict[tuple[str, str], Row[Any]]:
    """Return the items of the rows' sites by site code and each tag they have or had."""
    codes = {key: code for code, key in sites.items()}
    columns = (
        Item.id, Item.site_id, Item.area_id, Item.kind, Item.description, Item.serial, Item.outlets, Item.switch,
        Item.rated_current_a, Item.state, Tag.number, Area.name.label("area"),
    )  # fmt: skip
    statement = (
        sa.select(*columns)
        .join(Tag, Tag.item_id == Item.id)
        .join(Area, Area.id == Item.area_id)
        .where(Item.site_id.in_(list(codes)))
    )
    return {(codes[row.site_id], row.number): row for row in connection.execute(statement)}


def _new(item: IntakeItem, kind: Kind, area: str, since: date, today: date) -> NewItem:
    return NewItem(
        tag=item.tag, area_id=area, kind=kind, since=since, description=item.description, serial=item.serial,
        environment=item.environment, outlets=item.outlets, safety_switch=_switch(item, kind),
        rated_current_a=item.rated_current_a, condition=item.condition, condition_since=item.since,
        moved_in_use=item.moved_in_use, protected_by_switch=item.protected_by_switch, risk_factor=item.risk_factor,
        earlier_tags=item.earlier_tags, not_found_on=today if item.not_found else None, removed_on=item.removed_on,
        remarks=item.remarks,
    )  # fmt: skip


def _switch(item: IntakeItem, kind: Kind) -> SafetySwitch | None:
    """A safety switch whose plate the row says nothing of is one all the same, with an unknown plate."""
    return item.safety_switch or (SafetySwitch() if kind in SAFETY_SWITCHES else None)


def _change(change: Change, present: Row[Any], item: IntakeItem) -> bool:
    """Bring a known item up to what the row says; empty cells say nothing. Returns whether anything changed."""
    stated: dict[str, Any] = {
        "description": clean_text(item.description),
        "serial": clean_text(item.serial),
        "switch": switch_row(item.safety_switch),
        "outlets": item.outlets,
        "rated_current_a": None if item.rated_current_a is None else f"{item.rated_current_a:f}",
    }
    fresh = {name: value for name, value in stated.items() if value and getattr(present, name) != value}
    if not fresh:
        return False
    row = change.session.get_one(Item, present.id)
    before = {name: getattr(row, name) for name in fresh}
    for name, value in fresh.items():
        setattr(row, name, value)
    audit.log(change, Name.ITEM_CHANGE, row.id, before=before, after=fresh)
    return True


def _records(
    change: Change, records: Sequence[IntakeRecord], choices: IntakeChoices, problems: list[RowProblem]
) -> _Kept:
    """Judge and keep the tests that the register does not hold yet."""
    connection = change.session.connection()
    codes = {_code(record.site, choices) for record in records}
    ids = _ids(connection, codes)
    wanted = {ids[key] for record in records if (key := _key(record, choices)) in ids}
    known = {each.id: each for each in cases(connection, wanted)}
    contents = _contents(connection, wanted)
    kept = _Kept([])
    for record in records:
        item_id = ids.get(_key(record, choices))
        if item_id is None:
            reason = "No item has this tag, so the test was left out. Take in the item first, or mend the tag."
            problems.append(RowProblem(record.place, "tag", record.tag, reason))
            continue
        judged = _judged(record, known[item_id], problems)
        if judged is None:
            continue
        content = content_of(judged.record, judged.judgement.verdict)
        if content in contents[item_id]:
            kept.same += 1
            continue
        contents[item_id].add(content)
        kept.judged.append(judged)
    keep(change, kept.judged)
    return kept


def _key(record: IntakeRecord, choices: IntakeChoices) -> tuple[str, str]:
    return _code(record.site, choices), clean_tag(record.tag)


def _ids(connection: Connection, codes: set[str]) -> dict[tuple[str, str], str]:
    statement = (
        sa.select(Site.code, Tag.number, Tag.item_id)
        .join(Item, Item.id == Tag.item_id)
        .join(Site, Site.id == Item.site_id)
        .where(Site.code.in_(codes))
    )
    return {(code, number): item for code, number, item in connection.execute(statement)}


def _contents(connection: Connection, items: set[str]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for some in chunks(items, 500):
        for item_id, content in connection.execute(
            sa.select(Record.item_id, Record.content).where(Record.item_id.in_(some))
        ):
            found[item_id].add(content)
    return found


def _judged(record: IntakeRecord, known: Case, problems: list[RowProblem]) -> Judged | None:
    """Return the test as it will be kept; None, with the reason noted, where it can't be."""
    rules = known.rulebooks[known.stays[-1].exposure.rulebook]
    test = with_duties(record.record, known.item, rules)
    try:
        check_record(test, known.item)
        judgement = judge(test, known.item, rules, ReadingPlan())
    except Refused as refused:
        problems.append(RowProblem(record.place, "readings", "", str(refused)))
        return None
    judgement, as_found = _settle(record, judgement, problems)
    return Judged(
        new_key(), known.id, known.item, test, judgement, as_found=as_found, tester=clean_text(record.tester),
        instrument=clean_text(record.instrument), remarks=clean_text(record.remarks), rulebook=rules,
        environment=known.environment,
    )  # fmt: skip


def _settle(record: IntakeRecord, judgement: Judgement, problems: list[RowProblem]) -> tuple[Judgement, bool]:
    """Weigh our judgement against the result written in the sheet: the worse counts, a gap is filled as found."""
    found, verdict = record.as_found, judgement.verdict
    if found is None or found is verdict:
        return judgement, False
    if verdict is Result.INCOMPLETE:
        why = f"{found.value.capitalize()} as found in the earlier register. {judgement.why}"
        return replace(judgement, verdict=found, why=why), True
    reason = f"The sheet says {found.value}, the readings say {verdict.value}: {judgement.why} Kept as a fail."
    problems.append(RowProblem(record.place, "result", found.value, reason, refused=False))
    if verdict is Result.FAIL:
        return judgement, False
    why = "Fail as found in the earlier register; its readings alone would pass."
    return replace(judgement, verdict=Result.FAIL, why=why), True

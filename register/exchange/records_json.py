"""Test records and judgements as JSON: the shapes of the commands `judge` and `record`."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Final
from uuid import UUID

from register.domain.explain import day_words
from register.domain.items import MOST_OUTLETS, WITH_OUTLETS, Item, SafetySwitch, outlets_of
from register.domain.measures import measure
from register.domain.record_checks import MOST_READINGS, check_record, reading_fault
from register.domain.records import MULTIPLES, Finding, Judgement, Place, Reading, ReadingPlan, TestRecord
from register.domain.text import clean_tag
from register.domain.words import Check, Delay, Duty, Kind, Result, SetUp, SwitchType, TestCurrent, Waveform
from register.exchange.json_fields import Fields, parse_json, quoted, refuse
from register.services.recording import EARLIEST, RecordEntry, check_day

QUANTITIES: Final = tuple(check for check in Check if check is not Check.LOOK)
LARGEST_RATED_MA: Final = 10_000
LARGEST_RATED_A: Final = 1_000

_JUDGE_KEYS: Final = (
    "rulebook",
    "item",
    "duties",
    "reading_plan",
    "visual",
    "readings",
    "set_up",
    "tested_on",
    "confirm_old",
)
_ITEM_KEYS: Final = ("kind", "outlets", "safety_switch", "rated_current_a", "battery_run")
_SWITCH_KEYS: Final = ("rated_residual_ma", "type", "delay", "waveform")
_PLAN_KEYS: Final = ("multiples", "half", "ramp")
_READING_KEYS: Final = ("quantity", "outlet", "half_cycle", "multiple", "test_current", "value", "unit", "bound")
_ENTRY_KEYS: Final = (
    "id", "tag", "site", "tested_on", "tester", "instrument", "set_up", "duties", "visual", "readings", "remarks",
    "confirm_old",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class JudgeRequest:
    """What `judge` is asked: the rulebook by its id, the item, what was measured on it, and the site's reading plan."""

    rulebook: str
    item: Item
    record: TestRecord
    plan: ReadingPlan


def read_judge_request(text: str | bytes, *, today: date) -> JudgeRequest:
    """Return what a `judge` document asks. Refused with one sentence that names the place of what is wrong.

    Without `tested_on` the test is one of today.
    """
    fields = Fields.of(parse_json(text), "", _JUDGE_KEYS)
    fields.need("rulebook")
    record = _record(fields, today=today) if fields.given("tested_on") else _record_on(fields, today)
    item = _item(Fields.of(fields.need("item"), "the item", _ITEM_KEYS))
    check_record(record, item)
    return JudgeRequest(fields.text("rulebook"), item, record, _plan(fields))


def read_records(text: str | bytes, *, today: date) -> list[RecordEntry]:
    """Return the records of a `record` document, in its order; an entry that says the same again is left out.

    Refused with one sentence that names the entry and the key. Whether a record fits its item shows only in the
    register.
    """
    document = parse_json(text)
    if not isinstance(document, list):
        refuse("", f"The document is {quoted(document)}, but a list of records in brackets is expected.")
    entries: dict[str, RecordEntry] = {}
    for number, value in enumerate(document, start=1):
        entry = _entry(value, number, today)
        if entries.setdefault(entry.id, entry) != entry:
            refuse(
                f"entry {number} (tag {entry.tag})", f"its id {entry.id} stands on another entry that says otherwise."
            )
    return list(entries.values())


def judgement_json(judgement: Judgement) -> dict[str, object]:
    """Return a judgement in the shape that `judge` and `record` print. Measured numbers are texts."""
    return {
        "verdict": judgement.verdict.value,
        "why": judgement.why,
        "findings": [_finding_json(finding) for finding in judgement.findings],
        "missing": [_place_json(place) for place in judgement.missing],
        "notes": list(judgement.notes),
    }


def _finding_json(finding: Finding) -> dict[str, object]:
    measured = finding.measure
    current = finding.place.test_current
    return {
        **_place_json(finding.place),
        "test_current": None if current is None else current.value,
        "value": finding.result.value if measured is None else measured.plain,
        "unit": "" if measured is None else measured.unit.value,
        "bound": "=" if measured is None else measured.bound.value,
        "limit": finding.limit,
        "result": finding.result.value,
        "source": finding.source,
        "why": finding.why,
    }


def _place_json(place: Place) -> dict[str, object]:
    return {
        "check": place.check.value,
        "outlet": place.outlet,
        "half_cycle": place.half_cycle,
        "multiple": None if place.multiple is None else f"{place.multiple:f}",
    }


def _entry(value: object, number: int, today: date) -> RecordEntry:
    fields = Fields.of(value, f"entry {number}", _ENTRY_KEYS)
    fields.need("tag")
    scanned = fields.text("tag")
    tag = fields.settle("tag", lambda: clean_tag(scanned))
    fields = replace(fields, where=f"{fields.where} (tag {tag})")
    return RecordEntry(
        id=_id(fields),
        tag=tag,
        site=fields.text("site") or None,
        record=_record(fields, today=today),
        tester=fields.text("tester"),
        instrument=fields.text("instrument"),
        remarks=fields.text("remarks"),
        old_confirmed=fields.truth("confirm_old"),
    )


def _id(fields: Fields) -> str:
    text = fields.need("id")
    try:
        return str(UUID(fields.text("id")))
    except ValueError:
        fields.wrong("id", f"{quoted(text)} is not a UUID such as 0190a6c2-7f0e-7c3a-9d51-3b6f0c2d8e14.")


def _record(fields: Fields, *, today: date) -> TestRecord:
    day, at = fields.moment("tested_on")
    if day < EARLIEST and not fields.truth("confirm_old"):
        fields.wrong(
            "tested_on", f"{day_words(day)} is before 1990. Check the year; if it is right, add “confirm_old”: true."
        )
    fields.settle("tested_on", lambda: check_day(day, today, old_confirmed=True))
    return replace(_record_on(fields, day), tested_at=at)


def _record_on(fields: Fields, day: date) -> TestRecord:
    readings = fields.list("readings")
    if len(readings) > MOST_READINGS:
        fields.wrong("readings", f"{len(readings)} readings are more than one record can hold ({MOST_READINGS}).")
    return TestRecord(
        duties=fields.choices("duties", Duty),
        readings=tuple(_reading(value, f"{_inside(fields)}reading {n}") for n, value in enumerate(readings, start=1)),
        look=fields.choice("visual", Result, (Result.PASS, Result.FAIL)),
        tested_on=day,
        set_up=fields.choice("set_up", SetUp),
    )


def _inside(fields: Fields) -> str:
    return f"{fields.where}, " if fields.where else ""


def _reading(value: object, where: str) -> Reading:
    fields = Fields.of(value, where, _READING_KEYS)
    fields.need("quantity")
    check = fields.choice("quantity", Check, QUANTITIES)
    assert check is not None
    bound = fields.text("bound") or "="
    written = fields.written("value", fields.values["value"]) if fields.given("value") else ""
    unit = fields.text("unit")
    reading = Reading(
        check=check,
        measure=fields.settle("", lambda: measure(check, written, unit, bound)),
        outlet=fields.whole("outlet", 1, MOST_OUTLETS),
        half_cycle=fields.whole("half_cycle", 0, 180),
        multiple=fields.number("multiple", 5),
        test_current=fields.choice("test_current", TestCurrent),
    )
    fault = reading_fault(reading)
    if fault:
        refuse(where, fault)
    return reading


def _item(fields: Fields) -> Item:
    fields.need("kind")
    kind = fields.choice("kind", Kind)
    assert kind is not None
    outlets = fields.whole("outlets", 1 if kind in WITH_OUTLETS else 0, MOST_OUTLETS)
    switch = fields.values.get("safety_switch")
    return Item(
        kind=kind,
        outlets=outlets_of(kind, outlets),
        safety_switch=None if switch is None else _switch(Fields.of(switch, "the item's safety switch", _SWITCH_KEYS)),
        rated_current_a=fields.number("rated_current_a", LARGEST_RATED_A),
        battery_run=fields.truth("battery_run"),
    )


def _switch(fields: Fields) -> SafetySwitch:
    return SafetySwitch(
        rated_residual_ma=fields.number("rated_residual_ma", LARGEST_RATED_MA),
        type=fields.choice("type", SwitchType),
        delay=fields.choice("delay", Delay) or Delay.GENERAL,
        waveform=fields.choice("waveform", Waveform),
    )


def _plan(fields: Fields) -> ReadingPlan:
    if not fields.given("reading_plan"):
        return ReadingPlan()
    plan = Fields.of(fields.values["reading_plan"], "the reading plan", _PLAN_KEYS)
    multiples = plan.numbers("multiples", 5)
    for each in multiples:
        if each not in MULTIPLES:
            plan.wrong("multiples", f"{each} is not one of: {', '.join(f'{known:f}' for known in MULTIPLES)}.")
    return ReadingPlan(multiples or ReadingPlan().multiples, half=plan.truth("half"), ramp=plan.truth("ramp"))

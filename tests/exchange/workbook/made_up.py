"""An invented site with what an owner's report can hold: long words, failures, corrections, things never tested."""

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from register.domain.explain import day_words
from register.domain.items import SafetySwitch
from register.domain.measures import Measure
from register.domain.records import Finding, Place
from register.domain.rulebook import Confidence
from register.domain.words import (
    Bound,
    Check,
    Duty,
    Kind,
    Result,
    SetUp,
    Standing,
    SwitchType,
    Unit,
    Waveform,
    WithdrawalReason,
)
from register.services.owners.rows import (
    AskedRow,
    BookSent,
    DueRow,
    DutyDate,
    Figures,
    MonthTested,
    OwnDutyRow,
    RecordRow,
    RegisterRow,
    ReportedItem,
    RuleUsed,
    SiteHead,
    WeekAhead,
    WithdrawnRow,
)
from tests.held_report import HeldReport

TITLES = (
    "For your decision",
    "Register",
    "Overdue",
    "Next 13 weeks",
    "Withdrawn",
    "Failures",
    "Your duties",
    "Tick sheet",
    "Test results",
    "Readings",
    "Your queries",
    "In figures",
    "Rules used",
    "Notes",
)
TODAY = date(2026, 11, 24)
TIMES = "AS/NZS 3760:2010 Table 4 (restated second-hand)"
VERIFICATION = "AS/NZS 3012:2019, periods of verification"
TRIP_LIMIT = "AS/NZS 3190, Type II: 300 ms (restated second-hand)"
FIVE_LIMIT = "IEC 61008-1 Table 1, general type at 5 times (restated second-hand)"

_THINGS = (
    (Kind.PORTABLE_SAFETY_SWITCH, "Safety switch, in-line, 10 A"),
    (Kind.PORTABLE_OUTLET_DEVICE, "Outlet board with safety switch, 4 outlets, yellow case with carrying frame"),
    (Kind.EXTENSION_LEAD, "Extension lead 25 m, 15 A, heavy duty"),
    (Kind.APPLIANCE_CLASS_1, "Pedestal drill in the north-east corner, with foot switch and work light"),
    (Kind.APPLIANCE_CLASS_2, "Belt sander 100 mm"),
    (Kind.CORD_SET, "Cord set of the planer"),
    (Kind.ISOLATING_TRANSFORMER, "Isolating transformer 2 kVA, made for testing safety switches"),
    (Kind.APPLIANCE_CLASS_2, ""),
)
_AREAS = ("Slipway shed", "Mast loft", "Office", "Paint store and drying room")
_SWITCH = SafetySwitch(Decimal(30), SwitchType.II, waveform=Waveform.A)
_STANDINGS = (
    Standing.IN_SERVICE,
    Standing.IN_SERVICE,
    Standing.OVERDUE,
    Standing.IN_SERVICE,
    Standing.DUE_SOON,
    Standing.IN_SERVICE,
    Standing.UNTESTED,
    Standing.IN_SERVICE,
    Standing.REMOVED,
)

FAILING_SWITCH = ReportedItem(
    "BB-00107", Kind.PORTABLE_SAFETY_SWITCH, "Safety switch, two outlets, 10 A", "Slipway shed", Standing.WITHDRAWN
)
CRACKED_LEAD = ReportedItem("0042", Kind.EXTENSION_LEAD, "Extension lead 20 m", "Mast loft", Standing.WITHDRAWN)


SITE = SiteHead(
    "BRACK", "Brackwater Boatyard", "2 Slipway Road, Corran Bay", "Construction", "au-in-service, version 2026.1"
)
RULES = (
    RuleUsed(
        "AS/NZS 3760:2022, In-service safety inspection and testing",
        "intervals and limits of inspection and test",
        Confidence.RESTATED,
    ),
    RuleUsed("AS/NZS 3760:2010, Table 4", "intervals of the operating-time test", Confidence.RESTATED, in_force=False),
    RuleUsed("AS/NZS 3012:2019, Construction and demolition sites", "intervals", Confidence.DISPUTED),
    RuleUsed("AS/NZS 3190, Types III and IV", "limits of the trip time", Confidence.MEMORY),
)


def trip(outlet: int, half_cycle: int, multiple: str, value: str, limit_ms: int = 300) -> Finding:
    """Return the finding of one trip time in ms; `value` may begin with > or say no trip."""
    place = Place(Check.TRIP_TIME, outlet, half_cycle, Decimal(multiple))
    if value == "no trip":
        measure = Measure(None, Unit.MILLISECOND, Bound.NO_TRIP)
    else:
        bound = Bound.ABOVE if value.startswith(">") else Bound.EXACT
        measure = Measure(Decimal(value.lstrip(">")), Unit.MILLISECOND, bound)
    failed = measure.value is None or measure.value > limit_ms
    source = TRIP_LIMIT if multiple == "1" else FIVE_LIMIT
    said = (
        f"{measure} is {'above' if failed else 'within'} the limit of"
        if measure.value
        else "it did not trip; the limit is"
    )
    why = f"Outlet {outlet} at {half_cycle}°, {multiple}×: {said} "
    return Finding(
        place,
        measure,
        f"at most {limit_ms} ms",
        Result.FAIL if failed else Result.PASS,
        source,
        f"{why}{limit_ms} ms ({source}).",
    )


def look(result: Result = Result.PASS) -> Finding:
    """Return the finding of a look."""
    seen = "nothing wrong was seen" if result is Result.PASS else "something wrong was seen, which fails the item"
    return Finding(
        Place(Check.LOOK), None, "nothing wrong seen", result, "common practice, no source", f"Look: {seen}."
    )


def insulation(value: str, bound: Bound = Bound.EXACT) -> Finding:
    """Return the finding of an insulation resistance in MΩ."""
    measure = Measure(Decimal(value), Unit.MEGOHM, bound)
    result = Result.PASS if measure.value is not None and measure.value >= 1 else Result.FAIL
    return Finding(
        Place(Check.INSULATION_RESISTANCE),
        measure,
        "at least 1 MΩ",
        result,
        "AS/NZS 3760:2022 (restated second-hand)",
        f"Insulation resistance: {measure} against at least 1 MΩ.",
    )


def polarity(outlet: int) -> Finding:
    """Return the finding of a right polarity."""
    measure = Measure(None, Unit.NONE, word="right")
    return Finding(Place(Check.POLARITY, outlet), measure, "right", Result.PASS, "AS/NZS 3760:2022", "Right.")


FAILING_FINDINGS = (
    look(),
    trip(1, 0, "1", "24.6"),
    trip(1, 180, "1", "31.0"),
    trip(2, 0, "1", "27.85"),
    trip(2, 180, "1", "312.4"),
    trip(1, 0, "5", "17.2", 40),
    trip(1, 180, "5", "19.0", 40),
    trip(2, 0, "5", "no trip", 40),
    trip(2, 180, "5", ">200", 40),
)

FAILED_RECORD = RecordRow(
    item=FAILING_SWITCH,
    tested_on=TODAY,
    tester="Asha Pell",
    instrument="Instrument 3, calibrated 2 Mar 2026",
    duties=(Duty.OPERATING_TIME,),
    verdict=Result.FAIL,
    why=FAILING_FINDINGS[4].why,
    findings=FAILING_FINDINGS,
    set_up=SetUp.TESTER_FEEDS_DEVICE,
    remarks="Measured twice on outlet 2; the second time was slower still.",
)


def _item(number: int) -> ReportedItem:
    kind, description = _THINGS[number % len(_THINGS)]
    return ReportedItem(
        tag=f"BB-{number:05d}",
        kind=kind,
        description=description,
        area=_AREAS[number % len(_AREAS)],
        standing=_STANDINGS[number % len(_STANDINGS)],
    )


def _due_on(item: ReportedItem, number: int) -> date | None:
    days = {Standing.OVERDUE: -23 - number, Standing.DUE_SOON: number % 14, Standing.IN_SERVICE: 80 + number}
    return TODAY + timedelta(days=days[item.standing]) if item.standing in days else None


def _register_row(number: int) -> RegisterRow:
    item = _item(number)
    due = _due_on(item, number)
    tests = DutyDate(Duty.INSPECTION_AND_TEST, due)
    switch = item.kind in {Kind.PORTABLE_SAFETY_SWITCH, Kind.PORTABLE_OUTLET_DEVICE}
    remarks = {
        Standing.UNTESTED: "Never tested: it must pass a test before it is used.",
        Standing.REMOVED: "Removed on 3 Jul 2026: scrapped by the owner.",
    }
    return RegisterRow(
        item=item,
        environment="Construction" if number % 3 else "Workshop",
        next_due=due,
        duties=(tests, DutyDate(Duty.OPERATING_TIME, due)) if switch else (tests,),
        serial=f"{number:04d}E{number % 7}" if number % 5 else "",
        earlier_tags=("BB-09911", "FX 0071/22") if number % 9 == 0 else (),
        outlets=4 if item.kind is Kind.PORTABLE_OUTLET_DEVICE else 1,
        safety_switch=_SWITCH if switch else None,
        rated_current_a=Decimal(10),
        remarks=remarks.get(item.standing, ""),
    )


def _due_row(row: RegisterRow, duty: DutyDate) -> DueRow:
    last = duty.due - timedelta(days=92) if duty.due else None
    why = ("Never done: it must be done before the item is used.", "Nobody recorded whether it is moved in use.")
    if last is not None and duty.due is not None:
        why = (
            f"Last done {day_words(last)} (pass, by Asha Pell).",
            f"{row.environment}: every 3 months, so due {day_words(duty.due)}.",
            f"Inspection and test every 3 months, a binding maximum: {VERIFICATION} (restated).",
            "Another source says 1 month: trade restatements of AS/NZS 3012.",
        )
    return DueRow(
        item=row.item,
        standing=row.item.standing,
        duty=duty.duty,
        last_done=last,
        interval="P3M",
        due=duty.due,
        why=why,
        source=VERIFICATION,
    )


def _record(row: RegisterRow, number: int) -> RecordRow:
    findings = (look(), insulation("19.99", Bound.ABOVE), polarity(1), trip(1, 0, "1", f"{20 + number}.0"))
    return RecordRow(
        item=row.item,
        tested_on=TODAY - timedelta(days=number * 9),
        tester="Asha Pell" if number % 2 else "R. Quillan",
        instrument="Instrument 3",
        duties=(Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME),
        verdict=Result.PASS,
        why="Every reading is within its limit; the slowest trip time decides.",
        findings=findings,
        set_up=SetUp.DEVICE_FEEDS_TESTER if number % 4 == 0 else None,
    )


def _withdrawn() -> tuple[WithdrawnRow, ...]:
    failing = tuple(finding for finding in FAILING_FINDINGS if finding.result is Result.FAIL)
    return (
        WithdrawnRow(
            item=FAILING_SWITCH,
            since=TODAY,
            reason=WithdrawalReason.FAILED,
            why=FAILING_FINDINGS[4].why,
            failing=failing,
            tag_number="0312",
            waiting_for="The owner, to decide: repair or dispose",
            ends="A complete pass of inspection and test and of the operating-time test, both after 24 Nov 2026.",
        ),
        WithdrawnRow(
            item=CRACKED_LEAD,
            since=TODAY - timedelta(days=53),
            reason=WithdrawalReason.DAMAGED,
            why="Sheath cut to the cores near the plug.",
            tag_number="0291",
            waiting_for="Tull and Fen Repairs",
            ends="A complete pass of inspection and test after 2 Oct 2026.",
        ),
    )


def _own_duties(items: tuple[RegisterRow, ...]) -> tuple[OwnDutyRow, ...]:
    pressed = [row for row in items if row.safety_switch is not None and row.next_due]
    return tuple(
        OwnDutyRow(
            item=row.item,
            duty=Duty.BUTTON_PRESS,
            every="each day, before first use" if row.environment == "Construction" else "3 months",
            last_done=TODAY - timedelta(days=4) if index % 2 else None,
            due=None if row.environment == "Construction" else TODAY + timedelta(days=20),
            source=TIMES,
        )
        for index, row in enumerate(pressed)
    ) + tuple(OwnDutyRow(row.item, Duty.USER_CHECK, "before each use", None, None, TIMES) for row in items[:4])


def _records(rows: tuple[RegisterRow, ...]) -> tuple[RecordRow, ...]:
    """Return a fail, one that was corrected, one that came down without readings, and a pass for every row."""
    records = [_record(row, number) for number, row in enumerate(rows)]
    as_found = replace(
        records[3], verdict=Result.FAIL, why="The sheet of an earlier contractor says fail.", findings=(), as_found=True
    )
    corrected = replace(
        FAILED_RECORD, superseded="Superseded on 24 Nov 2026 by Asha Pell: typed under the wrong tag.", remarks=""
    )
    return (FAILED_RECORD, corrected, as_found, *records)


def _out_of_service() -> tuple[RegisterRow, RegisterRow]:
    switch, lead = (
        RegisterRow(item=item, environment="Construction", next_due=None, remarks="Out of service; see Withdrawn.")
        for item in (FAILING_SWITCH, CRACKED_LEAD)
    )
    return replace(switch, outlets=2, safety_switch=_SWITCH, serial="7741-0093"), lead


def _figures(items: tuple[RegisterRow, ...]) -> Figures:
    monday = TODAY - timedelta(days=TODAY.weekday())
    return Figures(
        Counter(row.item.standing for row in items),
        tuple(WeekAhead(monday + timedelta(weeks=week), (week * 7) % 11) for week in range(14)),
        tuple(MonthTested(date(2026, month, 1), 20 + month, month % 4, month % 3) for month in range(1, 12)),
    )


def _queries(items: tuple[RegisterRow, ...]) -> tuple[AskedRow, ...]:
    asked = AskedRow(items[2].item, "Is this one ours?", "Brackwater Boatyard Cooperative", date(2026, 11, 2))
    answered = replace(asked, item=items[4].item, answered_on=date(2026, 11, 5), answer="Yes, bought in May.")
    return (asked, answered)


def made_up_report(count: int = 60) -> HeldReport:
    """Return the report of an invented boatyard with so many items beside its two withdrawn ones."""
    ordinary = tuple(_register_row(number) for number in range(1, count + 1))
    items = (*_out_of_service(), *ordinary)
    rows = [
        _due_row(row, duty)
        for row in ordinary
        if row.item.standing in {Standing.OVERDUE, Standing.DUE_SOON, Standing.UNTESTED}
        for duty in row.duties
    ]
    rows.sort(key=lambda row: row.due or date.max)
    records = _records(ordinary)
    return HeldReport(
        firm="Tidewater Electrical Testing",
        firm_contact="14 Ferry Lane, Corran Bay, 08 5550 0199",
        owner="Brackwater Boatyard Cooperative",
        site=SITE,
        as_at=TODAY,
        looks_ahead_to=TODAY + timedelta(days=90),
        events=12_345,
        chain_head="3fa9c01b77e2d4510c3fa9c01b77e2d4510c3fa9c01b77e2d4510c3fa9c01b77",
        items=items,
        due=tuple(rows),
        withdrawn=_withdrawn(),
        own_duties=_own_duties(ordinary),
        records=records,
        measured=records,
        failed=tuple(each for each in records if each.verdict is Result.FAIL and not each.superseded),
        duties=(Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME),
        figures=_figures(items),
        queries=_queries(items),
        last_sent=BookSent(
            date(2026, 8, 3), 11_020, "9be2c01b77e2d4510c3fa9c01b77e2d4510c3fa9c01b77e2d4510c3fa9c01b77"
        ),
        rules=RULES,
        cautions=(
            "A trip test cuts the supply: warn people first, and never test a circuit that feeds alarm equipment.",
        ),
        records_since=date(2024, 11, 24),
    )

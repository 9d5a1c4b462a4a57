"""A record reads back with its readings and the limits it was judged by, whatever becomes of the rulebook."""

from decimal import Decimal

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from register.domain.items import Item, SafetySwitch
from register.domain.measures import measure
from register.domain.records import Finding, Judgement, Reading, ReadingPlan, TestRecord
from register.domain.verdict import judge
from register.domain.words import Check, Kind, Result, SwitchType, TestCurrent, Waveform
from register.services.cases import case
from register.services.kept_readings import findings_of, measured
from register.services.recording import Judged, content_of, keep
from register.services.rulebooks import rulebook
from register.store.tables import HeldLimit
from register.store.types import new_key
from tests.desk import INSPECTION, OPERATING, TYPE_II, WHOLE, Desk
from tests.domain.verdict_rules import both, earth, insulation, leakage, polarity, ramp, tripped
from tests.registers import TODAY

RULES = rulebook("au-in-service")


@pytest.fixture
def board(desk: Desk) -> Desk:
    """An outlet board with two outlets and a safety switch built in."""
    desk.site()
    plate = SafetySwitch(Decimal(30), SwitchType.II, waveform=Waveform.A)
    desk.item("B1", Kind.PORTABLE_SAFETY_SWITCH, outlets=2, safety_switch=plate)
    return desk


def kept(desk: Desk, record: TestRecord, *, keep_it: bool = True) -> tuple[Judgement, list[Finding]]:
    """Judge and keep a record, for good or for a moment, and return the judgement and the findings as read back."""
    item_id, key = desk.id("B1"), new_key()
    with desk.change(keep=keep_it) as change:
        known = case(change.session.connection(), item_id)
        judgement = judge(record, known.item, RULES, ReadingPlan())
        seen = measured(record, known.item, judgement)
        made = Judged(
            key, item_id, record, seen, judgement, content_of(record, judgement.verdict, seen), as_found=False,
            tester="", instrument="", remarks="", rulebook=RULES, environment="workshop", warnings=(),
        )  # fmt: skip
        keep(change, [made])
        return judgement, findings_of(change.session.connection(), [key]).get(key, [])


def facts(findings: list[Finding] | tuple[Finding, ...]) -> list[tuple]:
    """Return all of the findings but the words of those that passed, which are made anew."""
    return sorted(
        (
            (each.place, each.measure, each.limit, each.result, each.source, each.least, each.most,
             "" if each.result is Result.PASS else each.why)
            for each in findings
        ),
        key=str,
    )  # fmt: skip


RECORDS = [
    ("everything right", WHOLE, [earth("0.2", 1), earth("0.20", 2), polarity("right", 1), polarity("right", 2),
                                 insulation(">19.99"), *both("28.4", 1), *both("28.40", 2)], Result.PASS),
    ("one half-cycle too slow", (OPERATING,), [*both("28.4", 1), tripped("28", 2, 0), tripped("310.4", 2, 180)],
     Result.FAIL),
    ("no trip", (OPERATING,), [tripped("no trip", 1, 0), tripped(">300", 1, 180)], Result.FAIL),
    ("no reading", (OPERATING,), [tripped("no reading", 1, 0)], Result.INCOMPLETE),
    ("crossed and damp", (INSPECTION,), [polarity("wrong", 1), insulation("<0.5"), leakage("0.3")], Result.FAIL),
    ("the same place twice", (OPERATING,), [tripped("28", 1, 0), tripped("29", 1, 0)], Result.INCOMPLETE),
    ("more than was asked", (OPERATING,), [*both("18", 1, "5"), *both("no trip", 1, "0.5"), ramp("22.5")],
     Result.INCOMPLETE),
    ("a rising half-wave", (OPERATING,), [ramp("30", TestCurrent.HALF_WAVE)], Result.INCOMPLETE),
    ("nothing but a look", (), [], Result.INCOMPLETE),
]  # fmt: skip


@pytest.mark.parametrize(
    ("duties", "readings", "verdict"), [each[1:] for each in RECORDS], ids=[each[0] for each in RECORDS]
)
@pytest.mark.parametrize("look", [Result.PASS, Result.FAIL, None])
def test_findings_read_back_as_they_were_judged(
    board: Desk, duties: tuple, readings: list, verdict: Result, look: Result | None
) -> None:
    judgement, found = kept(board, TestRecord(duties, tuple(readings), look, TODAY))
    if look is Result.PASS:
        assert judgement.verdict is verdict
    assert facts(found) == facts(judgement.findings)


VALUES = {
    Check.TRIP_TIME: ("28.4", "300", "300.1", "no trip", ">300", "<10"),
    Check.EARTH_RESISTANCE: ("0.20", "1", "1.01", ">19.99"),
    Check.INSULATION_RESISTANCE: ("1", "0.99", ">100"),
    Check.POLARITY: ("right", "wrong"),
}


@st.composite
def readings(draw: st.DrawFn) -> Reading:
    check = draw(st.sampled_from(list(VALUES)))
    value, outlet = draw(st.sampled_from(VALUES[check])), draw(st.sampled_from([1, 2]))
    if check is Check.TRIP_TIME:
        return tripped(value, outlet, draw(st.sampled_from([0, 180])), draw(st.sampled_from(["1", "5"])))
    if check is Check.EARTH_RESISTANCE:
        return earth(value, outlet)
    return insulation(value) if check is Check.INSULATION_RESISTANCE else polarity(value, outlet)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(some=st.lists(readings(), max_size=12))
def test_any_readings_read_back_as_they_were_judged(board: Desk, some: list[Reading]) -> None:
    judgement, found = kept(board, TestRecord(WHOLE, tuple(some), Result.PASS, TODAY), keep_it=False)
    assert facts(found) == facts(judgement.findings)


def test_a_limit_is_kept_once_however_many_records_were_held_against_it(board: Desk) -> None:
    for value in ("20", "21", "22"):
        kept(board, TestRecord((OPERATING,), both(value, 1), Result.PASS, TODAY))
    with board.read() as connection:
        words = list(connection.execute(sa.select(HeldLimit.words)).scalars())
    assert len(words) == len(set(words)) == 2, "that of the look, and that of the trip time"


def test_a_passed_reading_says_its_limit_and_source(board: Desk) -> None:
    _judgement, found = kept(board, TestRecord((OPERATING,), both("28.4", 1), None, TODAY))
    assert found[0].why.startswith("Outlet 1 at 0°, 1×: 28.4 ms; limit: at most 300 ms (AS/NZS 3190, type II")


CONTENT = TestRecord(WHOLE, (*both("24", 1), earth("0.2", 1)), Result.PASS, TODAY)


def content(record: TestRecord) -> str:
    item = Item(Kind.PORTABLE_SAFETY_SWITCH, 1, TYPE_II)
    return content_of(record, Result.PASS, measured(record, item, judge(record, item, RULES, ReadingPlan())))


def test_the_order_of_readings_and_duties_makes_no_other_test() -> None:
    turned = TestRecord(tuple(reversed(WHOLE)), tuple(reversed(CONTENT.readings)), Result.PASS, TODAY)
    assert content(turned) == content(CONTENT)


@pytest.mark.parametrize("value", ["24.0", "24"])
def test_a_value_printed_otherwise_is_another_reading(value: str) -> None:
    other = TestRecord(
        WHOLE, (Reading(Check.TRIP_TIME, measure(Check.TRIP_TIME, value), 1, 0, Decimal(1)),), Result.PASS, TODAY
    )
    first = TestRecord(WHOLE, (tripped("24", 1, 0),), Result.PASS, TODAY)
    assert (content(other) == content(first)) is (value == "24")


def test_no_records_have_no_findings(board: Desk) -> None:
    with board.read() as connection:
        assert findings_of(connection, []) == {}

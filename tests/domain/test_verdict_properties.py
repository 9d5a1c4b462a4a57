"""What holds of every verdict, whatever the readings."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from register.domain.items import Item
from register.domain.measures import Measure
from register.domain.records import Reading, ReadingPlan
from register.domain.verdict import judge
from register.domain.words import Bound, Check, Result, TestCurrent, Unit
from tests.domain.verdict_rules import PLAN, RULES, plate, record, switch, tripped

ORDER = {Result.PASS: 0, Result.INCOMPLETE: 1, Result.FAIL: 2}
"""How bad a result is for a reading; a whole record's verdict goes by it as well."""

times = st.decimals(min_value="0.1", max_value=2000, places=1)
bounds = st.sampled_from([Bound.EXACT, Bound.BELOW, Bound.ABOVE])
measures = st.one_of(
    st.builds(Measure, times, st.just(Unit.MILLISECOND), bounds),
    st.sampled_from(
        [Measure(None, Unit.MILLISECOND, Bound.NO_TRIP), Measure(None, Unit.MILLISECOND, Bound.NO_READING)]
    ),
)
readings = st.builds(
    Reading,
    st.just(Check.TRIP_TIME),
    measures,
    outlet=st.sampled_from([1, 2]),
    half_cycle=st.sampled_from([0, 180]),
    multiple=st.sampled_from([Decimal("0.5"), Decimal(1), Decimal(2), Decimal(5)]),
    test_current=st.sampled_from([None, TestCurrent.AC, TestCurrent.HALF_WAVE]),
)
plates = st.builds(
    plate,
    st.sampled_from([None, "10", "30", "100", "300"]),
    st.sampled_from([None, "I", "II", "III", "IV", "iec"]),
    selective=st.booleans(),
    waveform=st.sampled_from([None, "AC", "A", "B"]),
)
items = st.builds(switch, st.sampled_from([1, 2]), plates)
plans = st.builds(
    ReadingPlan, st.sampled_from([(Decimal(1),), (Decimal(1), Decimal(5))]), half=st.booleans(), ramp=st.booleans()
)


def complete(outlets: int, value: Decimal = Decimal(28)) -> list[Reading]:
    return [tripped(str(value), outlet, half) for outlet in range(1, outlets + 1) for half in (0, 180)]


@given(st.lists(readings, max_size=8), items, plans, st.sampled_from([None, Result.PASS, Result.FAIL]))
def test_the_verdict_follows_from_the_findings_and_what_is_missing(
    some: list[Reading], item: Item, plan: ReadingPlan, look: Result | None
) -> None:
    judgement = judge(record(some, look=look), item, RULES, plan)
    results = {finding.result for finding in judgement.findings}
    if Result.FAIL in results:
        assert judgement.verdict is Result.FAIL
    elif Result.INCOMPLETE in results or judgement.missing:
        assert judgement.verdict is Result.INCOMPLETE
    else:
        assert judgement.verdict is Result.PASS
    assert judgement.why.endswith(".")
    assert all(finding.why.endswith(".") and finding.why[:1].isupper() for finding in judgement.findings)


@given(st.lists(readings, max_size=8).flatmap(lambda some: st.tuples(st.just(some), st.permutations(some))), items)
def test_the_order_of_the_readings_does_not_matter(some: tuple[list[Reading], list[Reading]], item: Item) -> None:
    first, second = some
    assert judge(record(first), item, RULES, PLAN) == judge(record(second), item, RULES, PLAN)


@given(st.lists(readings, max_size=6), readings, items)
def test_a_reading_more_never_turns_a_fail_into_anything_better(some: list[Reading], more: Reading, item: Item) -> None:
    if judge(record(some), item, RULES, PLAN).verdict is Result.FAIL:
        assert judge(record([*some, more]), item, RULES, PLAN).verdict is Result.FAIL


@given(st.sampled_from([1, 2]), readings)
def test_a_failing_reading_more_always_fails(outlets: int, more: Reading) -> None:
    item = switch(outlets)
    alone = judge(record([replace(more, outlet=1)]), item, RULES, PLAN)
    both_together = judge(record([*complete(outlets), replace(more, outlet=1)]), item, RULES, PLAN)
    assert (alone.verdict is Result.FAIL) == (both_together.verdict is Result.FAIL)


@given(st.data(), st.integers(1, 4))
def test_taking_away_one_required_reading_never_passes(data: st.DataObject, outlets: int) -> None:
    whole = complete(outlets)
    assert judge(record(whole), switch(outlets), RULES, PLAN).verdict is Result.PASS
    gone = data.draw(st.sampled_from(whole))
    judgement = judge(record([each for each in whole if each is not gone]), switch(outlets), RULES, PLAN)
    assert judgement.verdict is Result.INCOMPLETE
    assert [(each.outlet, each.half_cycle) for each in judgement.missing] == [(gone.outlet, gone.half_cycle)]


@given(times, times, st.sampled_from(["I", "II", "III", "iec"]))
def test_a_longer_trip_never_does_better_where_there_is_no_least(one: Decimal, other: Decimal, type_: str) -> None:
    rated = {"I": "10", "II": "30", "III": "300", "iec": "30"}[type_]
    item = switch(1, plate(rated, type_))
    faster, slower = (judge(record(complete(1, each)), item, RULES, PLAN).verdict for each in sorted((one, other)))
    assert ORDER[faster] <= ORDER[slower]


@given(measures, measures)
def test_the_worse_half_cycle_decides(at_0: Measure, at_180: Measure) -> None:
    def verdict(first: Measure, second: Measure) -> Result:
        pair = [replace(tripped("1", 1, half), measure=each) for half, each in ((0, first), (180, second))]
        return judge(record(pair), switch(), RULES, PLAN).verdict

    assert verdict(at_0, at_180) == max(verdict(at_0, at_0), verdict(at_180, at_180), key=lambda each: ORDER[each])


@given(times, bounds, times)
def test_a_bounded_value_is_decided_only_where_every_true_value_would_be(
    value: Decimal, bound: Bound, true: Decimal
) -> None:
    held = {Bound.EXACT: true == value, Bound.BELOW: true < value, Bound.ABOVE: true > value}[bound]
    for item in (switch(), switch(1, plate("100", "IV"))):
        bounded = judge(
            record([replace(tripped("1"), measure=Measure(value, Unit.MILLISECOND, bound))]), item, RULES, PLAN
        )
        exact = judge(record([tripped(str(true))]), item, RULES, PLAN)
        decided = bounded.findings[1].result
        if held and decided is not Result.INCOMPLETE:
            assert exact.findings[1].result is decided

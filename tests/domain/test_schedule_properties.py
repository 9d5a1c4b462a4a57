"""What holds of every schedule, wherever the item was and whatever was decided."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from register.domain.intervals import Interval, add_interval
from register.domain.items import Exposure, Item, SafetySwitch
from register.domain.schedule import Done, DutyDue, Override, Scope, Stay, schedule
from register.domain.words import CONTRACTORS_DUTIES, Condition, Duty, Kind
from register.services.rulebooks import rulebook
from tests.domain.schedule_rules import BOOK

BOOKS = {"made-up": BOOK} | {name: rulebook(name) for name in ("au-in-service", "au-qld")}
CLASSES = [(name, environment) for name, rules in BOOKS.items() for environment in rules.environments]

days = st.dates(date(2020, 1, 1), date(2032, 12, 31))
intervals = st.integers(min_value=1, max_value=72).map(lambda months: Interval.of(months=months))
overrides = st.builds(
    Override,
    scope=st.sampled_from(Scope),
    duty=st.sampled_from(Duty),
    interval=intervals,
    reason=st.just("a reason"),
    approver=st.just("somebody"),
    approved_on=days,
    review_on=days,
)
facts = st.sampled_from([None, True, False])
items = st.builds(
    Item,
    st.sampled_from(Kind),
    safety_switch=st.sampled_from([None, SafetySwitch()]),
    condition=st.sampled_from([each for each in Condition if each is not Condition.OUT_OF_SCOPE]),
    since=st.one_of(st.none(), days),
    protected_by_switch=facts,
    moved_in_use=facts,
    risk_factor=facts,
)


@st.composite
def stays(draw: st.DrawFn, *, most: int = 4) -> list[Stay]:
    """Draw stays in order of time; an item's own class is of the same rulebook as its place."""
    found = []
    for since in sorted(draw(st.lists(days, min_size=1, max_size=most))):
        rules, place = draw(st.sampled_from(CLASSES))
        own = draw(st.sampled_from([place, *BOOKS[rules].environments]))
        made = draw(st.lists(overrides, max_size=3))
        found.append(Stay(Exposure(since, own, place, rules), tuple(made)))
    return found


done_on = st.dictionaries(st.sampled_from(Duty), days.map(Done))


def by_duty(item: Item, where: list[Stay], done: dict[Duty, Done]) -> dict[Duty, DutyDue]:
    return {each.duty: each for each in schedule(item, where, BOOKS, done)}


@given(items, stays(), done_on)
def test_no_date_is_earlier_than_what_it_is_counted_from(item: Item, where: list[Stay], done: dict[Duty, Done]) -> None:
    for each in schedule(item, where, BOOKS, done):
        if each.basis is not None:
            start = each.done.on if each.done is not None else item.since
            assert start is not None
            assert each.due == each.basis.due
            assert start < each.basis.due


@given(items, stays(), done_on)
def test_every_duty_stands_once_and_a_date_or_a_need_only_where_it_is_asked(
    item: Item, where: list[Stay], done: dict[Duty, Done]
) -> None:
    found = schedule(item, where, BOOKS, done)
    assert [each.duty for each in found] == sorted({each.duty for each in found}, key=list(Duty).index)
    for each in found:
        assert each.contractors is (each.duty in CONTRACTORS_DUTIES)
        if each.terms.relieved:
            assert (each.due, each.first_needed, each.basis) == (None, False, None)
        if each.first_needed:
            assert each.contractors
        assert bool(each.interval) is not bool(each.terms.relieved)


@given(items, stays(most=3), stays(most=2), done_on)
def test_one_more_stay_never_moves_a_contractors_date_later_or_takes_a_need_away(
    item: Item, before: list[Stay], later: list[Stay], done: dict[Duty, Done]
) -> None:
    moves = [each for each in later if each.exposure.since >= before[-1].exposure.since][:1]
    after = by_duty(item, before + moves, done)
    for duty, each in by_duty(item, before, done).items():
        if not each.contractors or each.terms.relieved:
            continue
        new_since = item.since if item.condition is Condition.NEW else None
        start = each.done.on if each.done is not None else new_since
        if moves and start is not None and moves[0].exposure.since <= start:
            continue  # it left before the test, or before it came into service: the new place alone counts
        now = after[duty]
        assert now.first_needed or not each.first_needed
        if each.due is not None and not now.first_needed:
            assert now.due is not None
            assert now.due <= each.due


@given(items, stays(), done_on, overrides)
def test_a_decision_never_runs_beyond_what_binds_and_never_takes_a_date_away(
    item: Item, where: list[Stay], done: dict[Duty, Done], made: Override
) -> None:
    here = where[-1]
    decided = [*where[:-1], Stay(here.exposure, (*here.overrides, made))]
    before = by_duty(item, where, done)
    for duty, each in by_duty(item, decided, done).items():
        assert each.due is not None or before[duty].due is None
        if each.basis is None:
            continue
        start = each.done.on if each.done is not None else item.since
        assert start is not None
        longest = each.basis.terms.longest
        if longest is not None:
            assert each.basis.due <= add_interval(start, longest)
        if duty is not made.duty:
            assert each == before[duty]


@given(items, stays(), done_on, overrides)
def test_a_longer_decision_past_its_review_changes_nothing(
    item: Item, where: list[Stay], done: dict[Duty, Done], made: Override
) -> None:
    plain = [Stay(each.exposure) for each in where]
    decided = [*plain[:-1], Stay(plain[-1].exposure, (made,))]
    before = by_duty(item, plain, done)
    for duty, each in by_duty(item, decided, done).items():
        was = before[duty].due
        if each.due is not None and was is not None and each.due > was:
            assert each.due <= max(made.review_on, was)
            assert duty is made.duty


@given(items, stays(), done_on)
def test_a_later_test_never_gives_an_earlier_date(item: Item, where: list[Stay], done: dict[Duty, Done]) -> None:
    plain = [Stay(each.exposure) for each in where]
    tested = {duty: Done(max(each.on, date(2031, 6, 30))) for duty, each in done.items()}
    before = by_duty(item, plain, done)
    for duty, each in by_duty(item, plain, tested).items():
        was = before[duty].basis
        if was is not None and each.basis is not None:
            assert each.basis.due >= was.due

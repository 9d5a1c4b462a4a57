"""Minutes learnt from timings: by the median, from enough of them, without breaks and bursts."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from register.domain.words import Check, Duty, Kind
from register.planning.learnt import LEAST_TIMINGS, Learnt, Timing, learn, with_learnt
from register.planning.workload import DEFAULTS, Minutes, minutes_from

LEAD = Kind.EXTENSION_LEAD
FIRST = Timing(LEAD, frozenset({Duty.INSPECTION_AND_TEST}), "Asha", "yard", date(2026, 11, 2), 8 * 3600)
USUAL = Minutes()
"""3.5 minutes for a lead."""


def rounds(seconds: list[int], first: Timing = FIRST) -> list[Timing]:
    """Return records that follow one another after so many seconds."""
    made = [first]
    for each in seconds:
        made.append(replace(made[-1], second=made[-1].second + each))
    return made


def test_the_median_of_enough_timings_is_learnt_with_how_it_compares() -> None:
    found = learn(rounds([420] * LEAST_TIMINGS), USUAL)
    assert found == {LEAD: Learnt(Decimal("7.0"), Decimal("2.000"), LEAST_TIMINGS)}


def test_too_few_timings_teach_nothing() -> None:
    assert learn(rounds([420] * (LEAST_TIMINGS - 1)), USUAL) == {}


def test_lunch_and_records_typed_in_afterwards_count_for_nothing() -> None:
    found = learn(rounds([420] * 10 + [1_800, 5_400] + [3] * 50 + [420] * 10), USUAL)
    assert found[LEAD] == Learnt(Decimal("7.0"), Decimal("2.000"), 20)


def test_one_long_talk_moves_nothing() -> None:
    assert learn(rounds([420] * 30 + [1_190] * 3), USUAL)[LEAD].minutes == Decimal("7.0")


def test_the_time_between_people_sites_and_days_is_nobodys() -> None:
    others = [
        replace(FIRST, who="Ben", second=FIRST.second + 60), replace(FIRST, site="mill", second=FIRST.second + 90),
        replace(FIRST, day=date(2026, 11, 3), second=FIRST.second + 120),
    ]  # fmt: skip
    assert learn([FIRST, *others] * 1, USUAL) == {}
    two = [each for who in ("Asha", "Ben") for each in rounds([420] * 15, replace(FIRST, who=who))]
    assert learn(reversed(two), USUAL)[LEAD].timings == 30


def test_a_stretch_counts_for_the_later_item_by_what_was_done_on_it() -> None:
    look = frozenset({Duty.FORMAL_VISUAL})
    mixed = [
        replace(each, duties=look, kind=Kind.CORD_SET) if place % 2 else each
        for place, each in enumerate(rounds([210, 90] * 30))
    ]
    found = learn(mixed, USUAL)
    assert found[LEAD].minutes == Decimal("1.5")
    assert found[Kind.CORD_SET].minutes == Decimal("3.5")
    assert found[Kind.CORD_SET].factor == Decimal("2.333")


def test_what_was_learnt_holds_over_the_usual_figures_and_under_the_firms_own() -> None:
    learnt = {LEAD: Learnt(Decimal(7), Decimal(2), 40), Kind.CORD_SET: Learnt(Decimal(6), Decimal(2), 40)}
    own = minutes_from({"cord-set": {"look": "9"}})
    found = with_learnt(own, learnt)
    assert found.of(LEAD, Duty.INSPECTION_AND_TEST) == 2 * USUAL.of(LEAD, Duty.INSPECTION_AND_TEST)
    assert found.table[Kind.CORD_SET][Check.LOOK] == 9
    assert found.table[Kind.CORD_SET][Check.POLARITY] == DEFAULTS[Kind.CORD_SET][Check.POLARITY]
    assert found.learnt == {LEAD}
    assert found.own
    assert not with_learnt(USUAL, {}).own

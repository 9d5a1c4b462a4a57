"""Other intervals by a documented decision: which counts, how long it lasts, and what binds it."""

from collections.abc import Sequence
from datetime import date

import pytest

from register.domain.intervals import Occasion
from register.domain.schedule import Override, Scope
from tests.domain.schedule_rules import (
    BINDING,
    GUIDE,
    ITEM,
    PRESS,
    SWITCH,
    TEST,
    TIME,
    book,
    decision,
    due_of,
    duties_of,
    line,
    months,
    stay,
)

TESTED = date(2026, 1, 31)
MAY, JUNE = date(2025, 5, 1), date(2025, 6, 1)
SITE, AREA, ONE = Scope.SITE, Scope.AREA, Scope.ITEM


def by(*made: Override, environment: str = "shed") -> date | None:
    return due_of(ITEM, [stay(environment, made=made)], TESTED)


@pytest.mark.parametrize(
    ("interval", "review_on", "due"),
    [
        # longer than the 6 months of the shed: until the day of review
        ("P12M", date(2027, 2, 1), date(2027, 1, 31)),
        ("P12M", date(2027, 1, 31), date(2027, 1, 31)),
        ("P12M", date(2027, 1, 30), date(2027, 1, 30)),
        ("P12M", date(2026, 8, 1), date(2026, 8, 1)),
        # and after it by the rulebook again
        ("P12M", date(2026, 7, 31), date(2026, 7, 31)),
        ("P12M", date(2026, 2, 1), date(2026, 7, 31)),
        ("P12M", date(2024, 1, 1), date(2026, 7, 31)),
        # shorter: whatever the day of review
        ("P1M", date(2027, 2, 1), date(2026, 2, 28)),
        ("P1M", date(2024, 1, 1), date(2026, 2, 28)),
        ("P2W", date(2024, 1, 1), date(2026, 2, 14)),
        # the same
        ("P6M", date(2024, 1, 1), date(2026, 7, 31)),
    ],
)
def test_a_longer_interval_lapses_after_its_review_and_a_shorter_one_stays(
    interval: str, review_on: date, due: date
) -> None:
    assert by(decision(interval, review_on=review_on)) == due


@pytest.mark.parametrize(
    ("environment", "interval", "due", "written"),
    [
        ("site", "P12M", date(2026, 4, 30), "P3M"),
        ("site", "P4M", date(2026, 4, 30), "P3M"),
        ("site", "P3M", date(2026, 4, 30), "P3M"),
        ("site", "P1M", date(2026, 2, 28), "P1M"),
        ("law", "P5Y", date(2027, 1, 31), "P12M"),
        ("room", "P5Y", date(2031, 1, 31), "P5Y"),
    ],
)
def test_no_decision_runs_beyond_a_binding_maximum_but_guidance_gives_way(
    environment: str, interval: str, due: date, written: str
) -> None:
    made = decision(interval, review_on=date(2040, 1, 1))
    found = duties_of(ITEM, [stay(environment, made=[made])], TESTED)[TEST]
    assert (found.due, found.interval) == (due, written)
    assert found.basis is not None
    assert found.basis.override is made
    assert found.basis.cut is (written != interval)


def test_the_place_binds_decisions_for_items_of_another_class_too() -> None:
    """A hired switch on a building site: guidance of its own class, but the site's three months bind."""
    made = [decision("P12M", duty=TIME, scope=ONE)]
    hired = duties_of(SWITCH, [stay("hire", place="site", made=made)], TESTED)[TIME]
    assert (hired.due, hired.interval) == (date(2026, 4, 30), "P3M")
    assert duties_of(SWITCH, [stay("hire", made=made)], TESTED)[TIME].due == date(2027, 1, 31)


def test_a_shorter_own_interval_may_be_lengthened_up_to_what_the_place_binds_to() -> None:
    rules = book([line("own", "P1M"), line("there", "P3M", strength=BINDING)])
    made = [decision("P12M")]
    assert due_of(ITEM, [stay("own", place="there", made=made)], TESTED, books=[rules]) == date(2026, 4, 30)


@pytest.mark.parametrize(
    ("binds", "interval", "due"),
    [
        (True, "P9M", date(2026, 10, 31)),
        (True, "P12M", date(2027, 1, 31)),
        (True, "P2Y", date(2027, 1, 31)),
        (False, "P12M", date(2027, 1, 31)),
        (False, "P2Y", date(2028, 1, 31)),
    ],
)
def test_in_a_range_a_decision_may_use_its_longer_end(*, binds: bool, interval: str, due: date) -> None:
    rules = book([line("hall", "P6M", up_to=months(12), strength=BINDING if binds else GUIDE)])
    made = [decision(interval)]
    assert due_of(ITEM, [stay("hall", made=made)], TESTED, books=[rules]) == due


# ---- which decision counts


@pytest.mark.parametrize(
    ("made", "due"),
    [
        ([decision("P12M", scope=SITE), decision("P9M", scope=AREA)], date(2026, 10, 31)),
        ([decision("P9M", scope=ONE), decision("P12M", scope=AREA), decision("P1M", scope=SITE)], date(2026, 10, 31)),
        ([decision("P1M", scope=ONE), decision("P12M", scope=AREA)], date(2026, 2, 28)),
        # of one scope the latest approved, of one day the shorter
        ([decision("P9M", approved_on=JUNE), decision("P1M", approved_on=MAY)], date(2026, 10, 31)),
        ([decision("P1M", approved_on=MAY), decision("P9M", approved_on=JUNE)], date(2026, 10, 31)),
        ([decision("P9M"), decision("P2M")], date(2026, 3, 31)),
        ([decision("P2M"), decision("P9M")], date(2026, 3, 31)),
        # another duty's
        ([decision("P9M", duty=TIME)], date(2026, 7, 31)),
    ],
)  # fmt: skip
def test_the_decision_nearest_to_the_item_counts_then_the_latest(made: Sequence[Override], due: date) -> None:
    assert by(*made) == due


OLD = date(2026, 3, 1)


@pytest.mark.parametrize(
    ("made", "due"),
    [
        # the item's longer decision has lapsed: the shorter one for its site stands again, not the rulebook
        ([decision("P3M", scope=SITE), decision("P12M", scope=ONE, review_on=OLD)], date(2026, 4, 30)),
        ([decision("P3M", scope=SITE), decision("P12M", scope=ONE, review_on=date(2026, 6, 1))], date(2026, 6, 1)),
        # the site's longer one does not take the place of the item's
        ([decision("P24M", scope=SITE), decision("P12M", scope=ONE, review_on=OLD)], date(2026, 7, 31)),
        ([decision("P24M", scope=SITE), decision("P12M", scope=ONE, review_on=date(2026, 9, 1))], date(2026, 9, 1)),
        ([decision("P24M", scope=SITE, review_on=OLD), decision("P12M", scope=ONE)], date(2027, 1, 31)),
        ([decision("P24M", scope=SITE, review_on=OLD), decision("P9M", scope=AREA, review_on=OLD)], date(2026, 7, 31)),
    ],
)
def test_a_lapsed_decision_leaves_the_strictest_of_what_else_holds(made: Sequence[Override], due: date) -> None:
    assert by(*made) == due


def test_a_lapsed_decision_is_remembered_and_the_rulebooks_interval_shown() -> None:
    lapsed = decision("P12M", review_on=OLD)
    found = duties_of(ITEM, [stay("shed", made=[lapsed])], TESTED)[TEST]
    assert found.interval == "P6M"
    assert found.basis is not None
    assert (found.basis.override, found.basis.lapsed, found.basis.reviewed) == (None, lapsed, False)


@pytest.mark.parametrize(("review_on", "reviewed"), [(date(2027, 1, 30), True), (date(2027, 1, 31), False)])
def test_a_date_is_known_as_the_day_of_review_where_that_cut_the_interval(review_on: date, *, reviewed: bool) -> None:
    made = decision("P12M", review_on=review_on)
    found = duties_of(ITEM, [stay("shed", made=[made])], TESTED)[TEST]
    assert found.basis is not None
    assert (found.due, found.basis.override, found.basis.lapsed) == (review_on, made, None)
    assert found.basis.reviewed is reviewed


def test_a_wider_decision_that_lapsed_is_no_matter_where_a_nearer_one_counts() -> None:
    nearer = decision("P1M", scope=ONE)
    found = duties_of(ITEM, [stay("shed", made=[decision("P12M", review_on=OLD), nearer])], TESTED)[TEST]
    assert found.basis is not None
    assert (found.basis.override, found.basis.lapsed) == (nearer, None)


# ---- with moves, new items and occasions


def test_a_decision_holds_for_the_stay_it_was_made_for() -> None:
    moved = date(2026, 3, 1)
    longer, shorter = [decision("P12M")], [decision("P1M")]
    assert due_of(ITEM, [stay("shed", made=longer), stay("shed", moved)], TESTED) == date(2026, 7, 31)
    assert due_of(ITEM, [stay("shed"), stay("shed", moved, made=longer)], TESTED) == date(2026, 7, 31)
    assert due_of(ITEM, [stay("room", made=shorter), stay("room", moved)], TESTED) == date(2026, 2, 28)
    assert due_of(ITEM, [stay("room", made=shorter), stay("room", moved)], moved) == date(2028, 3, 1)


def test_a_decision_on_a_duty_asked_on_occasions_alone_adds_a_date_to_them() -> None:
    made = [decision("P3M", duty=PRESS, review_on=OLD), decision("P1M", duty=PRESS, scope=ONE, review_on=OLD)]
    found = duties_of(SWITCH, [stay("shed", made=made)], TESTED)[PRESS]
    assert (found.due, found.interval, found.terms.occasions) == (date(2026, 2, 28), "P1M", (Occasion.EACH_DAY,))
    untold = duties_of(SWITCH, [stay("shed", made=made)], {})[PRESS]
    assert (untold.due, untold.interval) == (None, "each-day")


def test_a_decision_asks_for_no_duty_that_the_rulebook_does_not() -> None:
    assert set(duties_of(ITEM, [stay("shed", made=[decision("P1M", duty=TIME)])], TESTED)) == {TEST}

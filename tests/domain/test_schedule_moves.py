"""What a move does to the dates: the strictest stay since a duty was last done counts until it is done again."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

import pytest

from register.domain.intervals import Occasion
from register.domain.items import Item
from register.domain.schedule import Stay
from register.domain.words import Condition, Duty, Kind
from register.services.rulebooks import rulebook
from tests.domain.schedule_rules import (
    BINDING,
    GLANCE,
    ITEM,
    PRESS,
    SWITCH,
    TEST,
    TIME,
    book,
    due_of,
    duties_of,
    line,
    stay,
)

TESTED, MOVED, BACK = date(2026, 1, 31), date(2026, 3, 1), date(2026, 4, 1)


@pytest.mark.parametrize(
    ("stays", "due"),
    [
        ([stay("room")], date(2028, 1, 31)),
        ([stay("room"), stay("site", MOVED)], date(2026, 4, 30)),
        ([stay("site"), stay("room", MOVED)], date(2026, 4, 30)),
        ([stay("room"), stay("site", MOVED), stay("room", BACK)], date(2026, 4, 30)),
        ([stay("room"), stay("site", MOVED), stay("shed", BACK)], date(2026, 4, 30)),
        ([stay("room"), stay("shed", MOVED), stay("room", BACK)], date(2026, 7, 31)),
        ([stay("room"), stay("shed", MOVED), stay("site", BACK)], date(2026, 4, 30)),
    ],
)
def test_the_strictest_stay_since_the_last_test_counts(stays: Sequence[Stay], due: date) -> None:
    assert due_of(ITEM, stays, TESTED) == due


@pytest.mark.parametrize(
    ("left_on", "counts"),
    [
        (date(2026, 1, 30), False),
        (TESTED, False),
        (date(2026, 2, 1), True),
    ],
)
def test_a_stay_counts_where_it_went_on_after_the_day_of_the_test(left_on: date, *, counts: bool) -> None:
    """It may have begun long before. A test on the day of the move is the test of both places."""
    due = due_of(ITEM, [stay("site"), stay("room", left_on)], TESTED)
    assert due == (date(2026, 4, 30) if counts else date(2028, 1, 31))


def test_the_next_test_ends_it() -> None:
    assert due_of(ITEM, [stay("site"), stay("room", MOVED)], MOVED) == date(2028, 3, 1)


def test_each_of_several_moves_on_one_day_counts() -> None:
    """A morning on a building site is a stay there."""
    stays = [stay("room"), stay("site", MOVED), stay("shed", MOVED), stay("room", MOVED)]
    assert due_of(ITEM, stays, TESTED) == date(2026, 4, 30)
    assert due_of(ITEM, stays, MOVED) == date(2028, 3, 1), "not where it was tested on that day"


def test_of_two_stays_that_ask_for_the_same_date_the_present_one_gives_the_reason() -> None:
    found = duties_of(ITEM, [stay("shed"), stay("shed", MOVED)], TESTED)[TEST]
    assert found.basis is not None
    assert (found.basis.until, found.basis.exposure.since) == (None, MOVED)


def test_the_stay_that_decides_is_named_with_the_day_it_ended() -> None:
    found = duties_of(ITEM, [stay("site"), stay("room", MOVED)], TESTED)[TEST]
    assert found.basis is not None
    assert (found.basis.exposure.environment, found.basis.until, found.until) == ("site", MOVED, None)
    assert (found.interval, found.exposure.environment) == ("P3M", "room")


def test_each_duty_looks_back_to_its_own_last_time() -> None:
    found = duties_of(SWITCH, [stay("site"), stay("shed", MOVED)], {TEST: TESTED, TIME: MOVED})
    assert (found[TEST].due, found[TIME].due) == (date(2026, 4, 30), date(2027, 3, 1))


# ---- duties that the present place does not ask for


def test_a_test_that_the_present_place_does_not_ask_for_stays_due_until_it_is_done() -> None:
    for later in ("room", "yard"):
        rules = book([line("shed", "P12M", TIME), line("room", "P2Y"), line("yard", "P1Y", PRESS)])
        stays = [stay("shed"), stay(later, MOVED)]
        found = duties_of(ITEM, stays, {TIME: TESTED}, [rules])[TIME]
        assert (found.due, found.until, found.exposure.environment) == (date(2027, 1, 31), MOVED, "shed")
        assert TIME not in duties_of(ITEM, stays, {TIME: MOVED}, [rules])


def test_a_place_that_spares_the_test_does_so_from_the_next_one_on() -> None:
    """Electrical Safety Regulation 2013 (Queensland) s 107 and s 112: manufacturing, then an office behind a switch."""
    spared = Item(Kind.APPLIANCE_CLASS_1, protected_by_switch=True)
    stays, rules = [stay("manufacturing", by="au-qld"), stay("office", MOVED, by="au-qld")], [rulebook("au-qld")]
    found = duties_of(spared, stays, TESTED, rules)[TEST]
    assert (found.due, found.terms.relieved, found.until) == (date(2026, 7, 31), "", MOVED)
    after = duties_of(spared, stays, date(2026, 7, 20), rules)[TEST]
    assert (after.due, bool(after.terms.relieved), after.until) == (None, True, None)


@pytest.mark.parametrize("later", ["room", "law"])
def test_a_test_that_was_needed_before_the_first_use_is_needed_still(later: str) -> None:
    new = Item(Kind.APPLIANCE_CLASS_1, condition=Condition.NEW, since=date(2026, 2, 1), protected_by_switch=True)
    found = duties_of(new, [stay("site"), stay(later, MOVED)], {})[TEST]
    assert (found.due, found.first_needed) == (None, True)


def test_a_new_items_dates_look_back_to_the_day_it_came_into_service() -> None:
    new = Item(Kind.APPLIANCE_CLASS_1, condition=Condition.NEW, since=MOVED)
    assert due_of(new, [stay("site"), stay("room", MOVED)], None) == date(2028, 3, 1)
    assert due_of(new, [stay("shed"), stay("room", BACK)], None) == date(2026, 9, 1)


def test_a_repaired_item_is_needed_where_any_stay_since_the_test_asks_for_it() -> None:
    repaired = Item(Kind.APPLIANCE_CLASS_1, condition=Condition.REPAIRED, since=BACK, protected_by_switch=True)
    found = duties_of(repaired, [stay("shed"), stay("law", MOVED)], TESTED)[TEST]
    assert (found.due, found.first_needed, found.until) == (BACK, True, MOVED)


# ---- the user's duties


def test_the_users_duties_are_those_of_the_present_place() -> None:
    left_site = duties_of(SWITCH, [stay("site"), stay("room", MOVED)], TESTED)
    assert set(left_site) == {TEST, TIME, PRESS}, "no look before each use any more, but the operating time is due"
    came_to_shed = duties_of(SWITCH, [stay("room"), stay("shed", MOVED)], TESTED)[PRESS]
    assert (came_to_shed.due, came_to_shed.interval) == (None, "each-day"), "stricter than any date"


def test_a_press_that_falls_due_is_not_put_off_by_a_move() -> None:
    found = duties_of(SWITCH, [stay("site"), stay("room", MOVED)], TESTED)[PRESS]
    assert (found.due, found.interval) == (date(2026, 2, 28), "P1M")


def test_a_press_nobody_told_of_has_no_date_wherever_the_item_was() -> None:
    found = duties_of(SWITCH, [stay("site"), stay("room", MOVED)], {})
    assert GLANCE not in found
    assert (found[PRESS].due, found[PRESS].interval, found[PRESS].first_needed) == (None, "P6M", False)


def test_a_contractors_date_stays_where_the_present_place_asks_on_occasions_alone() -> None:
    rules = book([line("shed", "P6M"), line("let", Occasion.BEFORE_HIRE)])
    found = duties_of(ITEM, [stay("shed"), stay("let", MOVED)], TESTED, [rules])[TEST]
    assert (found.due, found.interval, found.terms.occasions) == (date(2026, 7, 31), "P6M", (Occasion.BEFORE_HIRE,))


# ---- from one rulebook to another


def test_a_move_under_another_rulebook_keeps_the_stricter_of_the_two_until_the_next_test() -> None:
    """A workshop under AS/NZS 3760 (6 months), then a Queensland office (5 years); and the other way."""
    rules = [rulebook("au-in-service"), rulebook("au-qld")]
    moved_on = Item(Kind.EXTENSION_LEAD, moved_in_use=True, protected_by_switch=False)
    workshop, office = "workshop", "office"
    south_to_north = [stay(workshop, by="au-in-service"), stay(office, MOVED, by="au-qld")]
    north_to_south = [stay(office, by="au-qld"), stay(workshop, MOVED, by="au-in-service")]
    assert due_of(moved_on, south_to_north, TESTED, books=rules) == date(2026, 7, 31)
    assert due_of(moved_on, north_to_south, TESTED, books=rules) == date(2026, 7, 31)
    assert due_of(moved_on, south_to_north, MOVED, books=rules) == date(2031, 3, 1)


def test_a_stay_under_a_rulebook_that_does_not_cover_the_item_asks_nothing() -> None:
    """Above 20 A Queensland's regulation does not apply; back under AS/NZS 3760 only that counts."""
    rules = [rulebook("au-in-service"), rulebook("au-qld")]
    heavy = Item(Kind.EXTENSION_LEAD, rated_current_a=Decimal(32))
    stays = [stay("manufacturing", by="au-qld"), stay("benign", MOVED, by="au-in-service")]
    assert due_of(heavy, stays, TESTED, books=rules) == date(2031, 1, 31)
    light = Item(Kind.EXTENSION_LEAD, rated_current_a=Decimal(20))
    assert due_of(light, stays, TESTED, books=rules) == date(2026, 7, 31)


def test_hired_to_a_site_and_back_the_months_on_the_site_bind_until_the_next_test() -> None:
    stays = [stay("hire"), stay("hire", MOVED, place="site"), stay("hire", BACK)]
    found = duties_of(SWITCH, stays, TESTED)
    assert {duty: found[duty].due for duty in (TEST, TIME)} == {TEST: date(2026, 2, 28), TIME: date(2026, 4, 30)}
    assert due_of(SWITCH, stays, BACK) == date(2026, 8, 1)


def test_a_place_that_binds_items_of_another_class_does_so_while_they_are_there() -> None:
    rules = book([line("own", "P2Y"), line("there", "P6M", strength=BINDING)])
    there = [stay("own", place="there")]
    assert due_of(ITEM, there, TESTED, books=[rules]) == date(2026, 7, 31)
    assert due_of(ITEM, [stay("own")], TESTED, books=[rules]) == date(2028, 1, 31)
    assert due_of(ITEM, [*there, stay("own", MOVED)], TESTED, books=[rules]) == date(2026, 7, 31)


def test_every_duty_keeps_its_order_with_those_of_earlier_places_among_them() -> None:
    found = duties_of(SWITCH, [stay("shed"), stay("room", MOVED)], TESTED)
    assert list(found) == [duty for duty in Duty if duty in {TEST, TIME, PRESS}]

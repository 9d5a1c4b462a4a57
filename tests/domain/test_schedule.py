"""When duties fall due: counted from what was really done, item by item and duty by duty."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from register.domain.intervals import Occasion
from register.domain.items import Item, SafetySwitch
from register.domain.rulebook import Rulebook
from register.domain.schedule import Done, out_of_scope, schedule
from register.domain.words import Condition, Kind
from register.errors import Refused
from register.services.rulebooks import rulebook
from tests.domain.schedule_rules import (
    BOOK,
    GLANCE,
    ITEM,
    LOOK,
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

MARCH = date(2026, 3, 5)


def tool(condition: Condition, since: date | None = MARCH) -> Item:
    return Item(Kind.APPLIANCE_CLASS_1, condition=condition, since=since)


# ---- counting


@pytest.mark.parametrize(
    ("environment", "done", "due"),
    [
        ("shed", date(2026, 3, 5), date(2026, 9, 5)),
        ("shed", date(2025, 8, 31), date(2026, 2, 28)),
        ("shed", date(2027, 8, 31), date(2028, 2, 29)),
        ("site", date(2025, 11, 30), date(2026, 2, 28)),
        ("room", date(2024, 2, 29), date(2026, 2, 28)),
    ],
)
def test_a_duty_falls_due_whole_months_after_it_was_done_or_at_that_months_end(
    environment: str, done: date, due: date
) -> None:
    assert due_of(ITEM, [stay(environment)], done) == due


def test_dates_count_from_the_real_test_and_never_from_the_date_before() -> None:
    """Tested early or late, the next date moves along; 31 stays 31 although 28 February came between."""
    dates = [due_of(ITEM, [stay("shed")], done) for done in (date(2025, 8, 31), date(2026, 2, 10), date(2026, 3, 31))]
    assert dates == [date(2026, 2, 28), date(2026, 8, 10), date(2026, 9, 30)]


def test_every_duty_has_its_own_date() -> None:
    found = duties_of(
        SWITCH, [stay("shed")], {TEST: date(2026, 1, 31), TIME: date(2025, 6, 1), PRESS: date(2026, 2, 1)}
    )
    assert {duty: (each.due, each.interval) for duty, each in found.items()} == {
        TEST: (date(2026, 7, 31), "P6M"),
        TIME: (date(2026, 6, 1), "P12M"),
        PRESS: (None, "each-day"),
    }
    assert [each.contractors for each in found.values()] == [True, True, False]


def test_a_duty_asked_on_an_occasion_has_no_date_however_often_it_was_done() -> None:
    for done in (None, MARCH):
        found = duties_of(SWITCH, [stay("site")], done)[GLANCE]
        assert (found.due, found.first_needed, found.interval, found.basis) == (None, False, "each-use", None)


def test_how_it_is_known_does_not_change_the_date() -> None:
    known = {TEST: Done(MARCH, "as found")}
    (found,) = schedule(ITEM, [stay("shed")], {"made-up": BOOK}, known)
    assert (found.done, found.due) == (known[TEST], date(2026, 9, 5))


def test_a_real_switch_on_a_construction_site_has_five_duties() -> None:
    """AS/NZS 3012 as the rulebook has it: three months for both tests, a press each day, a look before each use."""
    rules = rulebook("au-in-service")
    found = duties_of(SWITCH, [stay("construction", by="au-in-service")], date(2025, 11, 30), [rules])
    assert {duty: each.due or each.interval for duty, each in found.items()} == {
        TEST: date(2026, 2, 28),
        TIME: date(2026, 2, 28),
        PRESS: "each-day",
        GLANCE: "each-use",
    }


def test_an_item_without_a_place_is_refused() -> None:
    with pytest.raises(Refused, match="has no place, so its dates can't be counted"):
        schedule(ITEM, [], {}, {})


def test_a_class_that_its_rulebook_no_longer_has_is_refused_by_name() -> None:
    for stays in ([stay("barn")], [stay("barn"), stay("shed", MARCH)]):
        with pytest.raises(Refused, match="“barn” is not an environment class of the rulebook made-up"):
            duties_of(ITEM, stays)


# ---- never done


def test_a_test_that_was_never_done_is_needed_before_use_and_has_no_date() -> None:
    found = duties_of(SWITCH, [stay("room")], {})
    assert (found[TEST].due, found[TEST].first_needed, found[TEST].interval) == (None, True, "P2Y")
    assert (found[PRESS].due, found[PRESS].first_needed) == (None, False), "the user's own duty"


def test_a_contractors_duty_on_an_occasion_is_not_needed_first_unless_it_is_the_first_use() -> None:
    rules = book([
        line("hall", Occasion.BEFORE_HIRE),
        line("hall", Occasion.BEFORE_FIRST_USE, LOOK),
        line("hall", Occasion.BEFORE_FIRST_USE, PRESS),
    ])  # fmt: skip
    for item in (ITEM, tool(Condition.NEW)):
        found = duties_of(item, [stay("hall")], {}, [rules])
        assert {duty: each.first_needed for duty, each in found.items()} == {TEST: False, LOOK: True, PRESS: False}
    done = duties_of(ITEM, [stay("hall")], MARCH, [rules])
    assert not any(each.first_needed for each in done.values())


# ---- new, repaired, stored


def test_a_new_items_first_date_counts_from_the_day_it_came_into_service() -> None:
    """AS/NZS 3760:2022 clause 1.2.1, restated second-hand: new equipment is looked over, not tested."""
    found = duties_of(Item(SWITCH.kind, condition=Condition.NEW, since=MARCH), [stay("room")], {})
    assert (found[TEST].due, found[TEST].first_needed, found[TEST].done) == (date(2028, 3, 5), False, None)
    assert found[PRESS].due is None, "nobody pressed the button when it was looked over"


def test_a_test_of_a_new_item_counts_from_that_test() -> None:
    assert due_of(tool(Condition.NEW), [stay("shed")], date(2026, 5, 1)) == date(2026, 11, 1)


@pytest.mark.parametrize(
    ("item", "environment"),
    [(tool(Condition.NEW), "site"), (tool(Condition.NEW, None), "shed")],
    ids=["tested before the first use on the site", "nobody knows since when"],
)
def test_a_new_item_is_tested_first_where_the_line_says_so_or_its_day_is_not_known(
    item: Item, environment: str
) -> None:
    found = duties_of(item, [stay(environment)], {})[TEST]
    assert (found.due, found.first_needed) == (None, True)


@pytest.mark.parametrize(
    ("since", "done", "due", "first_needed"),
    [
        (MARCH, None, MARCH, True),
        (MARCH, date(2026, 3, 4), MARCH, True),
        (MARCH, date(2026, 3, 5), date(2026, 9, 5), False),
        (MARCH, date(2026, 3, 9), date(2026, 9, 9), False),
        (None, None, None, True),
        (None, date(2026, 1, 2), date(2026, 7, 2), False),
    ],
)
def test_a_repaired_item_is_tested_before_its_return_and_counts_from_that_test(
    since: date | None,
    done: date | None,
    due: date | None,
    first_needed: bool,  # noqa: FBT001 - a case
) -> None:
    """AS/NZS 3760:2010 Table 4, row 7, restated second-hand."""
    found = duties_of(tool(Condition.REPAIRED, since), [stay("shed")], done)[TEST]
    assert (found.due, found.first_needed) == (due, first_needed)


def test_a_repair_leaves_the_users_own_duties_as_they_were() -> None:
    repaired = Item(SWITCH.kind, condition=Condition.REPAIRED, since=MARCH)
    found = duties_of(repaired, [stay("room")], date(2026, 1, 31))[PRESS]
    assert (found.due, found.first_needed) == (date(2026, 7, 31), False)


def test_a_stored_item_keeps_its_dates() -> None:
    assert due_of(tool(Condition.STORED), [stay("shed")], date(2026, 1, 31)) == date(2026, 7, 31)


# ---- out of scope, not asked


@pytest.mark.parametrize(
    ("item", "rules", "sentence"),
    [
        (Item(SWITCH.kind, condition=Condition.OUT_OF_SCOPE), BOOK, "Out of scope: no reason recorded."),
        (
            Item(SWITCH.kind, condition=Condition.OUT_OF_SCOPE, scope_reason="patient area."),
            BOOK,
            "Out of scope: patient area.",
        ),
        (
            Item(SWITCH.kind, battery_run=True),
            BOOK,
            "Battery-run: Rules of made-up covers its charger, not the tool itself (Rule 1:2020 scope).",
        ),
    ],
)
def test_an_item_out_of_scope_has_no_duties_not_even_the_users_and_is_told_why(
    item: Item, rules: Rulebook, sentence: str
) -> None:
    assert duties_of(item, [stay("shed"), stay("site", MARCH)], MARCH, [rules]) == {}
    assert out_of_scope(item, rules) == sentence


def test_queensland_leaves_out_items_above_20_amperes() -> None:
    heavy = Item(Kind.EXTENSION_LEAD, rated_current_a=Decimal(32))
    rules = rulebook("au-qld")
    assert duties_of(heavy, [stay("manufacturing", by="au-qld")], MARCH, [rules]) == {}
    assert out_of_scope(heavy, rules).startswith("Rated 32 A: ")
    light = Item(Kind.EXTENSION_LEAD, rated_current_a=Decimal(20))
    assert due_of(light, [stay("manufacturing", by="au-qld")], MARCH, books=[rules]) == date(2026, 9, 5)
    assert out_of_scope(light, rules) == ""


def test_a_duty_that_a_fact_takes_away_is_shown_without_date_or_interval() -> None:
    spared = Item(Kind.APPLIANCE_CLASS_1, protected_by_switch=True)
    for done in (None, MARCH):
        found = duties_of(spared, [stay("law")], done)[TEST]
        assert (found.due, found.first_needed, found.interval, bool(found.terms.relieved)) == (None, False, "", True)
    assert due_of(Item(Kind.APPLIANCE_CLASS_1), [stay("law")], MARCH) == date(2027, 3, 5), "nobody recorded the fact"


@pytest.mark.parametrize(
    ("facts", "due"),
    [
        ({}, date(2027, 3, 5)),
        ({"moved_in_use": True}, date(2027, 3, 5)),
        ({"moved_in_use": True, "protected_by_switch": False}, date(2027, 3, 5)),
        ({"moved_in_use": False}, None),
        ({"protected_by_switch": True}, None),
        ({"moved_in_use": True, "protected_by_switch": True}, None),
    ],
)
def test_queensland_service_work_spares_what_is_not_moved_or_is_behind_a_switch(
    facts: dict[str, Any], due: date | None
) -> None:
    """Electrical Safety Regulation 2013 (Queensland) s 112, restated second-hand."""
    item = Item(Kind.APPLIANCE_CLASS_1, **facts)
    assert due_of(item, [stay("service", by="au-qld")], MARCH, books=[rulebook("au-qld")]) == due


def test_the_line_of_a_duty_is_that_by_which_its_date_was_counted() -> None:
    board = Item(Kind.PORTABLE_OUTLET_DEVICE, safety_switch=SafetySwitch())
    found = duties_of(board, [stay("site"), stay("room", date(2026, 4, 1))], MARCH)
    assert {duty: each.line.environments for duty, each in found.items()} == {
        TEST: {"site"},
        TIME: {"site"},
        PRESS: {"site"},
    }
    assert found[TEST].terms.line.environments == {"room"}

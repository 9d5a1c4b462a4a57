"""The list of items: which are shown, what decides their date, in which order, and narrowed to what."""

from datetime import date

import pytest

from register.domain.words import Duty, Kind, Standing
from register.services.item_list import ListedItem, areas_of, listed, listed_rows, narrowing, standing_counts
from register.services.withdrawals.deeds import remove
from register.store.lists import ItemFilter, Sort
from tests.desk import Desk

TODAY = date(2026, 11, 20)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """Two sites: a switch that is overdue, one never tested, a lead in date, and one removed."""
    desk.site()
    desk.site("BARN", environment="construction")
    desk.item("A-1", description="Switch", area="Loft")
    desk.item("A-2", description="Board")
    desk.item("B-1", Kind.CORD_SET, site="BARN", description="Cord")
    desk.item("B-2", site="BARN", description="Gone")
    desk.test("A-1", date(2026, 3, 2))
    desk.test("B-1", date(2026, 11, 2), duties=(Duty.INSPECTION_AND_TEST,))
    with desk.change() as change:
        remove(change, desk.id("B-2"), reason="scrapped")
    return desk


def tags(desk: Desk, wanted: ItemFilter, sort: Sort = Sort.TAG, *, descending: bool = False) -> list[str]:
    with desk.read() as connection:
        keys = listed(connection, wanted, sort=sort, descending=descending)
        rows = listed_rows(connection, keys, TODAY)
    return [rows[key].tag for key in keys]


def row(desk: Desk, tag: str) -> ListedItem:
    with desk.read() as connection:
        return listed_rows(connection, [desk.id(tag)], TODAY)[desk.id(tag)]


def test_removed_items_are_listed_only_where_they_are_asked_for(yard: Desk) -> None:
    assert tags(yard, ItemFilter(TODAY)) == ["A-1", "A-2", "B-1"]
    assert tags(yard, ItemFilter(TODAY, standings=frozenset({Standing.REMOVED}))) == ["B-2"]


def test_standings_are_counted_whichever_of_them_are_asked_for(yard: Desk) -> None:
    with yard.read() as connection:
        counts = standing_counts(connection, ItemFilter(TODAY, standings=frozenset({Standing.REMOVED})))

    assert counts == {Standing.OVERDUE: 1, Standing.UNTESTED: 1, Standing.IN_SERVICE: 1, Standing.REMOVED: 1}


@pytest.mark.parametrize(
    ("sort", "order"),
    [
        (Sort.TAG, ["A-1", "A-2", "B-1"]),
        (Sort.DESCRIPTION, ["A-2", "B-1", "A-1"]),
        (Sort.SITE, ["B-1", "A-1", "A-2"]),
        (Sort.DUE, ["A-2", "A-1", "B-1"]),
    ],
)
def test_the_list_is_sorted_both_ways(yard: Desk, sort: Sort, order: list[str]) -> None:
    assert tags(yard, ItemFilter(TODAY), sort) == order
    assert tags(yard, ItemFilter(TODAY), sort, descending=True) == order[::-1]


def test_the_earliest_of_its_duties_decides_an_items_date(yard: Desk) -> None:
    switch = row(yard, "A-1")

    assert (switch.duty, switch.next_due) == (Duty.INSPECTION_AND_TEST, date(2026, 9, 2))
    assert switch.standing is Standing.OVERDUE
    assert switch.last_tested == date(2026, 3, 2)


def test_a_test_never_done_is_the_one_that_is_named(yard: Desk) -> None:
    board = row(yard, "A-2")

    assert (board.duty, board.next_due, board.untested) == (Duty.OPERATING_TIME, None, True)
    assert board.last_tested is None


@pytest.mark.parametrize(
    ("first", "last", "found"),
    [
        (None, date(2026, 9, 1), []),
        (None, date(2026, 9, 2), ["A-1"]),
        (date(2026, 9, 3), None, ["A-1", "B-1"]),
        (date(2027, 6, 1), None, []),
    ],
)
def test_a_list_is_narrowed_to_what_falls_due_in_a_time(
    yard: Desk, first: date | None, last: date | None, found: list[str]
) -> None:
    assert tags(yard, ItemFilter(TODAY, due_from=first, due_to=last)) == found


def test_a_register_says_what_its_list_can_be_narrowed_to(yard: Desk) -> None:
    with yard.read() as connection:
        found = narrowing(connection, TODAY)
        areas = {site.words: [area.words for area in areas_of(connection, site.id)] for site in found.sites}

    assert found.total == 3
    assert [each.id for each in found.environments] == ["construction", "workshop"]
    assert areas == {"Barn of the bay": ["Whole site"], "Yard of the bay": ["Loft", "Whole site"]}

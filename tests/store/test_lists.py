"""The lists: filtered, sorted, counted and paged by the database, in agreement with the rules."""

from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st

from register.domain.standing import standing_on
from register.domain.words import Kind, Standing
from register.services.items import NewItem, enter_items
from register.services.places import known_site
from register.store.engine import Register, create_register
from register.store.lists import (
    DueFilter,
    ItemFilter,
    Sort,
    count_by_standing,
    count_items,
    due_page,
    item_keys,
    item_page,
    item_rows,
    overdue_by_site,
)
from register.store.tables import Duty, Item
from tests.desk import Desk
from tests.registers import TODAY, changing

DAY = timedelta(days=1)
SOON = 14
DATES = (None, *(TODAY + n * DAY for n in (-400, -1, 0, 1, SOON - 1, SOON, SOON + 1, 400)))
STATES = ("in-service", "withdrawn", "removed")
GRID = [(state, due, untested) for state in STATES for due in DATES for untested in (False, True)]
KINDS = (Kind.EXTENSION_LEAD, Kind.PORTABLE_SAFETY_SWITCH, Kind.APPLIANCE_CLASS_1)


@pytest.fixture(scope="module")
def grid(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Register]:
    """A register with one item for every state, date and never-tested flag there can be, at two sites."""
    register = create_register(tmp_path_factory.mktemp("grid") / "grid.register")
    desk = Desk(register)
    areas = []
    for code, environment in (("YARD", "workshop"), ("MILL", "hire")):
        desk.site(code, environment)
        areas += [desk.area(code, name) for name in ("Shed", "Office")]
    news = [
        NewItem(f"T{n:03}", areas[n % 4], KINDS[n % 3], TODAY, description=("Drill", "drum", "Äxe")[n % 3])
        for n in range(len(GRID))
    ]
    with changing(register) as change:
        ids = enter_items(change, news)
        for key, (state, due, untested) in zip(ids, GRID, strict=True):
            row = change.session.get_one(Item, key)
            row.state, row.next_due, row.untested = state, due, untested
            change.session.add(duty(row, due, first=untested))
    yield register
    register.close()


def duty(item: Item, due: date | None, *, first: bool) -> Duty:
    return Duty(
        item_id=item.id, duty="inspection-and-test", site_id=item.site_id, contractors=item.tag_number[-1] != "7",
        planned=item.state == "in-service", interval="P6M", last_done=None, due=due, first_needed=first,
    )  # fmt: skip


def standing(state: str, due: date | None, *, untested: bool, soon: int = SOON, on: date = TODAY) -> Standing:
    removed, withdrawn = state == "removed", state == "withdrawn"
    return standing_on(on, removed=removed, withdrawn=withdrawn, untested=untested, next_due=due, soon_days=soon)


def tags(register: Register, wanted: ItemFilter, **rest: Any) -> list[str]:  # noqa: ANN401
    with register.read() as connection:
        rows = item_page(connection, wanted, **({"sort": Sort.TAG} | rest))
        if "limit" not in rest:
            assert count_items(connection, wanted) == len(rows)
    return [row.tag_number for row in rows]


def expected(meets: Callable[[int, str, date | None, bool], bool]) -> list[str]:
    return [f"T{n:03}" for n, (state, due, untested) in enumerate(GRID) if meets(n, state, due, untested)]


@pytest.mark.parametrize("soon", [0, 1, 14, 366])
@pytest.mark.parametrize("wanted", list(Standing))
def test_a_standing_in_sql_is_the_standing_of_the_rules(grid: Register, wanted: Standing, soon: int) -> None:
    found = tags(grid, ItemFilter(TODAY, standings=frozenset({wanted}), soon_days=soon))
    assert found == expected(
        lambda _n, state, due, untested: standing(state, due, untested=untested, soon=soon) is wanted
    )


@pytest.mark.parametrize("on", [TODAY - 401 * DAY, TODAY, TODAY + 2 * DAY])
def test_every_item_has_one_standing_and_the_counts_say_so(grid: Register, on: date) -> None:
    with grid.read() as connection:
        counts = count_by_standing(connection, ItemFilter(on, soon_days=SOON))
    right: dict[Standing, int] = {}
    for state, due, untested in GRID:
        each = standing(state, due, untested=untested, on=on)
        right[each] = right.get(each, 0) + 1
    assert counts == right
    assert sum(counts.values()) == len(GRID)


@settings(max_examples=40, deadline=None)
@given(wanted=st.frozensets(st.sampled_from(Standing)), soon=st.integers(0, 30), shift=st.integers(-20, 20))
def test_any_standings_together_show_what_each_shows(
    grid: Register, wanted: frozenset[Standing], soon: int, shift: int
) -> None:
    on = TODAY + shift * DAY
    found = tags(grid, ItemFilter(on, standings=wanted, soon_days=soon))
    assert found == expected(
        lambda _n, state, due, untested: (
            not wanted or standing(state, due, untested=untested, soon=soon, on=on) in wanted
        )
    )


def test_filters_narrow_together(grid: Register) -> None:
    with grid.read() as connection:
        mill = known_site(connection, "MILL")
    leads = frozenset({Kind.EXTENSION_LEAD.value})
    both = frozenset({Kind.EXTENSION_LEAD.value, Kind.APPLIANCE_CLASS_1.value})
    cases = [
        (ItemFilter(TODAY, kinds=leads), lambda n: n % 3 == 0),
        (ItemFilter(TODAY, kinds=both), lambda n: n % 3 != 1),
        (ItemFilter(TODAY, site=mill), lambda n: n % 4 in {2, 3}),
        (ItemFilter(TODAY, site=mill, kinds=leads), lambda n: n % 4 in {2, 3} and n % 3 == 0),
        (ItemFilter(TODAY, environments=frozenset({"hire"})), lambda n: n % 4 in {2, 3}),
        (ItemFilter(TODAY, environments=frozenset({"benign"})), lambda _n: False),
        (ItemFilter(TODAY, text="office"), lambda n: n % 2 == 1),
        (ItemFilter(TODAY, text="office", site=mill), lambda n: n % 4 == 3),
        (ItemFilter(TODAY, text="drill", kinds=both), lambda n: n % 3 == 0),
        (ItemFilter(TODAY, site="nowhere"), lambda _n: False),
    ]
    for wanted, meets in cases:
        assert tags(grid, wanted) == expected(lambda n, *_facts, meets=meets: meets(n)), wanted


def test_an_area_is_narrowed_to(grid: Register) -> None:
    area = Desk(grid).area("MILL", "Office")
    assert tags(grid, ItemFilter(TODAY, area=area)) == expected(lambda n, *_facts: n % 4 == 3)


def test_items_with_planned_work_in_some_days_are_shown(grid: Register) -> None:
    first, last = TODAY, TODAY + SOON * DAY

    def planned(n: int, state: str, due: date | None) -> bool:
        return state == "in-service" and due is not None and f"T{n:03}"[-1] != "7"

    cases = [
        (ItemFilter(TODAY, due_from=first, due_to=last), lambda due: first <= due <= last),
        (ItemFilter(TODAY, due_to=last), lambda due: due <= last),
        (ItemFilter(TODAY, due_from=first), lambda due: due >= first),
    ]
    for wanted, within in cases:
        assert tags(grid, wanted) == expected(
            lambda n, state, due, _untested, within=within: planned(n, state, due) and within(due)
        )


KEYS: dict[Sort, Callable[[Any], Any]] = {
    Sort.DUE: lambda row: (row.next_due is not None, row.next_due or TODAY, row.id),
    Sort.TAG: lambda row: (row.tag_number, row.id),
    Sort.DESCRIPTION: lambda row: (row.description, row.id),
    Sort.KIND: lambda row: (row.kind, row.id),
    Sort.SITE: lambda row: (row.site_name, row.id),
}


def undated_last(row: Any) -> tuple[int, Any, str]:  # noqa: ANN401 - a row of a query
    """How a list is ordered by date: never tested, dated, without a date."""
    return (1 if row.next_due else 2 * (not row.untested), row.next_due or TODAY, row.id)


VALUES: dict[Sort, str] = {
    Sort.DUE: "next_due", Sort.TAG: "tag_number", Sort.DESCRIPTION: "description", Sort.KIND: "kind",
    Sort.SITE: "site_name",
}  # fmt: skip


@pytest.mark.parametrize("sort", list(Sort))
@settings(max_examples=15, deadline=None)
@given(limit=st.integers(1, 30), wanted=st.frozensets(st.sampled_from(Standing)))
def test_pages_visit_every_row_once_in_order(
    grid: Register, sort: Sort, limit: int, wanted: frozenset[Standing]
) -> None:
    asked = ItemFilter(TODAY, standings=wanted, soon_days=SOON)
    rows: list[Any] = []
    with grid.read() as connection:
        while page := item_page(
            connection, asked, sort=sort, limit=limit,
            after=(getattr(rows[-1], VALUES[sort]), rows[-1].id) if rows else None,
        ):  # fmt: skip
            assert len(page) <= limit
            rows += page
        assert len(rows) == count_items(connection, asked)
        listed = sorted(rows, key=lambda row: undated_last(row) if sort is Sort.DUE else KEYS[sort](row))
        assert item_keys(connection, asked, sort=sort) == [row.id for row in listed]
        assert item_keys(connection, asked, sort=sort, descending=True) == [row.id for row in reversed(listed)]
    assert len({row.id for row in rows}) == len(rows)
    assert rows == sorted(rows, key=KEYS[sort])


def test_rows_are_found_by_their_ids_with_site_and_area(grid: Register) -> None:
    with grid.read() as connection:
        page = item_page(connection, ItemFilter(TODAY), sort=Sort.TAG, limit=3)
        found = item_rows(connection, [row.id for row in page])
    assert [found[row.id] for row in page] == page
    assert [(row.site, row.area) for row in page] == [("YARD", "Shed"), ("YARD", "Office"), ("MILL", "Shed")]


@pytest.mark.parametrize("contractors", [None, True, False])
@pytest.mark.parametrize("site", [None, "YARD"])
@pytest.mark.parametrize("by", [TODAY - DAY, TODAY, TODAY + 500 * DAY])
@pytest.mark.parametrize("limit", [1, 2, 5, 200])
def test_due_pages_visit_every_due_duty_once_never_done_ones_first(
    grid: Register, by: date, site: str | None, limit: int, *, contractors: bool | None
) -> None:
    rows: list[Any] = []
    with grid.read() as connection:
        wanted = DueFilter(by, known_site(connection, site) if site else None, contractors)
        while page := due_page(
            connection, wanted, limit=limit,
            after=(rows[-1].due, rows[-1].item_id, rows[-1].duty) if rows else None,
        ):  # fmt: skip
            assert len(page) <= limit
            rows += page
    right = expected(
        lambda n, state, due, untested: (
            state == "in-service"
            and (untested if due is None else due <= by)
            and (site is None or n % 4 in {0, 1})
            and (contractors is None or contractors is (f"T{n:03}"[-1] != "7"))
        )
    )
    assert sorted(row.tag_number for row in rows) == right
    order = [(row.due is not None, row.due or TODAY, row.item_id) for row in rows]
    assert order == sorted(order)


def test_sites_with_items_that_must_not_be_used_are_counted_the_worst_first(grid: Register) -> None:
    with grid.read() as connection:
        found = {row.code: (row.overdue, row.untested, row.oldest) for row in overdue_by_site(connection, TODAY)}
        none = overdue_by_site(connection, TODAY - 500 * DAY)
    right = {}
    for code, of_site in (("YARD", {0, 1}), ("MILL", {2, 3})):
        each = [
            (standing(state, due, untested=untested), due)
            for n, (state, due, untested) in enumerate(GRID)
            if n % 4 in of_site
        ]
        overdue = [due for name, due in each if name is Standing.OVERDUE]
        untested = sum(name is Standing.UNTESTED for name, _due in each)
        right[code] = (len(overdue), untested, min(overdue, default=None))
    assert found == {code: counts for code, counts in right.items() if any(counts[:2])}
    assert [row.overdue for row in none] == [0] * len(none)


def test_a_site_with_nothing_wrong_is_not_among_them(desk: Desk) -> None:
    desk.site()
    desk.item("L1", Kind.EXTENSION_LEAD)
    with desk.change() as change:
        change.session.execute(sa.update(Item).values(untested=False))
    with desk.read() as connection:
        assert overdue_by_site(connection, TODAY) == []


def test_a_page_takes_as_many_questions_for_many_rows_as_for_few(grid: Register) -> None:
    run: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        run.append(statement)

    sa.event.listen(grid.engine, "before_cursor_execute", note)
    try:
        asked = []
        for limit in (1, 50):
            run.clear()
            with grid.read() as connection:
                item_page(connection, ItemFilter(TODAY, text="drill"), limit=limit)
                due_page(connection, DueFilter(TODAY + 500 * DAY), limit=limit)
            asked.append(len(run))
    finally:
        sa.event.remove(grid.engine, "before_cursor_execute", note)
    assert asked[1] <= asked[0] + 1, "one for the never done, one for the dated"


def test_an_empty_register_has_empty_lists(tmp_path: Path) -> None:
    with closing(create_register(tmp_path / "new.register")) as register, register.read() as connection:
        assert item_page(connection, ItemFilter(TODAY)) == []
        assert due_page(connection, DueFilter(TODAY)) == []
        assert count_by_standing(connection, ItemFilter(TODAY)) == {}
        assert item_rows(connection, []) == {}

"""Tag numbers set aside for the visits of a week: from the van's own range, never twice, and said where too few."""

from datetime import date, timedelta

import pytest

from register.services.places import known_site
from register.services.tag_ranges import add_range
from register.services.week.kept import Kept, keep_week, week_visits
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from tests.desk import Desk
from tests.registers import TODAY

MONDAY = date(2026, 11, 23)


@pytest.fixture
def crew(desk: Desk) -> Desk:
    """Two sites with work, one of them with 51 items, and a van."""
    for code, items in (("MILL", 1), ("YARD", 51)):
        desk.site(code)
        for number in range(items):
            desk.item(f"{code}-{number}", site=code)
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
        for code in ("MILL", "YARD"):
            keep_visiting(change, known_site(change.session.connection(), code), Visiting("-37.9, 148.6"))
    return desk


def numbers(desk: Desk, first: int, last: int, holder: str = "van 1") -> None:
    with desk.change() as change:
        add_range(change, holder=holder, prefix="V-", digits=4, first=first, last=last)


def kept(desk: Desk, monday: date = MONDAY) -> Kept:
    with desk.read() as connection:
        week = plan_week(connection, TODAY, WeekAsk(monday, effort=0))
    with desk.change() as change:
        return keep_week(change, week)


def spans(desk: Desk, monday: date = MONDAY) -> dict[str, tuple[str, str]]:
    with desk.read() as connection:
        return {
            row.code: (row.tags_first, row.tags_last) for row in week_visits(connection, monday) if not row.cancelled
        }


def count(span: tuple[str, str]) -> int:
    first, last = (int(tag.removeprefix("V-")) for tag in span)
    return last - first + 1


def test_each_visit_gets_numbers_of_its_own_from_the_vans_range(crew: Desk) -> None:
    numbers(crew, 100, 199)
    assert kept(crew).short == ()
    found = spans(crew)
    assert {code: count(span) for code, span in found.items()} == {"MILL": 5, "YARD": 6}
    assert min(found.values())[0] == "V-0100"
    assert max(found.values())[1] == "V-0110"
    assert kept(crew).short == ()
    assert spans(crew) == found


def test_numbers_that_items_have_and_those_of_other_weeks_are_passed_over(crew: Desk) -> None:
    numbers(crew, 100, 199)
    kept(crew)
    used = {tag for span in spans(crew).values() for tag in span}
    with crew.change() as change:
        keep_van(change, VanFacts("Van 2"))
    later = MONDAY + timedelta(days=7)
    crew.item("V-0114", site="MILL")
    kept(crew, later)
    found = spans(crew, later)
    assert found
    for first, last in found.values():
        assert not first or (first > max(used) and not first <= "V-0114" <= last)


def test_a_van_with_too_few_numbers_is_told_and_one_without_a_range_is_not(crew: Desk) -> None:
    assert kept(crew).short == ()
    assert set(spans(crew).values()) == {("", "")}
    numbers(crew, 100, 105)
    assert kept(crew).short == ("Van 1 has too few tag numbers left for the week. Give it more under Firm, Tags.",)
    numbers(crew, 200, 299, holder="Somebody else")
    assert sorted(spans(crew).values()) == [("", ""), ("V-0100", "V-0104")]

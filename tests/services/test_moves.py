"""A move to a harsher place brings the date forward at once; one to a gentler place waits for the next test."""

from collections.abc import Callable
from datetime import date

import pytest
import sqlalchemy as sa

from register.domain.words import Kind
from register.errors import Refused
from register.services.items import find_item
from register.services.moves import Moved, change_area_class, move_item
from register.services.places import known_site
from register.services.withdrawals.deeds import remove
from register.store.tables import Exposure
from tests.desk import INSPECTION, SOUND, Desk, give_class
from tests.registers import TODAY

LEAD = Kind.EXTENSION_LEAD
TESTED = date(2026, 5, 20)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A lead in an office, tested half a year ago: benign, so due in 2031."""
    desk.site("YARD", "workshop")
    desk.area("YARD", "Office", "benign")
    desk.site("SITE9", "construction")
    desk.on(TESTED).item("L1", LEAD, area="Office")
    desk.on(TESTED).test("L1", duties=(INSPECTION,), readings=SOUND)
    return desk


def move(desk: Desk, tag: str, area: str, site: str = "YARD") -> Moved:
    target = desk.area(site, area)
    with desk.change() as change:
        return move_item(change, find_item(change.session.connection(), tag), target)


def classed(desk: Desk, tag: str, environment: str | None) -> None:
    with desk.change() as change:
        give_class(change, find_item(change.session.connection(), tag), environment)


def area_classed(desk: Desk, area: str, environment: str | None) -> int:
    target = desk.area("YARD", area)
    with desk.change() as change:
        return change_area_class(change, target, environment)


def due(desk: Desk) -> date | None:
    return desk.dates("L1")["inspection-and-test"]


@pytest.mark.parametrize(
    ("harsher", "moved_to"),
    [
        (lambda desk: move(desk, "L1", "Shed"), date(2026, 11, 20)),
        (lambda desk: move(desk, "L1", "", "SITE9"), date(2026, 8, 20)),
        (lambda desk: classed(desk, "L1", "cleaning"), date(2026, 11, 20)),
        (lambda desk: classed(desk, "L1", "hire"), date(2026, 8, 20)),
    ],
)
def test_a_harsher_use_brings_the_date_forward_at_once(
    yard: Desk, harsher: Callable[[Desk], object], moved_to: date
) -> None:
    assert due(yard) == date(2031, 5, 20)
    harsher(yard)
    assert due(yard) == moved_to
    assert yard.answer("L1").next_due == moved_to
    assert yard.faults() == ()


def test_a_gentler_place_keeps_the_earlier_date_until_the_next_test(yard: Desk) -> None:
    move(yard, "L1", "Shed")
    moved = move(yard.on(date(2026, 11, 21)), "L1", "Office")
    assert (moved.environment, moved.due_after) == ("benign", date(2026, 11, 20))
    assert "the strictest place counts until this is done again" in " ".join(yard.answer("L1").duties[0].why)
    yard.on(date(2026, 11, 22)).test("L1", duties=(INSPECTION,), readings=SOUND)
    assert due(yard) == date(2031, 11, 22)


def test_an_areas_class_re_dates_everything_in_it(yard: Desk) -> None:
    yard.on(TESTED).item("L2", LEAD, area="Office")
    yard.on(TESTED).test("L2", duties=(INSPECTION,), readings=SOUND)
    yard.on(TESTED).item("L3", LEAD, area="Office", environment="residential")
    yard.on(TESTED).item("GONE", LEAD, area="Office")
    with yard.change() as change:
        remove(change, find_item(change.session.connection(), "GONE"), reason="scrapped")
    assert area_classed(yard, "Office", "cleaning") == 3
    assert [yard.answer(tag).environment for tag in ("L1", "L2", "L3", "GONE")] == [
        "cleaning", "cleaning", "residential", "benign",
    ]  # fmt: skip
    assert (due(yard), yard.dates("L2")["inspection-and-test"]) == (date(2026, 11, 20), date(2026, 11, 20))
    assert yard.events()[-1] == "area:change"
    assert yard.faults() == ()


def test_an_area_without_a_class_has_its_sites(yard: Desk) -> None:
    area_classed(yard, "Office", None)
    assert yard.answer("L1").environment == "workshop"


def test_an_items_own_class_goes_with_it_and_is_given_up_only_when_asked(yard: Desk) -> None:
    classed(yard, "L1", "cleaning")
    assert move(yard, "L1", "Shed").environment == "cleaning"
    classed(yard, "L1", None)
    assert yard.answer("L1").environment == "workshop"
    assert yard.events()[-1] == "item:change"


def test_a_move_within_one_class_writes_where_the_item_is_and_leaves_its_date(yard: Desk) -> None:
    yard.area("YARD", "Loft", "benign")
    moved = move(yard, "L1", "Loft")
    assert (moved.due_before, moved.due_after) == (date(2031, 5, 20), date(2031, 5, 20))
    with yard.read() as connection:
        stays = connection.execute(sa.select(Exposure.seq, Exposure.since).order_by(Exposure.seq)).all()
    assert [tuple(stay) for stay in stays] == [(1, TESTED), (2, TODAY)]


def test_a_move_to_where_it_is_already_is_noted_and_changes_nothing_else(yard: Desk) -> None:
    move(yard, "L1", "Office")
    with yard.read() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(Exposure)).scalar() == 1
    assert yard.events()[-1] == "item:move"


@pytest.mark.parametrize(
    ("deed", "sentence"),
    [
        (lambda desk: move(desk, "L1", "Shed"), "L1 was removed for good, so it can't be moved. Check the tag."),
        (
            lambda desk: classed(desk, "L1", "hire"),
            "L1 was removed for good, so nothing about it changes any more.",
        ),
    ],
)
def test_a_removed_item_stays_where_it_was(yard: Desk, deed: Callable[[Desk], object], sentence: str) -> None:
    with yard.change() as change:
        remove(change, find_item(change.session.connection(), "L1"), reason="scrapped")
    with pytest.raises(Refused) as told:
        deed(yard)
    assert str(told.value) == sentence


@pytest.mark.parametrize(
    "deed",
    [lambda desk: classed(desk, "L1", "swamp"), lambda desk: area_classed(desk, "Office", "swamp")],
)
def test_a_class_that_the_rulebook_does_not_have_is_refused(yard: Desk, deed: Callable[[Desk], object]) -> None:
    with pytest.raises(Refused, match="has no environment class “swamp”"):
        deed(yard)
    assert yard.answer("L1").environment == "benign"


def test_an_own_class_that_the_other_sites_rulebook_does_not_have_stops_a_move(yard: Desk) -> None:
    yard.site("WORKS", "manufacturing", rulebook="au-qld")
    classed(yard, "L1", "workshop")
    with pytest.raises(Refused, match="The rulebook au-qld has no environment class “workshop”"):
        move(yard, "L1", "", "WORKS")
    assert yard.answer("L1").site == "YARD"


def test_a_move_under_another_rulebook_is_dated_by_it_and_by_the_old_one_until_the_next_test(yard: Desk) -> None:
    yard.site("WORKS", "manufacturing", rulebook="au-qld")
    move(yard, "L1", "", "WORKS")
    answer = yard.answer("L1")
    assert (answer.rulebook, answer.environment) == ("au-qld", "manufacturing")
    assert answer.next_due == date(2026, 11, 20)
    assert yard.faults() == ()


def test_the_site_of_a_moved_item_is_its_duties_site(yard: Desk) -> None:
    move(yard, "L1", "", "SITE9")
    with yard.read() as connection:
        key = known_site(connection, "site9")
    assert {row.site for row in yard.due(date(2027, 1, 1), site=key)} == {"SITE9"}
    assert yard.due(date(2027, 1, 1), site=yard_key(yard)) == []


def yard_key(desk: Desk) -> str:
    with desk.read() as connection:
        return known_site(connection, "YARD")


def test_a_day_set_back_never_puts_a_move_before_the_one_before_it(yard: Desk) -> None:
    move(yard, "L1", "Shed")
    move(yard.on(date(2026, 10, 1)), "L1", "Office")
    with yard.read() as connection:
        since = list(connection.execute(sa.select(Exposure.since).order_by(Exposure.seq)).scalars())
    assert since == sorted(since)
    assert TODAY in since

"""A decision tells what it does to the dates, takes the place of an earlier one, and ends back to the rulebook's."""

from dataclasses import replace
from datetime import date

import pytest

from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.words import Duty, Kind
from register.errors import Refused
from register.services.deciding import Decided, Deciding, decide, deciding, end_decision
from register.services.overrides import NewOverride
from register.services.places import known_site
from register.services.withdrawals.deeds import remove
from tests.desk import INSPECTION, SOUND, Desk
from tests.registers import TODAY

LEAD = Kind.EXTENSION_LEAD
TESTED = date(2026, 9, 1)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """Three leads in two areas of a workshop, all tested in September: due half a year later."""
    desk.site("YARD", "workshop")
    for tag, area in (("L1", "Shed"), ("L2", "Shed"), ("L3", "Loft")):
        desk.on(TESTED).item(tag, LEAD, area=area)
        desk.on(TESTED).test(tag, duties=(INSPECTION,), readings=SOUND)
    return desk


def said(desk: Desk, scope: Scope, interval: str = "P12M", **rest: object) -> NewOverride:
    made = NewOverride(
        scope=scope, target_id=target(desk, scope), duty=INSPECTION, interval=Interval.parse(interval),
        reason="hardly used", approver="Ona Petrie", approved_on=TODAY, review_on=date(2028, 1, 1),
    )  # fmt: skip
    return replace(made, **rest)


def target(desk: Desk, scope: Scope) -> str:
    if scope is Scope.ITEM:
        return desk.id("L1")
    if scope is Scope.AREA:
        return desk.area("YARD", "Shed")
    with desk.read() as connection:
        return known_site(connection, "YARD")


def do(desk: Desk, new: NewOverride) -> Decided:
    with desk.change() as change:
        return decide(change, new)


def about(desk: Desk, scope: Scope) -> Deciding:
    with desk.read() as connection:
        return deciding(connection, scope, target(desk, scope))


@pytest.mark.parametrize(
    ("scope", "items", "name", "more"),
    [(Scope.ITEM, 1, "L1", "extension lead"), (Scope.AREA, 2, "Shed", "Yard"), (Scope.SITE, 3, "YARD", "Yard")],
)
def test_what_is_decided_tells_of_every_date_it_moves(
    yard: Desk, scope: Scope, items: int, name: str, more: str
) -> None:
    before = about(yard, scope)
    assert (before.name, before.items, before.in_force) == (name, items, {})
    assert before.about.casefold().startswith(more.casefold())
    assert INSPECTION in before.duties
    assert do(yard, said(yard, scope)) == Decided(items, 0, items, date(2027, 9, 1))
    (held,) = about(yard, scope).in_force.items()
    assert (held[0], held[1].interval, held[1].approver) == (INSPECTION, Interval.parse("P12M"), "Ona Petrie")
    assert yard.faults() == ()


def test_another_decision_takes_the_place_of_the_one_that_holds(yard: Desk) -> None:
    do(yard, said(yard, Scope.SITE, "P1M"))
    assert do(yard, said(yard, Scope.SITE, "P2M")) == Decided(3, 0, 3, date(2026, 11, 1))
    assert yard.events()[-2:] == ["override:end", "override:add"]
    assert about(yard, Scope.SITE).in_force[INSPECTION].interval == Interval.parse("P2M")


def test_a_decision_ends_back_to_the_rulebooks_interval_with_a_reason(yard: Desk) -> None:
    do(yard, said(yard, Scope.ITEM, "P1M"))
    with yard.change() as change:
        ended = end_decision(change, Scope.ITEM, yard.id("L1"), INSPECTION, "moved to dry storage")
    assert ended == Decided(1, 0, 1, date(2027, 3, 1))
    assert about(yard, Scope.ITEM).in_force == {}
    with pytest.raises(Refused, match="No decision holds for"), yard.change() as change:
        end_decision(change, Scope.ITEM, yard.id("L1"), INSPECTION, "again")


def test_a_decision_of_the_site_leaves_what_is_decided_nearer_to_the_item(yard: Desk) -> None:
    do(yard, said(yard, Scope.ITEM, "P1M"))
    do(yard, said(yard, Scope.SITE, "P12M"))
    assert yard.dates("L1")["inspection-and-test"] == date(2026, 10, 1)
    assert yard.dates("L3")["inspection-and-test"] == date(2027, 9, 1)


def test_nothing_is_decided_for_an_item_that_was_removed_for_good(yard: Desk) -> None:
    with yard.change() as change:
        remove(change, yard.id("L1"), reason="scrapped")
    with pytest.raises(Refused, match="L1 was removed for good"):
        do(yard, said(yard, Scope.ITEM))
    assert do(yard, said(yard, Scope.AREA)).items == 1


def test_a_place_with_nothing_in_it_yet_can_be_decided_for(desk: Desk) -> None:
    desk.site("YARD", "workshop")
    assert set(about(desk, Scope.AREA).duties) == {INSPECTION, Duty.OPERATING_TIME, Duty.FORMAL_VISUAL}
    assert do(desk, said(desk, Scope.AREA)).words == "No date changes now."


@pytest.mark.parametrize(
    ("done", "words"),
    [
        (Decided(1, 1, 0, date(2026, 12, 1)), "1 of 1 item gets another date, 1 earlier. The first of them is "),
        (Decided(40, 10, 2, date(2026, 12, 1)), "12 of 40 items get another date, 10 earlier and 2 later. The first"),
        (Decided(2, 0, 2, None), "2 of 2 items get another date, 2 later."),
    ],
)
def test_what_it_does_is_said_in_a_sentence(done: Decided, words: str) -> None:
    assert done.words.startswith(words)

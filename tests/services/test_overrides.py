"""Another interval needs a decision, never runs past a rule that binds, and lapses or ends back to the rulebook's."""

from dataclasses import replace
from datetime import date

import pytest

from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.words import Kind
from register.errors import Refused
from register.services.moves import move_item
from register.services.overrides import NewOverride, add_override, end_override
from register.services.places import known_site
from tests.desk import INSPECTION, SOUND, Desk
from tests.registers import TODAY

LEAD = Kind.EXTENSION_LEAD
TESTED = date(2026, 9, 1)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A lead in a workshop, tested in September: due half a year later; and one on a building site, three months."""
    desk.site("YARD", "workshop")
    desk.site("SITE9", "construction")
    for tag, site in (("L1", "YARD"), ("C1", "SITE9")):
        desk.on(TESTED).item(tag, LEAD, site=site, area="Shed")
        desk.on(TESTED).test(tag, duties=(INSPECTION,), readings=SOUND)
    return desk


def decision(desk: Desk, target: str = "L1", interval: str = "P12M", **rest: object) -> NewOverride:
    made = NewOverride(
        scope=Scope.ITEM, target_id=desk.id(target), duty=INSPECTION, interval=Interval.parse(interval),
        reason=" hardly used ", approver="Ona Petrie", approved_on=TODAY, review_on=date(2028, 1, 1),
    )  # fmt: skip
    return replace(made, **rest)


def add(desk: Desk, made: NewOverride) -> str:
    with desk.change() as change:
        return add_override(change, made)


def due(desk: Desk, tag: str = "L1") -> date | None:
    return desk.dates(tag)["inspection-and-test"]


def test_a_longer_interval_counts_and_explains_itself(yard: Desk) -> None:
    add(yard, decision(yard))
    assert due(yard) == date(2027, 9, 1)
    assert yard.answer("L1").duties[0].why[:2] == (
        "Last done 1 Sep 2026, every 12 months by decision of Ona Petrie: due 1 Sep 2027.",
        "Decided on 20 Nov 2026 for this item: hardly used.",
    )
    assert yard.events()[-1] == "override:add"
    assert yard.faults() == ()


def test_a_longer_interval_lapses_at_its_review(yard: Desk) -> None:
    add(yard, decision(yard, review_on=date(2027, 5, 1)))
    assert due(yard) == date(2027, 5, 1)


def test_a_shorter_interval_counts_at_once(yard: Desk) -> None:
    add(yard, decision(yard, interval="P1M", review_on=date(2027, 1, 1)))
    assert due(yard) == date(2026, 10, 1)


@pytest.mark.parametrize("scope", [Scope.SITE, Scope.AREA])
def test_a_decision_for_a_site_or_an_area_holds_for_its_items(yard: Desk, scope: Scope) -> None:
    with yard.read() as connection:
        site = known_site(connection, "YARD")
    target = site if scope is Scope.SITE else yard.area("YARD", "Shed")
    add(yard, decision(yard, scope=scope, target_id=target))
    assert (due(yard), due(yard, "C1")) == (date(2027, 9, 1), date(2026, 12, 1))
    yard.on(TESTED).item("L2", LEAD, area="Shed")
    yard.test("L2", TESTED, duties=(INSPECTION,), readings=SOUND)
    assert due(yard, "L2") == date(2027, 9, 1), "items entered later as well"


@pytest.mark.parametrize("scope", [Scope.SITE, Scope.AREA])
def test_the_date_of_an_item_that_left_the_place_follows_until_it_is_tested_again(yard: Desk, scope: Scope) -> None:
    yard.site("DEPOT", "workshop")
    target, gate = yard.area("YARD", "Shed"), yard.area("DEPOT", "Gate")
    with yard.change() as change:
        move_item(change, yard.id("L1"), gate)
        site = known_site(change.session.connection(), "YARD")
    key = add(yard, decision(yard, scope=scope, target_id=site if scope is Scope.SITE else target, interval="P1M"))
    assert due(yard) == date(2026, 10, 1)
    assert yard.faults() == ()
    with yard.change() as change:
        end_override(change, key, "a mistake")
    assert due(yard) == date(2027, 3, 1)
    assert yard.faults() == ()


def test_an_item_that_left_the_place_hinders_no_decision_about_it(yard: Desk) -> None:
    hall, shed = yard.area("YARD", "Hall"), yard.area("SITE9", "Shed")
    yard.on(TESTED).item("C2", LEAD, area="Hall")
    with yard.change() as change:
        move_item(change, yard.id("C2"), shed)
    add(yard, decision(yard, scope=Scope.AREA, target_id=hall))
    assert yard.faults() == ()


def test_the_decision_nearest_to_the_item_counts(yard: Desk) -> None:
    add(yard, decision(yard, scope=Scope.AREA, target_id=yard.area("YARD", "Shed"), interval="P24M"))
    add(yard, decision(yard, interval="P9M"))
    assert due(yard) == date(2027, 6, 1)


def test_an_ended_decision_falls_back_to_the_rulebook_at_once(yard: Desk) -> None:
    key = add(yard, decision(yard))
    with yard.change() as change:
        end_override(change, key, " used daily now ")
    assert due(yard) == date(2027, 3, 1)
    assert yard.events()[-1] == "override:end"
    assert yard.faults() == ()


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"reason": " "}, "Another interval needs its reason and the name of whoever approved it."),
        ({"approver": ""}, "Another interval needs its reason and the name of whoever approved it."),
        (
            {"approved_on": date(2026, 11, 21)},
            "The day of approval, 21 Nov 2026, is in the future. Give the day it was approved.",
        ),
        ({"review_on": date(2026, 11, 19)}, "The review date 19 Nov 2026 has passed. Give one still to come."),
        (
            {"target": "C1", "interval": "P4M"},
            "Inspection and test every 4 months is not possible: 3 months is a binding maximum by",
        ),
    ],
)
def test_a_decision_that_cant_stand_is_refused(yard: Desk, changed: dict[str, object], sentence: str) -> None:
    made = decision(yard, **changed)
    before = yard.events()
    with pytest.raises(Refused) as told:
        add(yard, made)
    assert str(told.value).startswith(sentence)
    assert yard.events() == before


def test_a_binding_maximum_is_held_for_a_whole_site_too(yard: Desk) -> None:
    with yard.read() as connection:
        site = known_site(connection, "SITE9")
    made = decision(yard, scope=Scope.SITE, target_id=site, interval="P6M")
    with pytest.raises(Refused, match="3 months is a binding maximum"):
        add(yard, made)


def test_up_to_the_binding_maximum_is_allowed(yard: Desk) -> None:
    add(yard, decision(yard, target="C1", interval="P3M"))
    assert due(yard, "C1") == date(2026, 12, 1)


@pytest.mark.parametrize(
    ("again", "reason", "sentence"),
    [
        (False, " ", "Ending another interval needs a reason."),
        (True, "twice", "That decision ended on 20 Nov 2026 already: once."),
    ],
)
def test_ending_a_decision_needs_a_reason_and_happens_once(
    yard: Desk, reason: str, sentence: str, *, again: bool
) -> None:
    key = add(yard, decision(yard))
    if again:
        with yard.change() as change:
            end_override(change, key, "once")
    with pytest.raises(Refused) as told, yard.change() as change:
        end_override(change, key, reason)
    assert str(told.value) == sentence

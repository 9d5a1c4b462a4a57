"""Changing and moving items by hand, and what becomes of their dates."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
import sqlalchemy as sa

from register.domain.items import SafetySwitch
from register.domain.words import Condition, Duty, Kind, SwitchType
from register.errors import Refused
from register.services.editing import (
    Changed,
    ItemFacts,
    ItemForm,
    change_item,
    enter_by_hand,
    item_form,
    move_to,
    moved_words,
)
from register.services.finding import find_items
from register.services.places import known_site
from register.services.withdrawals.deeds import remove
from register.store.tables import Item
from tests.desk import Desk


@pytest.fixture
def yard(desk: Desk) -> Desk:
    desk.site()
    desk.site("LOT", environment="construction")
    desk.item("RR-1", area="Loft", description="Switch", serial="7")
    desk.test("RR-1", date(2026, 11, 2))
    return desk


def form(desk: Desk, tag: str = "RR-1") -> ItemForm:
    with desk.read() as connection:
        return item_form(connection, desk.id(tag))


def save(desk: Desk, opened: ItemForm, facts: ItemFacts) -> Changed:
    with desk.change() as change:
        return change_item(change, opened.item_id, facts, version=opened.version)


def test_an_item_is_opened_as_it_was_entered(yard: Desk) -> None:
    opened = form(yard)

    assert (opened.tag, opened.area) == ("RR-1", "Loft")
    assert (opened.facts.kind, opened.facts.description) == (Kind.PORTABLE_SAFETY_SWITCH, "Switch")
    assert opened.facts.safety_switch is not None
    assert opened.facts.safety_switch.rated_residual_ma == Decimal(30)


def test_an_item_entered_by_hand_is_all_that_was_said_of_it(yard: Desk) -> None:
    facts = replace(form(yard).facts, description="Board by the door", serial="8-Z", outlets=4, moved_in_use=True)
    with yard.change() as change:
        site = known_site(change.session.connection(), "YARD")
        enter_by_hand(change, "RR-2", facts, site_id=site, area="Attic", since=date(2026, 11, 9), new=True)

    opened = form(yard, "RR-2")
    assert (opened.tag, opened.area, opened.facts) == ("RR-2", "Attic", facts)
    with yard.read() as connection:
        row = connection.execute(sa.select(Item.condition, Item.condition_since).where(Item.id == opened.item_id)).one()
    assert tuple(row) == (Condition.NEW, date(2026, 11, 9))
    assert yard.events()[-2:] == ["area:add", "item:add"]
    assert yard.faults() == ()


def test_what_was_changed_is_found_and_written_in_the_history(yard: Desk) -> None:
    opened = form(yard)

    save(yard, opened, replace(opened.facts, description="Board by the door", serial="8-Z", outlets=4))

    assert form(yard).facts.outlets == 4
    with yard.read() as connection:
        assert [each.tag for each in find_items(connection, "door 8-z", 5)] == ["RR-1"]
        assert find_items(connection, "switch 7", 5) == []
    assert yard.events()[-1] == "item:change"
    assert yard.faults() == ()


def test_saving_what_is_the_same_writes_nothing(yard: Desk) -> None:
    opened, before = form(yard), len(yard.events())

    changed = save(yard, opened, opened.facts)

    assert len(yard.events()) == before
    assert changed.moved == ()
    assert moved_words(changed) == ""


def test_a_harsher_class_brings_the_dates_forward_and_says_so(yard: Desk) -> None:
    opened = form(yard)

    changed = save(yard, opened, replace(opened.facts, environment="construction"))

    moved = {duty.duty: (duty.before, duty.after) for duty in changed.moved}
    assert moved[Duty.INSPECTION_AND_TEST] == (date(2027, 5, 2), date(2027, 2, 2))
    assert "inspection and test now 2 Feb 2027 (was 2 May 2027)" in moved_words(changed)
    assert yard.faults() == ()


def test_somebody_who_changed_it_in_the_meantime_is_not_overwritten(yard: Desk) -> None:
    first, second = form(yard), form(yard)
    save(yard, first, replace(first.facts, description="By the first"))

    with pytest.raises(Refused, match="changed by somebody else"):
        save(yard, second, replace(second.facts, description="By the second"))

    assert form(yard).facts.description == "By the first"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"outlets": 49}, "49 outlets"),
        ({"environment": "submarine"}, "no environment class"),
        ({"safety_switch": SafetySwitch(Decimal(100), SwitchType.II)}, "recorded as 100 mA"),
    ],
)
def test_facts_that_cannot_be_are_refused(yard: Desk, change: dict[str, object], why: str) -> None:
    opened = form(yard)

    with pytest.raises(Refused, match=why):
        save(yard, opened, replace(opened.facts, **change))  # type: ignore[arg-type]


def test_a_removed_item_is_not_changed(yard: Desk) -> None:
    with yard.change() as change:
        remove(change, yard.id("RR-1"), reason="scrapped")
    opened = form(yard)

    with pytest.raises(Refused, match="removed for good"):
        save(yard, opened, replace(opened.facts, serial="9"))


def test_a_rehearsed_move_tells_the_new_dates_and_changes_nothing(yard: Desk) -> None:
    opened = form(yard)
    with yard.change(keep=False) as change:
        lot = known_site(change.session.connection(), "LOT")
        rehearsed = move_to(change, opened.item_id, lot, "Hoist", version=opened.version)

    assert (rehearsed.site, rehearsed.area) == ("Lot of the bay", "Hoist")
    assert {duty.duty: duty.after for duty in rehearsed.moved}[Duty.INSPECTION_AND_TEST] == date(2027, 2, 2)
    assert form(yard) == opened
    assert yard.dates("RR-1")["inspection-and-test"] == date(2027, 5, 2)

    with yard.change() as change:
        kept = move_to(change, opened.item_id, lot, "Hoist", version=opened.version)

    assert kept == rehearsed
    assert form(yard).area == "Hoist"
    assert yard.faults() == ()

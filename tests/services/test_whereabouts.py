"""Items that are not found, repaired or replaced: what becomes of their dates, and what both cards say."""

from datetime import date, timedelta

import pytest

from register.domain.words import Kind, Standing, WithdrawalReason
from register.errors import Refused
from register.services.repairs import Repair, repaired, repairs
from register.services.replacing import Neighbour, replace_item, succession
from register.services.whereabouts import found_again, mark_missing
from register.services.withdrawals.deeds import remove, withdraw
from tests.desk import INSPECTION, SOUND, WHOLE, Desk
from tests.registers import TODAY

SEPTEMBER = date(2026, 9, 1)
DAY = timedelta(days=1)
LEAD = Kind.EXTENSION_LEAD


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A lead in a workshop's shed, tested in September."""
    desk.site()
    desk.on(SEPTEMBER).item("L1", LEAD, area="Shed", description="Blue lead")
    desk.on(SEPTEMBER).test("L1", duties=(INSPECTION,), readings=SOUND)
    return desk


def test_a_missing_item_keeps_its_dates_and_is_asked_for_until_it_is_found(yard: Desk) -> None:
    due = yard.answer("L1").next_due
    with yard.on(TODAY - DAY).change() as change:
        mark_missing(change, yard.id("L1"))
    with yard.change() as change:
        again = mark_missing(change, yard.id("L1"))
    assert again.missing_since == TODAY - DAY, "the first day that it was missed counts"
    answer = yard.answer("L1")
    assert (answer.not_found_on, answer.next_due, answer.standing) == (TODAY - DAY, due, Standing.IN_SERVICE)
    assert yard.planned("L1")
    with yard.change() as change:
        found_again(change, yard.id("L1"))
    assert yard.answer("L1").not_found_on is None
    with pytest.raises(Refused, match="not marked as not found"), yard.change() as change:
        found_again(change, yard.id("L1"))


def test_a_test_finds_a_missing_item_by_itself(yard: Desk) -> None:
    with yard.change() as change:
        mark_missing(change, yard.id("L1"))
    yard.test("L1", duties=(INSPECTION,), readings=SOUND)
    assert yard.answer("L1").not_found_on is None


def test_nobody_looks_for_a_removed_item(yard: Desk) -> None:
    with yard.change() as change:
        remove(change, yard.id("L1"), reason="scrapped")
    for deed in (mark_missing, found_again):
        with pytest.raises(Refused, match="removed for good"), yard.change() as change:
            deed(change, yard.id("L1"))


def test_a_repair_is_kept_and_a_complete_pass_after_it_brings_the_item_back(yard: Desk) -> None:
    with yard.on(TODAY - 3 * DAY).change() as change:
        withdraw(change, yard.id("L1"), reason=WithdrawalReason.DAMAGED, tag_number="O-1")
    repair = Repair(TODAY - DAY, " The  workshop ", "new plug")
    with yard.change() as change:
        repaired(change, yard.id("L1"), repair)
    with yard.read() as connection:
        assert repairs(connection, yard.id("L1")) == (Repair(TODAY - DAY, "The workshop", "new plug"),)
    assert yard.answer("L1").standing is Standing.WITHDRAWN, "a repair alone brings nothing back"
    assert yard.planned("L1"), "but it returns to the plan of visits"
    late = yard.test("L1", duties=(INSPECTION,), readings=SOUND, on=TODAY - 4 * DAY)
    assert not late.returned, "a pass from before the withdrawal counts for nothing"
    assert yard.test("L1", duties=(INSPECTION,), readings=SOUND).returned
    assert yard.answer("L1").standing is Standing.IN_SERVICE


@pytest.mark.parametrize(
    ("repair", "why"),
    [
        (Repair(TODAY, "", "new plug"), "needs who did it"),
        (Repair(TODAY, "The workshop", " "), "needs who did it"),
        (Repair(TODAY + DAY, "The workshop", "new plug"), "in the future"),
        (Repair(TODAY - 5 * DAY, "The workshop", "new plug"), "after the repair of"),
    ],
)
def test_a_repair_that_can_not_be_is_refused(yard: Desk, repair: Repair, why: str) -> None:
    with yard.on(TODAY - 3 * DAY).change() as change:
        withdraw(change, yard.id("L1"), reason=WithdrawalReason.DAMAGED, tag_number="O-1")
    with pytest.raises(Refused, match=why), yard.change() as change:
        repaired(change, yard.id("L1"), repair)


def test_an_item_is_replaced_by_another_of_its_kind_in_its_place(yard: Desk) -> None:
    with yard.change() as change:
        done = replace_item(change, yard.id("L1"), tag="L2", serial="77")
    old, new = yard.answer("L1"), yard.answer("L2")
    assert (old.standing, old.removed) == (Standing.REMOVED, "replaced by L2")
    assert (new.kind, new.description, new.area, new.serial) == (LEAD, "Blue lead", "Shed", "77")
    assert new.standing is Standing.UNTESTED
    with yard.read() as connection:
        assert succession(connection, done.old_id).replaced_by == Neighbour(done.new_id, "L2")
        assert succession(connection, done.new_id).replaces == Neighbour(done.old_id, "L1")


def test_a_safety_switch_is_replaced_with_what_its_plate_says(yard: Desk) -> None:
    yard.item("S1")
    with yard.change() as change:
        replace_item(change, yard.id("S1"), tag="S2", new=True)
    yard.test("S2", duties=WHOLE)
    assert yard.answer("S2").standing is Standing.IN_SERVICE


def test_what_can_not_be_replaced_stays_as_it_was(yard: Desk) -> None:
    yard.item("L9", LEAD)
    with pytest.raises(Refused, match="another item's"), yard.change() as change:
        replace_item(change, yard.id("L1"), tag="L9")
    assert yard.answer("L1").standing is Standing.IN_SERVICE
    with yard.change() as change:
        remove(change, yard.id("L1"), reason="scrapped")
    with pytest.raises(Refused, match="can't be replaced"), yard.change() as change:
        replace_item(change, yard.id("L1"), tag="L2")
    with pytest.raises(Refused, match="removed for good"), yard.change() as change:
        repaired(change, yard.id("L1"), Repair(TODAY, "The workshop", "new plug"))

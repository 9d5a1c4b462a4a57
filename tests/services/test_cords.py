"""A detachable cord is an item of its own beside its appliance, out of service at once where it is at fault."""

import pytest

from register.domain.look import CORD
from register.domain.words import Kind, Result, Standing
from register.errors import Refused
from register.services.before_withdrawing import withdrawing
from register.services.bench.on_bench import WRONG_AT_THE_LOOK
from register.services.cords import CordAsked, add_cord, cord_asked
from register.services.withdrawals.deeds import remove
from register.store.engine import Register
from tests.desk import INSPECTION, Desk


@pytest.fixture
def yard(register: Register) -> Desk:
    desk = Desk(register)
    desk.site()
    desk.item("K1", Kind.APPLIANCE_CLASS_1, area="Kitchen", description="Kettle")
    desk.item("P1")
    return desk


def asked(desk: Desk, tag: str) -> CordAsked:
    with desk.read() as connection:
        return cord_asked(connection, desk.id(tag))


def test_the_cord_stands_beside_its_appliance_and_names_it(yard: Desk) -> None:
    assert asked(yard, "K1") == CordAsked(possible=True, wrong=False)
    with yard.change() as change:
        made = add_cord(change, yard.id("K1"), "c-1")
    cord = yard.answer("C-1")
    assert (made.tag, made.out) == ("C-1", "")
    assert (cord.kind, cord.area, cord.description) == (Kind.CORD_SET, "Kitchen", "Detachable cord of K1")
    assert cord.standing is Standing.UNTESTED
    assert asked(yard, "K1") == CordAsked(possible=False, wrong=False)
    assert yard.faults() == ()


def test_a_cord_at_fault_is_out_of_service_at_once(yard: Desk) -> None:
    yard.withdraw("K1")
    with yard.change() as change:
        add_cord(change, yard.id("K1"), "C-1", out="OUT-2")
    out = yard.answer("C-1").withdrawn
    assert out is not None
    assert (out.tag_number, out.detail) == ("OUT-2", "Detachable cord of K1: at fault.")
    assert yard.faults() == ()


def test_a_look_that_found_the_cord_wrong_is_remembered(yard: Desk) -> None:
    yard.test("K1", duties=(INSPECTION,), readings=(), look=Result.FAIL, remarks=f"{WRONG_AT_THE_LOOK}{CORD.title}.")
    assert asked(yard, "K1") == CordAsked(possible=True, wrong=True)
    with yard.read() as connection:
        assert withdrawing(connection, yard.id("K1"), yard.today).cord.wrong


def test_what_has_no_detachable_cord_or_has_it_already_is_refused(yard: Desk) -> None:
    assert not asked(yard, "P1").possible
    with yard.change() as change:
        add_cord(change, yard.id("K1"), "C-1")
    for tag in ("P1", "K1"):
        with pytest.raises(Refused, match="no detachable cord that could be added"), yard.change() as change:
            add_cord(change, yard.id(tag), "C-2")
    with yard.change() as change:
        remove(change, yard.id("C-1"), reason="scrapped")
    assert asked(yard, "K1").possible, "another cord can be added in its place"


def test_nothing_is_kept_where_the_out_of_service_tag_is_anothers(yard: Desk) -> None:
    yard.withdraw("P1", number="OUT-1")
    with pytest.raises(Refused, match="is on P1 already"), yard.change() as change:
        add_cord(change, yard.id("K1"), "C-1", out="OUT-1")
    assert asked(yard, "K1").possible

"""Codes that no item has: set aside at once, entered with two facts or dropped later."""

import pytest

from register.domain.words import Kind
from register.errors import Refused
from register.services.bench.aside import codes_aside, drop_code, enter_code, set_aside
from tests.desk import Desk


def waiting(desk: Desk) -> list[str]:
    with desk.read() as connection:
        return [each.code for each in codes_aside(connection)]


def test_a_code_is_set_aside_once_and_says_where_it_was_scanned(desk: Desk) -> None:
    site = desk.site()
    area = desk.area(name="Slipway")
    with desk.change() as change:
        first = set_aside(change, " qe 0192\u202e", site, area)
        assert set_aside(change, "QE 0192") == first
        set_aside(change, "QE 0193")
    with desk.read() as connection:
        newest, found = codes_aside(connection)
    assert newest.code == "QE 0193"
    assert (found.code, found.site, found.area) == ("QE 0192", "Yard of the bay", "Slipway")
    assert desk.events()[-2:] == ["code:aside", "code:aside"]


def test_an_unknown_code_becomes_an_item_with_two_facts(desk: Desk) -> None:
    site = desk.site()
    with desk.change() as change:
        set_aside(change, "QE 0192", site)
        enter_code(change, "QE 0192", Kind.EXTENSION_LEAD, "Lead of 20 m", site, "Slipway")
    assert waiting(desk) == []
    assert desk.answer("QE 0192").description == "Lead of 20 m"
    assert desk.faults() == ()


def test_a_code_that_is_dropped_waits_no_longer_and_may_come_again(desk: Desk) -> None:
    with desk.change() as change:
        set_aside(change, "QE 0192")
        assert drop_code(change, "qe 0192")
        assert not drop_code(change, "qe 0192")
    assert waiting(desk) == []
    with desk.change() as change:
        set_aside(change, "QE 0192")
    assert waiting(desk) == ["QE 0192"]


def test_a_code_that_an_item_got_elsewhere_waits_no_longer(desk: Desk) -> None:
    desk.site()
    with desk.change() as change:
        set_aside(change, "RR-9")
    desk.item("RR-9")
    assert waiting(desk) == []


def test_nothing_is_entered_where_it_can_not_be(desk: Desk) -> None:
    site = desk.site()
    desk.item("RR-9")
    with pytest.raises(Refused, match="RR-9"), desk.change() as change:
        enter_code(change, "RR-9", Kind.CORD_SET, "", site, "")
    with pytest.raises(Refused, match="no longer in the register"), desk.change() as change:
        enter_code(change, "RR-8", Kind.CORD_SET, "", "0" * 32, "")
    with pytest.raises(Refused, match="tag is empty"), desk.change() as change:
        set_aside(change, "\0\u202e")

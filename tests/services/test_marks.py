"""The user's own duties are noted on somebody's word, the contractor's never are."""

from datetime import date

import pytest
import sqlalchemy as sa

from register.domain.words import Condition, Duty, Kind
from register.errors import Refused
from register.services.items import find_item
from register.services.marks import Marked, mark_done
from register.services.withdrawals.deeds import remove
from register.store.tables import Event
from tests.desk import OPERATING, QUICK, Desk
from tests.registers import TODAY

PRESS = Duty.BUTTON_PRESS


@pytest.fixture
def hotel(desk: Desk) -> Desk:
    """A hotel's switch, whose button is pressed every six months, and a hired one."""
    desk.site("HOTEL", "residential")
    desk.site("HIRE", "hire")
    desk.item("P1", site="HOTEL")
    desk.item("H1", site="HIRE")
    desk.item("L1", Kind.EXTENSION_LEAD, site="HOTEL")
    return desk


def mark(desk: Desk, tag: str, duty: Duty, on: date) -> Marked:
    with desk.change() as change:
        return mark_done(change, find_item(change.session.connection(), tag), duty, on)


def press_due(desk: Desk) -> date | None:
    return next(each.due for each in desk.answer("P1").duties if each.duty is PRESS)


def test_a_press_counts_from_its_day(hotel: Desk) -> None:
    assert press_due(hotel) is None
    marked = mark(hotel, "P1", PRESS, date(2026, 8, 31))
    assert (marked.tag, marked.known, marked.due) == ("P1", False, date(2027, 2, 28))
    assert press_due(hotel) == date(2027, 2, 28)
    assert next(each.why for each in hotel.answer("P1").duties if each.duty is PRESS)[0] == (
        "Last done 31 Aug 2026 (as reported), every 6 months (Residential type): due 28 Feb 2027."
    )
    assert hotel.faults() == ()


def test_the_same_report_twice_changes_nothing(hotel: Desk) -> None:
    mark(hotel, "P1", PRESS, TODAY)
    before = hotel.events()
    assert mark(hotel, "P1", PRESS, TODAY).known
    assert hotel.events() == before


def test_an_older_report_moves_no_date(hotel: Desk) -> None:
    mark(hotel, "P1", PRESS, TODAY)
    marked = mark(hotel, "P1", PRESS, date(2026, 1, 1))
    assert (marked.known, marked.due) == (False, press_due(hotel))
    assert press_due(hotel) == date(2027, 5, 20)


def test_the_operating_time_test_presses_the_button_as_well(hotel: Desk) -> None:
    mark(hotel, "P1", PRESS, date(2026, 1, 1))
    hotel.test("P1", TODAY, duties=(OPERATING,), readings=QUICK)
    assert press_due(hotel) == date(2027, 5, 20)
    mark(hotel, "P1", PRESS, date(2026, 11, 19))
    assert press_due(hotel) == date(2027, 5, 20), "the test came after that"


def test_a_duty_of_occasions_is_noted_without_a_date(hotel: Desk) -> None:
    assert mark(hotel, "H1", Duty.LOOK_BEFORE_HIRE, TODAY).due is None


def test_the_event_says_who_told_it_and_the_day_as_a_date(hotel: Desk) -> None:
    mark(hotel, "P1", PRESS, TODAY)
    with hotel.read() as connection:
        row = connection.execute(sa.select(Event.name, Event.data).order_by(Event.seq.desc())).first()
    assert row.name == "mark:add"
    assert '"on":"2026-11-20"' in row.data


@pytest.mark.parametrize(
    ("tag", "duty", "on", "sentence"),
    [
        (
            "P1", OPERATING, TODAY,
            ("The operating-time test of P1 needs a test record with what was seen and measured. Record it instead of"
            " marking it done."),
        ),
        (
            "P1", Duty.LOOK_BEFORE_HIRE, TODAY,
            "P1 has no look before hire to do. Its duties are: inspection-and-test, operating-time, button-press.",
        ),
        ("L1", PRESS, TODAY, "L1 has no test-button press to do. Its duties are: inspection-and-test."),
        (
            "P1", PRESS, date(2026, 11, 21),
            "The date 21 Nov 2026 is in the future: today is 20 Nov 2026. Give the day it was done.",
        ),
        (
            "P1", PRESS, date(1989, 12, 31),
            "The date 31 Dec 1989 is before 1990. Check the year, and confirm it if it is right.",
        ),
    ],
)  # fmt: skip
def test_a_report_that_cant_be_is_refused(hotel: Desk, tag: str, duty: Duty, on: date, sentence: str) -> None:
    before = hotel.events()
    with pytest.raises(Refused) as told:
        mark(hotel, tag, duty, on)
    assert str(told.value) == sentence
    assert hotel.events() == before


def test_nothing_is_due_on_a_removed_item(hotel: Desk) -> None:
    with hotel.change() as change:
        remove(change, find_item(change.session.connection(), "P1"), reason="scrapped")
    with pytest.raises(Refused, match="P1 was removed for good, so nothing is due on it"):
        mark(hotel, "P1", PRESS, TODAY)


def test_an_item_out_of_scope_has_no_duty_to_mark(hotel: Desk) -> None:
    hotel.item("BIG", site="HOTEL", condition=Condition.OUT_OF_SCOPE)
    with pytest.raises(Refused, match=r"BIG has no test-button press to do\. Its duties are: none\."):
        mark(hotel, "BIG", PRESS, TODAY)

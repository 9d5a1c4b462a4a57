"""What is wrong at the bench is said in a sentence where it stands, and whatever was typed stays."""

from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from register.domain.records import Place
from register.domain.words import Check
from register.services import people
from register.services.settings import set_setting
from register.services.withdrawals.deeds import remove
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.hand import Hand
from ui.bench.became import Became

POLARITY, EARTH = Place(Check.POLARITY, 2), Place(Check.EARTH_RESISTANCE, 2)


@pytest.fixture
def begun(hand: Hand, desk: Desk) -> Hand:
    """A switch of two outlets half-typed on the bench, in the yard; the mill is another site."""
    desk.site("MILL")
    desk.item("ML-1", site="MILL", description="Lead of the mill")
    old = desk.item("RR-9", area="Loft", description="Old grinder")
    with desk.change() as change:
        remove(change, old, reason="scrapped")
    hand.page.sheet.crew.tester.setEditText("Asha Pell")
    hand.page.sheet.crew.instrument.setEditText("VT-2")
    hand.scan("RR-1")
    hand.tick_all()
    hand.type("28.4")
    return hand


@pytest.mark.parametrize(
    ("code", "became", "said"),
    [
        ("ML-1", Became.ELSEWHERE, "ML-1 belongs to Mill of the bay"),
        ("RR-9", Became.REFUSED, "RR-9 was removed for good, so no test can be recorded on it. Check the tag."),
        ("QE 0192", Became.UNKNOWN, "No item has or had the tag QE 0192."),
        ("7" * 200, Became.REFUSED, "characters"),
    ],
)
def test_a_tag_that_leads_nowhere_leaves_what_is_typed(begun: Hand, code: str, became: Became, said: str) -> None:
    before = dict(begun.page.session.sheet.typed)
    begun.scan(code)
    assert said in begun.page.line.said
    assert begun.page.scans._scans[0].became is became
    assert begun.page.session.item is not None
    assert begun.page.session.item.tag == "RR-1"
    assert begun.page.session.sheet.typed == before


def test_a_reading_in_the_wrong_unit_is_said_and_is_not_saved(
    begun: Hand, desk: Desk, messages: RecordedMessages
) -> None:
    begun.type("31 mA")
    assert begun.at.startswith("Outlet 1 at 180°")
    assert "is in ms, not in “mA”" in begun.page.sheet.readings.fault.text()
    begun.save()
    assert "is in ms, not in “mA”" in messages.told[-1]
    assert "31 mA" in begun.page.session.sheet.typed.values()
    assert desk.answer("RR-1").last is None


def test_an_outlet_that_is_not_there_has_no_cell_and_its_readings_wait(begun: Hand) -> None:
    begun.page.sheet.readings.cells[EARTH].entry.setFocus()
    begun.type("0.2")
    field = begun.page.sheet.plate._outlets
    for count, there in (("1", False), ("2", True)):
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, count)
        begun.key(Qt.Key.Key_Tab)
        assert (EARTH in begun.page.sheet.readings.cells) is there
    assert begun.text(EARTH) == "0.2"


@pytest.mark.parametrize("count", ["0", "99", "two"])
def test_outlets_that_no_item_has_are_said_and_nothing_is_saved(
    begun: Hand, desk: Desk, messages: RecordedMessages, count: str
) -> None:
    field = begun.page.sheet.plate._outlets
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, count)
    begun.save()
    assert begun.page.sheet.plate.wrong
    assert messages.told[-1] == begun.page.sheet.plate.wrong
    assert field.text() == count
    assert desk.answer("RR-1").last is None


def test_where_a_calibration_ran_out_and_the_firm_refuses_the_typing_stays(
    begun: Hand, desk: Desk, messages: RecordedMessages
) -> None:
    with desk.change() as change:
        (device,) = people.instruments(change.session.connection())
        people.keep_instrument(change, device.serial, device.description, date(2026, 11, 10), opened=device)
        set_setting(change, "expired", "refuse")
    begun.save()
    assert "The calibration of VT-2 ran out on" in str(messages.failures[-1])
    assert "28.4" in begun.page.session.sheet.typed.values()
    assert desk.answer("RR-1").last is None


def test_the_same_refusal_stays_in_the_dialog_of_a_correction(
    begun: Hand, desk: Desk, messages: RecordedMessages
) -> None:
    record = desk.test("RR-4", readings=(), duties=())
    begun.key(Qt.Key.Key_Escape)
    begun.page.correcting.begin(record.id)
    begun.settle()
    begun.page.sheet.crew.instrument.setEditText("VT-2")
    with desk.change() as change:
        (device,) = [each for each in people.instruments(change.session.connection()) if each.serial == "VT-2"]
        people.keep_instrument(change, device.serial, device.description, date(2026, 11, 10), opened=device)
        set_setting(change, "expired", "refuse")
    begun.type("40")
    dialog = begun.dialog
    QTest.keyClicks(begun.focus, "typed wrongly")
    begun.press_key(dialog, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert dialog.isVisible()
    assert messages.failures == []
    dialog.reject()
    begun.come_back()
    assert "40" in begun.page.session.sheet.typed.values()

"""A licence or a calibration that ran out, said at the bench as of the test's own day: before, on saving, refused."""

from datetime import date

import pytest

from register.services import people
from register.services.settings import set_setting
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.hand import Hand
from ui.dates import shown

LICENSED, CALIBRATED = date(2026, 11, 20), date(2026, 11, 10)


@pytest.fixture
def expired(hand: Hand, desk: Desk) -> Hand:
    """Somebody at the bench whose licence and whose instrument's calibration ran out this month."""
    with desk.change() as change:
        connection = change.session.connection()
        (person,), (device,) = people.testers(connection), people.instruments(connection)
        people.keep_tester(change, person.name, person.licence, LICENSED, opened=person)
        people.keep_instrument(change, device.serial, device.description, CALIBRATED, opened=device)
    hand.page.refresh()
    hand.settle()
    return hand


def test_what_ran_out_is_said_as_of_the_day_of_the_test(expired: Hand) -> None:
    crew = expired.page.sheet.crew
    expired.scan("RR-4")
    assert crew._tester_until.text() == f"licence ran out {shown(LICENSED)}"
    assert crew._instrument_until.text() == f"calibration ran out {shown(CALIBRATED)}"

    crew.day.setText("2026-11-15")
    crew._date()
    assert crew._tester_until.text() == f"licence until {shown(LICENSED)}"
    assert crew._instrument_until.text() == f"calibration ran out {shown(CALIBRATED)}"

    crew.day.setText("2026-11-10")
    crew._date()
    assert crew._instrument_until.text() == f"calibration until {shown(CALIBRATED)}"


def test_a_record_that_is_saved_all_the_same_says_so(expired: Hand, desk: Desk, messages: RecordedMessages) -> None:
    expired.scan("RR-4")
    expired.tick_all()
    expired.type(">100")

    assert messages.told[-1].startswith("RR-4 saved: pass.")
    assert "The licence of Asha Pell ran out on" in messages.told[-1]
    assert "The calibration of VT-2 ran out on" in messages.told[-1]
    assert desk.answer("RR-4").last is not None


def test_where_the_firm_refuses_it_nothing_is_saved_and_the_typing_is_kept(
    expired: Hand, desk: Desk, messages: RecordedMessages
) -> None:
    with desk.change() as change:
        set_setting(change, "expired", "refuse")
    expired.scan("RR-4")
    expired.tick_all()
    expired.type(">100")

    said = [str(each) for each in (*messages.told, *messages.failures)]
    assert any("The settings of this register refuse such a test" in each for each in said)
    assert desk.answer("RR-4").last is None
    assert ">100" in expired.page.session.sheet.typed.values()

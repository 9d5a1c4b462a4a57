"""Entering readings at the bench: how few keys it takes, pasting, the other set-up, what carries over, the scanner."""

from datetime import timedelta
from decimal import Decimal

import pytest
import sqlalchemy as sa
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from register.domain.records import Place, ReadingPlan
from register.domain.words import Check, Kind, Result, SetUp
from register.services.bench.on_bench import AT_250_V
from register.store.tables import Record
from tests.desk import TYPE_II, Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.hand import Hand
from ui.bench.scanner import Ending, heard
from ui.bench.scanner_dialog import ScannerDialog
from ui.bench.setup_card import SetUpCard

MOST_KEYS = 25
ALT = Qt.KeyboardModifier.AltModifier


class Counting(QObject):
    """Counts the keys that are pressed, besides the digits of readings."""

    def __init__(self) -> None:
        super().__init__()
        self.keys = 0

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's own
        """Count each key once, where it has the cursor."""
        pressed = isinstance(event, QKeyEvent) and event.type() is QEvent.Type.KeyPress
        if pressed and watched is QApplication.focusWidget() and event.text() not in set("0123456789."):
            self.keys += 1
        return False


def test_a_full_record_of_a_switch_of_two_outlets_takes_few_keys(hand: Hand, desk: Desk) -> None:
    desk.site("DOCK", reading_plan=ReadingPlan((Decimal(1), Decimal(5)), ramp=True))
    desk.item("DK-1", site="DOCK", outlets=2, safety_switch=TYPE_II)
    hand.program.frame.go("bench")
    counting = Counting()
    hand.scan("DK-1")
    QApplication.instance().installEventFilter(counting)
    hand.tick_all()
    texts = {Check.TRIP_TIME: "24", Check.TRIP_CURRENT: "22", Check.EARTH_RESISTANCE: "0.2", Check.POLARITY: "r"}
    for cell in hand.page.session.live.cells:
        if cell.place.check is not Check.LEAKAGE_CURRENT:
            hand.type(texts.get(cell.place.check, "200"))
    QApplication.instance().removeEventFilter(counting)
    last = desk.answer("DK-1").last
    assert last is not None
    assert last.verdict is Result.PASS
    assert counting.keys + 1 <= MOST_KEYS, "with the scanner's Enter"


def test_a_column_of_a_spreadsheet_fills_the_cells_below_or_none(hand: Hand) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    clipboard = QApplication.clipboard()
    clipboard.setText("28.4\t31\r\n>300\tno trip\r\n")
    hand.key(Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    places = [Place(Check.TRIP_TIME, outlet, half, Decimal(1)) for outlet in (1, 2) for half in (0, 180)]
    assert [hand.text(place) for place in places] == ["28.4", "31", ">300", "no trip"]
    clipboard.setText("1\n2\n3\n4\n5\n6\n7\n8")
    hand.key(Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert "nothing was pasted" in hand.page.sheet.readings.fault.text()
    assert hand.text(places[0]) == "28.4"


@pytest.mark.parametrize(
    ("typed", "shown", "fault"),
    [
        ("28.4 ms", "28.4", ""),
        ("28,4", "28.4", ""),
        ("0.0284 s", "28.4", ""),
        ("28.4 mA", "28.4 mA", "is in ms, not in “mA”"),
        ("-4", "-4", "negative"),
    ],
)
def test_units_and_commas_are_read_and_a_wrong_unit_is_said_and_kept(
    hand: Hand, typed: str, shown: str, fault: str
) -> None:
    hand.scan("RR-2")
    hand.tick_all()
    hand.type(typed)
    text = hand.text(Place(Check.TRIP_TIME, 1, 0, Decimal(1)))
    assert text.rstrip("0") == shown
    assert fault in hand.page.sheet.readings.fault.text()


def test_no_reading_offers_the_other_set_up_and_asks_again_for_what_was_not_read(hand: Hand) -> None:
    hand.scan("RR-2")
    hand.tick_all()
    hand.type("24", "?")
    assert hand.page.sheet.set_up.try_other.isVisible()
    hand.key(Qt.Key.Key_O, ALT)
    assert hand.page.session.sheet.set_up is SetUp.DEVICE_FEEDS_TESTER
    assert hand.text(Place(Check.TRIP_TIME, 1, 0, Decimal(1))) == "24"
    assert hand.text(Place(Check.TRIP_TIME, 1, 180, Decimal(1))) == ""
    assert hand.at.startswith("Outlet 1 at 180°")
    assert not hand.page.sheet.set_up.try_other.isVisible()


def test_the_card_shows_both_ways_in_pictures_that_can_be_read_as_text(hand: Hand) -> None:
    hand.scan("RR-2")
    hand.key(Qt.Key.Key_F7)
    card = hand.dialog
    assert isinstance(card, SetUpCard)
    said = " ".join(
        each.accessibleDescription() for each in card.findChildren(QObject) if hasattr(each, "accessibleDescription")
    )
    assert "return lead leads from the device's outlet back" in said
    assert "transformer made for RCD testing" in said
    QTest.keyClick(card, Qt.Key.Key_Escape)


def test_what_is_pinned_carries_over_and_the_rest_is_asked_again(hand: Hand, desk: Desk) -> None:
    crew = hand.page.sheet.crew
    hand.scan("RR-4")
    crew.day.setText((desk.today - timedelta(days=1)).isoformat())
    crew._date()
    crew.pins["Instrument"].setChecked(False)
    hand.tick_all()
    hand.type(">100")
    last = desk.answer("RR-4").last
    assert last is not None
    assert last.tested_on == desk.today - timedelta(days=1)
    assert crew.tester.currentText() == "Asha Pell"
    assert crew.instrument.currentText() == ""
    assert hand.page.session.on == desk.today - timedelta(days=1)


def test_a_wrong_day_is_said_and_nothing_is_saved(hand: Hand, desk: Desk, messages: RecordedMessages) -> None:
    hand.scan("RR-4")
    hand.page.sheet.crew.day.setText("yesterday")
    hand.tick_all()
    hand.type(">100")
    assert "“yesterday” is not a day" in messages.told[-1]
    assert desk.answer("RR-4").last is None


def test_enter_in_the_field_of_the_tester_keeps_him_for_the_next_start(hand: Hand) -> None:
    hand.scan("RR-2")
    crew = hand.page.sheet.crew
    crew.tester.setFocus()
    crew.tester.setEditText("Noor Ives")
    hand.key(Qt.Key.Key_Return)
    assert hand.page.memory.now.tester == "Noor Ives"


def test_a_lead_that_is_too_long_is_said_beside_its_plate_and_fails(hand: Hand) -> None:
    hand.scan("RR-3")
    plate = hand.page.sheet.plate
    for field, text in ((plate._current, "10"), (plate._length, "30"), (plate._conductor, "1")):
        field.setText(text)
        plate.tell()
    assert "at most 25 m for 10 A and 1 mm²" in plate._length_said.text()
    hand.tick_all()
    assert hand.verdict == "Fail"
    assert hand.sentence == "Wrong at the look: Length for its size."


@pytest.mark.parametrize(
    ("sent", "ending", "prefix", "wrong"),
    [
        ("RR-123-YZ", Ending.ENTER, "", ""),
        ("rr-123-yz", Ending.TAB, "", ""),
        ("  RR-123-YZ ", Ending.CR_LF, "", ""),
        ("]C1RR-123-YZ", Ending.NONE, "]C1", ""),
        ("RRß123ßZY", Ending.ENTER, "", "German keyboard"),
        ("QE 7", Ending.ENTER, "", "not “RR-123-YZ”"),
    ],
)
def test_a_test_label_says_what_the_scanner_sends(sent: str, ending: Ending, prefix: str, wrong: str) -> None:
    found = heard("RR-123-YZ", sent, ending)
    assert found.scanner.ending is ending
    assert found.scanner.prefix == prefix
    assert wrong in found.wrong
    assert bool(wrong) == bool(found.wrong)


@pytest.mark.parametrize(
    ("suffix", "ending"),
    [
        ([Qt.Key.Key_Return], Ending.ENTER),
        ([Qt.Key.Key_Tab], Ending.TAB),
        ([Qt.Key.Key_Return, Qt.Key.Key_Return], Ending.CR_LF),
        ([], Ending.NONE),
    ],
)
def test_the_set_up_page_reads_one_label_and_remembers_what_arrived(
    hand: Hand, suffix: list[Qt.Key], ending: Ending
) -> None:
    hand.program.frame.deeds.do("bench.scanner")
    hand.settle()
    dialog = hand.dialog
    assert isinstance(dialog, ScannerDialog)
    with hand.qtbot.waitSignal(dialog.read.heard):
        QTest.keyClicks(dialog.read, "~rr-123-yz")
        for key in suffix:
            QTest.keyClick(dialog.read, key)
    hand.press_key(dialog, Qt.Key.Key_S, ALT)
    assert hand.page.memory.now.ending == ending.value
    assert hand.page.memory.now.prefix == "~"


def test_insulation_is_measured_at_250_volts_where_the_equipment_asks_for_it(hand: Hand, desk: Desk) -> None:
    hand.scan("RR-4")
    choice = hand.page.sheet.readings.voltage
    assert choice is not None
    assert (choice.isVisible(), choice.text()) == (True, "500 V")
    choice.setFocus()
    hand.key(Qt.Key.Key_Space)
    assert (choice.text(), choice.accessibleName()) == ("250 V", "Insulation is measured at 250 V d.c.")
    assert hand.page.session.sheet.insulation_v == 250
    hand.tick_all()
    hand.type(">100")
    with desk.read() as connection:
        assert connection.execute(sa.select(Record.remarks)).scalars().all() == [AT_250_V]
    hand.scan("RR-1")
    assert hand.page.session.sheet.insulation_v == 500


def test_an_appliance_shows_no_set_up(hand: Hand) -> None:
    hand.scan("RR-4")
    assert hand.page.session.item is not None
    assert hand.page.session.item.known.item.kind is Kind.APPLIANCE_CLASS_2
    assert not hand.page.sheet.set_up.isVisible()

"""The scanner at the bench: what becomes of a code, wherever it lands, and what a code can never do."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from register.domain.records import Place
from register.domain.words import Check, Kind
from register.services.bench.aside import codes_aside
from register.services.items import NewItem, enter_items
from tests.desk import INSPECTION, Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.hand import SCANNER_MS, Hand
from ui.bench.became import Became
from ui.bench.scanner import REPEAT_MS, Ending

ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier
FIRST = Place(Check.TRIP_TIME, 1, 0, Decimal(1))


@pytest.fixture
def mill(desk: Desk) -> Desk:
    """A second site with one item."""
    desk.site("MILL")
    desk.item("MM-1", Kind.APPLIANCE_CLASS_2, site="MILL", area="Shop", description="Drill")
    return desk


def lines(hand: Hand) -> list[tuple[str, Became]]:
    """The last scans with what became of each, the newest first."""
    return [(each.code, each.became) for each in hand.page.scans._scans]


def aside(desk: Desk) -> list[str]:
    with desk.read() as connection:
        return [each.code for each in codes_aside(connection)]


def test_an_item_that_is_found_is_told_by_word_and_sign_and_colour(hand: Hand) -> None:
    hand.scan("RR-1")
    assert hand.page.box.accessibleDescription() == "found RR-1, untested"
    assert lines(hand) == [("RR-1", Became.ON_BENCH)]


def test_what_was_done_today_is_told_and_tested_again_only_by_a_key(hand: Hand, desk: Desk) -> None:
    desk.test("RR-3", desk.today, duties=(INSPECTION,))
    hand.scan("RR-3")
    assert "done today already: pass" in hand.page.line.said
    assert hand.page.session.item is None
    assert lines(hand) == [("RR-3", Became.AGAIN)]
    hand.key(Qt.Key.Key_Return)
    assert hand.page.session.item is None
    hand.key(Qt.Key.Key_T, ALT)
    assert hand.page.session.item is not None


def test_a_code_stays_in_the_box_until_it_has_led_somewhere(hand: Hand, desk: Desk) -> None:
    desk.test("RR-3", desk.today, duties=(INSPECTION,))
    hand.scan("RR-3")
    assert hand.page.box.field.text() == "RR-3"
    hand.key(Qt.Key.Key_T, ALT)
    assert hand.page.session.item is not None
    assert hand.page.box.field.text() == ""


def test_an_item_of_another_site_is_moved_here_with_new_dates_or_tested_where_it_is(
    hand: Hand, mill: Desk, messages: RecordedMessages
) -> None:
    hand.scan("RR-1")
    hand.key(Qt.Key.Key_Escape)
    hand.scan("MM-1")
    assert "belongs to Mill of the bay, Shop" in hand.page.line.said
    assert lines(hand)[0] == ("MM-1", Became.ELSEWHERE)
    assert hand.page.session.item is None
    hand.key(Qt.Key.Key_T, ALT)
    assert hand.page.session.item is not None
    assert hand.page.session.item.site == "MILL"
    hand.key(Qt.Key.Key_Escape)
    hand.scan("MM-1")
    hand.key(Qt.Key.Key_M, ALT)
    assert any("MM-1 is moved to Yard of the bay, Slipway." in said for said in messages.told)
    assert hand.page.session.item is not None
    assert hand.page.session.item.site == "YARD"
    assert mill.faults() == ()


def test_an_unknown_code_becomes_an_item_by_two_fields_and_three_keys(hand: Hand, desk: Desk) -> None:
    hand.scan("RR-1")
    hand.key(Qt.Key.Key_Escape)
    hand.scan("QE 0192")
    assert lines(hand)[0] == ("QE 0192", Became.UNKNOWN)
    assert aside(desk) == ["QE 0192"]
    hand.key(Qt.Key.Key_N, ALT)
    QTest.keyClicks(hand.focus, "class")
    hand.key(Qt.Key.Key_Tab)
    QTest.keyClicks(hand.focus, "Kettle")
    hand.key(Qt.Key.Key_A, ALT)
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "QE 0192"
    answer = desk.answer("QE 0192")
    assert (answer.kind, answer.description, answer.area) == (Kind.APPLIANCE_CLASS_1, "Kettle", "Slipway")
    assert aside(desk) == []


def test_scanning_on_leaves_an_unknown_code_for_later(hand: Hand, desk: Desk) -> None:
    hand.scan("QE 0192")
    hand.scan("RR-2")
    assert hand.page.session.item is not None
    assert aside(desk) == ["QE 0192"]
    hand.key(Qt.Key.Key_F8)
    QTest.keyClick(hand.dialog, Qt.Key.Key_Return)
    assert hand.dialog.isVisible()
    hand.click(hand.dialog, "Let it go")
    assert aside(desk) == []


def test_nothing_is_entered_before_it_is_known_where_one_works(hand: Hand, desk: Desk) -> None:
    hand.scan("QE 0192")
    hand.key(Qt.Key.Key_N, ALT)
    hand.key(Qt.Key.Key_A, ALT)
    assert "F6" in hand.page.newcomer._wrong.text()
    hand.key(Qt.Key.Key_F6)
    hand.press_key(hand.dialog, Qt.Key.Key_Return, CTRL)
    assert "Yard of the bay" in hand.page.newcomer._place.text()
    hand.come_back()
    hand.key(Qt.Key.Key_N, ALT)
    hand.key(Qt.Key.Key_A, ALT)
    assert hand.page.session.item is not None
    assert aside(desk) == []


@pytest.mark.parametrize("suffix", [Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Tab])
def test_a_scan_that_lands_in_a_reading_goes_to_the_box_and_leaves_the_reading_as_it_was(
    hand: Hand, suffix: Qt.Key
) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    QTest.keyClicks(hand.focus, "28.4")
    hand.sends("RR-000002", suffix)
    hand.settle()
    assert hand.page.session.item is not None
    assert hand.page.session.sheet.typed[FIRST] == "28.4"
    assert lines(hand)[0][0] == "RR-000002"


def test_the_second_enter_of_a_scanner_that_sends_two_goes_no_further(hand: Hand, desk: Desk) -> None:
    desk.item("RR-00007", area="Slipway")
    hand.scan("RR-2")
    hand.tick_all()
    for letter in "RR-00007":
        hand.fast(letter)
    hand.fast(Qt.Key.Key_Return)
    hand.fast(Qt.Key.Key_Return)
    hand.settle()
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "RR-00007"
    assert hand.page.session.sheet.typed == {}


def test_the_same_code_within_two_seconds_is_taken_once_and_later_again(hand: Hand, desk: Desk) -> None:
    desk.test("RR-3", desk.today, duties=(INSPECTION,))
    hand.scan("RR-3")
    hand.sends("RR-3")
    hand.settle()
    assert len(lines(hand)) == 1
    hand.wait(REPEAT_MS)
    hand.sends("rr-3")
    hand.settle()
    assert [became for _code, became in lines(hand)] == [Became.AGAIN, Became.AGAIN]


HOSTILE: list[tuple[str, Callable[[Hand], None]]] = [
    ("ctrl+o", lambda hand: hand.fast(Qt.Key.Key_O, CTRL)),
    ("ctrl+q", lambda hand: hand.fast(Qt.Key.Key_Q, CTRL)),
    ("ctrl+enter", lambda hand: hand.fast(Qt.Key.Key_Return, CTRL)),
    ("ctrl+space", lambda hand: hand.fast(Qt.Key.Key_Space, CTRL)),
    ("esc", lambda hand: hand.fast(Qt.Key.Key_Escape)),
    ("alt+f4", lambda hand: hand.fast(Qt.Key.Key_F4, ALT)),
    ("alt+w", lambda hand: hand.fast(Qt.Key.Key_W, ALT)),
    ("f8", lambda hand: hand.fast(Qt.Key.Key_F8)),
]


@pytest.mark.parametrize("where", ["first", "within"])
@pytest.mark.parametrize("press", [press for _name, press in HOSTILE], ids=[name for name, _press in HOSTILE])
def test_a_control_key_in_a_code_fires_nothing(
    hand: Hand, messages: RecordedMessages, press: Callable[[Hand], None], where: str
) -> None:
    hand.scan("RR-2")
    fired: list[str] = []
    deeds = hand.program.frame.deeds
    for key, action in deeds.actions.items():
        action.triggered.connect(lambda _checked=False, key=key: fired.append(key))
    hand.key(Qt.Key.Key_F4)
    fired.clear()
    hand.wait(REPEAT_MS)
    if where == "first":
        press(hand)
        hand.sends_on("RR-1")
    else:
        hand.sends_on("RR")
        press(hand)
        hand.sends_on("-1")
    hand.fast(Qt.Key.Key_Return)
    hand.settle()
    assert fired == []
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "RR-1"
    assert hand.page.session.sheet.look == {}
    assert QApplication.activeModalWidget() is None
    assert messages.failures == []


@pytest.mark.parametrize("code", ["\0RR-1", "RR\u202e-1", "\u2066RR-1\u2069", "RR-1\u200b"])
def test_marks_that_can_not_be_seen_are_left_out_of_a_code(hand: Hand, code: str) -> None:
    hand.page.box.field.setText(code)
    hand.page.box.field.setModified(True)
    hand.key(Qt.Key.Key_Return)
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "RR-1"


def test_a_label_with_nothing_but_marks_or_far_too_much_is_refused_in_words(hand: Hand) -> None:
    hand.page.box.scanned.emit("\u202e\0")
    hand.settle()
    assert "The tag is empty" in hand.page.line.said
    hand.page.box.scanned.emit("X" * 200)
    hand.settle()
    assert "at most 64" in hand.page.line.said


def dialogs(hand: Hand) -> dict[str, Callable[[], None]]:
    """Every dialog that can open over the bench, by the key that opens it."""
    return {
        "withdraw": lambda: hand.key(Qt.Key.Key_W, ALT),
        "place": lambda: hand.key(Qt.Key.Key_F6),
        "aside": lambda: hand.key(Qt.Key.Key_F8),
        "connect": lambda: hand.key(Qt.Key.Key_F7),
        "scanner": lambda: hand.program.frame.deeds.do("bench.scanner"),
    }


@pytest.mark.parametrize("name", ["withdraw", "place", "aside", "connect", "scanner"])
def test_a_scan_into_a_dialog_confirms_nothing(hand: Hand, desk: Desk, name: str) -> None:
    hand.scan("QE 0192")
    hand.scan("RR-2")
    dialogs(hand)[name]()
    hand.settle()
    dialog = hand.dialog
    closed: list[int] = []
    dialog.finished.connect(closed.append)
    before = desk.events()
    stops = [each for each in dialog.findChildren(QWidget) if each.focusPolicy() & Qt.FocusPolicy.TabFocus]
    assert stops
    for stop in stops:
        stop.setFocus()
        hand.sends("RR-000001")
        QTest.keyClick(hand.focus, Qt.Key.Key_Return)
        hand.settle()
        assert closed == []
        assert dialog.isVisible()
    assert desk.events() == before


def test_the_box_takes_the_cursor_back_after_a_dialog_and_a_save(hand: Hand) -> None:
    hand.key(Qt.Key.Key_F6)
    QTest.keyClick(hand.dialog, Qt.Key.Key_Escape)
    hand.settle()
    assert hand.program.frame.focusWidget() is hand.page.box.field


def test_where_the_cursor_is_elsewhere_the_box_says_how_to_scan(hand: Hand) -> None:
    hand.scan("RR-2")
    assert hand.page.box.field.placeholderText() == "Scan any time"
    hand.key(Qt.Key.Key_F4)
    assert hand.page.box.field.placeholderText() == "Scan or type a tag"


def test_a_scanner_that_sends_nothing_at_the_end_has_ended_after_a_rest(hand: Hand, desk: Desk, qtbot: Any) -> None:  # noqa: ANN401
    desk.item("RR-00007", area="Slipway")
    hand.page.memory.keep(ending=Ending.NONE.value, prefix="~")
    hand.sends("~RR-00007", None)
    qtbot.waitUntil(lambda: hand.page.session.item is not None)
    hand.settle()
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "RR-00007"


def test_five_hundred_scans_are_taken_in_order_with_none_lost(hand: Hand, mill: Desk) -> None:
    """20 codes a second by the bench's own watch; here they come as fast as the machine sends them."""
    area, shop = mill.area(name="Slipway"), mill.area("MILL", "Shop")
    with mill.change() as change:
        lead = Kind.EXTENSION_LEAD
        here = [NewItem(f"N-{number:04}", area, lead, mill.today) for number in range(420)]
        there = [NewItem(f"M-{number:04}", shop, lead, mill.today) for number in range(10)]
        enter_items(change, here + there)
    hand.scan("RR-1")
    hand.key(Qt.Key.Key_Escape)
    codes = _five_hundred()
    seen: list[tuple[str, Became]] = []
    hand.page.scans.added.connect(lambda each: seen.append((each.code, each.became)))
    hand.page.box.field.setFocus()
    for code in codes:
        hand.wait(REPEAT_MS if code.startswith("again ") else 50 - 7 * SCANNER_MS)
        hand.sends_on(code.removeprefix("again "))
        hand.fast(Qt.Key.Key_Return)
    hand.qtbot.waitUntil(lambda: hand.program.jobs.idle, timeout=120_000)
    hand.settle()
    wanted = [code.removeprefix("again ") for code in codes]
    assert len(codes) == 500
    assert [code for code, _became in seen] == wanted
    unknown = [code for code in wanted if code.startswith("U-")]
    assert sorted(aside(mill)) == sorted(unknown)
    assert sum(became is Became.ELSEWHERE for _code, became in seen) == 10
    assert hand.page.scans.count == 501
    assert all(became is not Became.LOOKED_UP for _code, became in lines(hand))


@pytest.mark.parametrize("ends", [[Qt.Key.Key_Return], [Qt.Key.Key_Return, Qt.Key.Key_Return]], ids=["one", "two"])
def test_codes_that_come_without_any_pause_are_all_taken(hand: Hand, mill: Desk, ends: list[Qt.Key]) -> None:
    """A window that was held up gets all that was scanned meanwhile at once; some scanners send many codes at once."""
    for number in range(6):
        mill.item(f"N-{number}", Kind.EXTENSION_LEAD)
    hand.scan("RR-1")
    hand.key(Qt.Key.Key_Escape)
    seen: list[str] = []
    hand.page.scans.added.connect(lambda each: seen.append(each.code))
    hand.page.box.field.setFocus()
    hand.wait(50)
    for number in range(6):
        hand.sends_on(f"N-{number}")
        for end in ends:
            hand.fast(end)
    hand.settle()
    assert seen == [f"N-{number}" for number in range(6)]


def _five_hundred() -> list[str]:
    """Return 420 codes that are here, 50 of them once more, 20 unknown and 10 of another site, mixed."""
    codes: list[str] = []
    for number in range(420):
        codes.append(f"N-{number:04}")
        if number % 8 == 0 and number // 8 < 50:
            codes.append(f"again N-{number:04}")
        if number % 21 == 20:
            codes.append(f"U-{number:04}")
        if number % 42 == 41:
            codes.append(f"M-{number // 42:04}")
    return codes

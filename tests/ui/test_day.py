"""A day on site by keyboard alone, with a field pack on a laptop.

The place is chosen, fifty tags of mixed kinds are scanned, what fails is withdrawn, one item is new, one record is
taken back, one corrected, the tags are written, and in the evening the work is merged in the office, twice.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from register.domain.words import Check, Kind, Standing
from register.exchange.pack import open_pack, write_pack
from register.services.item_card import item_card
from register.services.items import NewItem, enter_items
from register.services.past_readings import CardRecord
from register.store.engine import open_register
from tests.desk import TYPE_II, Desk
from tests.ui.conftest import CLOCK, TODAY, RecordedMessages, let_go, settle
from tests.ui.hand import Hand
from tests.ui.tags_made import codes_in, pages_of
from ui.asking.withdraw import WithdrawDialog
from ui.bench.became import Became
from ui.bench.correcting import CorrectDialog
from ui.bench.place_dialog import PlaceDialog
from ui.look.widgets import Words
from ui.packs.deeds import offer
from ui.packs.merge import MergeDialog
from ui.pages import MAKERS
from ui.program import Program, assemble
from ui.tags.dialog import TagDialog

ALT, CTRL, SHIFT = (
    Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier,
)  # fmt: skip
GOOD = {
    Check.TRIP_TIME: "24", Check.TRIP_CURRENT: "22", Check.EARTH_RESISTANCE: "0.2", Check.POLARITY: "r",
    Check.INSULATION_RESISTANCE: ">100",
}  # fmt: skip
KINDS = (
    Kind.APPLIANCE_CLASS_2, Kind.EXTENSION_LEAD, Kind.APPLIANCE_CLASS_1, Kind.PORTABLE_SAFETY_SWITCH, Kind.CORD_SET,
)  # fmt: skip
FAILING = {"D-010", "D-033"}
TAGS = [f"D-{number:03}" for number in range(47)]
NEW = "QE 0192"
FURTHEST = 40
"""So many steps of Tab go round any dialog."""


@dataclass(frozen=True)
class Laptop:
    """The field register of the pack, and somebody at its bench."""

    desk: Desk
    hand: Hand
    messages: RecordedMessages


@pytest.fixture
def stocked(desk: Desk) -> Desk:
    """The office, with forty-seven items of mixed kinds on a site of their own beside the yard."""
    desk.site("QUAY")
    area = desk.area("QUAY", "Pontoon")
    with desk.change() as change:
        for number, tag in enumerate(TAGS):
            kind = KINDS[number % len(KINDS)]
            switch = TYPE_II if kind is Kind.PORTABLE_SAFETY_SWITCH else None
            enter_items(change, [NewItem(tag, area, kind, desk.today, safety_switch=switch)])
    return desk


@pytest.fixture
def laptop(qtbot: QtBot, stocked: Desk, tmp_path: Path) -> Iterator[Laptop]:
    """A pack of both sites, opened on a laptop without a network."""
    pack, path = tmp_path / "day.fieldpack", tmp_path / "field.register"
    facts = {"actor": "Asha Pell", "at": CLOCK.now(), "today": TODAY}
    write_pack(stocked.register, pack, sites=["QUAY", "YARD"], holder="Asha Pell", expires_on=TODAY, **facts)
    open_pack(pack, path, today=TODAY)
    field, messages = Desk(open_register(path), TODAY), RecordedMessages()
    made = assemble(field.register, CLOCK, MAKERS, actor="Asha Pell", messages=messages)
    offer(made, lambda _path: None)
    qtbot.addWidget(made.frame)
    made.frame.resize(1440, 900)
    made.frame.show()
    yield Laptop(field, Hand(qtbot, made, lambda: settle(qtbot, made.jobs)), messages)
    settle(qtbot, made.jobs)
    let_go(made.jobs)


# --- what the hand does ---


def awake(qtbot: QtBot, window: QWidget) -> None:
    """Give a window the keyboard, as a desktop does when it opens."""
    window.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is window and QApplication.focusWidget() is not None)


def reach(hand: Hand, dialog: QDialog, wanted: QWidget) -> None:
    """Go with Tab to a field of a dialog."""
    awake(hand.qtbot, dialog)
    for _step in range(FURTHEST):
        if hand.focus is wanted:
            return
        QTest.keyClick(hand.focus, Qt.Key.Key_Tab)
    raise AssertionError(f"{wanted.accessibleName()} can't be reached by Tab")


def answer(hand: Hand, dialog: QDialog, key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
    """Press the key of a dialog's deed, and come back to the window."""
    (button,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
    awake(hand.qtbot, dialog)
    hand.qtbot.waitUntil(button.isEnabled)
    with hand.qtbot.waitSignal(button.clicked, timeout=20_000):
        QTest.keyClick(dialog, key, modifier)
    hand.settle()
    hand.qtbot.waitUntil(lambda: QApplication.activeModalWidget() is None, timeout=20_000)
    awake(hand.qtbot, hand.program.frame)


def find(qtbot: QtBot, program: Program, words: str) -> None:
    """Do an action by its name."""
    awake(qtbot, program.frame)
    QTest.keyClick(program.frame, Qt.Key.Key_K, CTRL)
    qtbot.waitUntil(lambda: QApplication.activeModalWidget() is not None)
    dialog = QApplication.activeModalWidget()
    assert dialog is not None
    awake(qtbot, dialog)
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keyClicks(focus, words)
    settle(qtbot, program.jobs)
    QTest.keyClick(focus, Qt.Key.Key_Return)
    settle(qtbot, program.jobs)


def choose_place(hand: Hand, name: str) -> None:
    """Say where one works: the arrow leads to the site of this name, its first area is taken."""
    hand.key(Qt.Key.Key_F6)
    dialog = hand.dialog
    assert isinstance(dialog, PlaceDialog)
    reach(hand, dialog, dialog.place.site)
    for _step in range(dialog.place.site.count()):
        if not dialog.place.site.currentText().startswith(name):
            QTest.keyClick(hand.focus, Qt.Key.Key_Up)
    answer(hand, dialog, Qt.Key.Key_Return, CTRL)
    assert hand.page.scanning.at is not None
    assert hand.page.scanning.at.site_name.startswith(name)


def measure(hand: Hand, *, fails: bool = False) -> None:
    """Tick the look and type every reading that is asked for; the last Enter saves."""
    hand.tick_all()
    cells = [each.place for each in hand.page.session.live.cells if each.place.check is not Check.LEAKAGE_CURRENT]
    for place in cells:
        worst = fails and place.check is Check.INSULATION_RESISTANCE
        hand.type("0.1" if worst else GOOD[place.check])
    assert hand.page.session.item is None


def withdraw(hand: Hand, number: str) -> None:
    """Answer the dialog that a fail opens."""
    hand.qtbot.waitUntil(lambda: QApplication.activeModalWidget() is not None)
    dialog = hand.dialog
    assert isinstance(dialog, WithdrawDialog)
    reach(hand, dialog, dialog.number)
    QTest.keyClick(hand.focus, Qt.Key.Key_A, CTRL)
    QTest.keyClicks(hand.focus, number)
    answer(hand, dialog, Qt.Key.Key_W, ALT)


def create(hand: Hand, code: str) -> None:
    """Make an item of a code that no item has, and test it."""
    hand.scan(code)
    hand.key(Qt.Key.Key_N, ALT)
    QTest.keyClicks(hand.focus, "cord")
    hand.key(Qt.Key.Key_Tab)
    QTest.keyClicks(hand.focus, "Kettle cord")
    hand.key(Qt.Key.Key_A, ALT)
    measure(hand)


def elsewhere(hand: Hand) -> None:
    """Test an item of another site where it is."""
    hand.scan("RR-4")
    assert "belongs to Yard of the bay" in hand.page.line.said
    hand.key(Qt.Key.Key_T, ALT)
    measure(hand)


def correct(hand: Hand, tag: str, reading: str, reason: str) -> None:
    """Put the first reading of a record right that was made today."""
    hand.scan(tag)
    assert "done today already: pass" in hand.page.line.said
    hand.key(Qt.Key.Key_C, ALT)
    QTest.keyClick(hand.focus, Qt.Key.Key_A, CTRL)
    hand.type(reading)
    dialog = hand.dialog
    assert isinstance(dialog, CorrectDialog)
    reach(hand, dialog, dialog.reason)
    QTest.keyClicks(hand.focus, reason)
    answer(hand, dialog, Qt.Key.Key_Return, CTRL)


def write_tags(hand: Hand, messages: RecordedMessages, path: Path) -> str:
    """Write the tags of every item of the list into a PDF; return what the dialog says of them."""
    hand.key(Qt.Key.Key_2, CTRL)
    hand.key(Qt.Key.Key_Down)
    hand.key(Qt.Key.Key_A, CTRL)
    hand.key(Qt.Key.Key_P, CTRL | SHIFT)
    dialog = hand.dialog
    assert isinstance(dialog, TagDialog)
    said = dialog._said.text()
    messages.files.append(path)
    answer(hand, dialog, Qt.Key.Key_S, ALT)
    hand.key(Qt.Key.Key_4, CTRL)
    return said


def merge(qtbot: QtBot, office: Program, messages: RecordedMessages, work: Path) -> MergeDialog:
    """Look at what the work of the day would bring to the office."""
    messages.files.append(work)
    find(qtbot, office, "merge field")
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, MergeDialog)
    awake(qtbot, dialog)
    return dialog


def records(desk: Desk, tag: str) -> list[CardRecord]:
    with desk.read() as connection:
        return [each for each in item_card(connection, desk.id(tag), TODAY).records if not each.corrected]


# --- the day ---


def on_site(laptop: Laptop) -> None:
    """Fifty scans: two fail, one is new, one is of another place and taken back once, one is put right."""
    hand, desk = laptop.hand, laptop.desk
    choose_place(hand, "Quay")
    for tag in TAGS:
        hand.scan(tag)
        measure(hand, fails=tag in FAILING)
        if tag in FAILING:
            withdraw(hand, f"OUT {tag}")
    create(hand, NEW)
    elsewhere(hand)
    hand.key(Qt.Key.Key_Z, CTRL)
    assert hand.page.scans._scans[0].became is Became.UNDONE
    assert desk.answer("RR-4").last is None
    elsewhere(hand)
    correct(hand, TAGS[0], "50", "read from the wrong line")


def test_a_day_on_site(
    laptop: Laptop, program: Program, stocked: Desk, messages: RecordedMessages, tmp_path: Path, qtbot: QtBot,
    settled: Callable[[], None],
) -> None:  # fmt: skip
    offer(program, lambda _path: None)
    program.jobs.changed.emit()  # the office learns that it may merge
    settled()
    awake(qtbot, laptop.hand.program.frame)
    on_site(laptop)
    field = laptop.desk
    answers = {tag: field.answer(tag) for tag in [*TAGS, NEW, "RR-4"]}
    assert {tag for tag, answer in answers.items() if answer.standing is Standing.WITHDRAWN} == FAILING
    assert all(answer.last is not None for answer in answers.values())
    assert answers[NEW].area == "Pontoon"
    assert [each.worst for each in records(field, TAGS[0])] == ["insulation 50 MΩ"]

    assert write_tags(laptop.hand, laptop.messages, tmp_path / "tags.pdf").startswith(f"{len(answers)} tags on ")
    codes = {code for page in pages_of(tmp_path / "tags.pdf", 8) for code in codes_in(page)}
    assert codes == set(answers), "the tags of what was tested, read by another program"

    laptop.messages.files.append(tmp_path / "day.fieldwork")
    find(qtbot, laptop.hand.program, "send the field")
    assert laptop.messages.told[-1].startswith("Sent ")
    assert laptop.messages.failures == []

    dialog = merge(qtbot, program, messages, tmp_path / "day.fieldwork")
    with qtbot.waitSignal(dialog.merge.clicked, timeout=20_000):
        QTest.keyClick(dialog, Qt.Key.Key_M, ALT)
    settled()
    assert messages.told[-1].endswith("0 clashes.")
    twice = merge(qtbot, program, messages, tmp_path / "day.fieldwork")
    assert any("nothing changes" in each.text() for each in twice.findChildren(Words))
    assert not twice.merge.isEnabled()
    QTest.keyClick(twice, Qt.Key.Key_Escape)
    settled()
    for tag, there in answers.items():
        assert (stocked.answer(tag).standing, stocked.dates(tag)) == (there.standing, field.dates(tag)), tag
        assert [each.verdict for each in records(stocked, tag)] == [each.verdict for each in records(field, tag)], tag
    assert field.faults() == stocked.faults() == ()
    assert messages.failures == []

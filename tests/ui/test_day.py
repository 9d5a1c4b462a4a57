"""A day on site by keyboard alone: the place chosen, fifty scans of mixed kinds, what fails withdrawn, one item new."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from register.domain.words import Check, Kind, Standing
from register.services.items import NewItem, enter_items
from tests.desk import TYPE_II, Desk
from tests.ui.hand import Hand
from ui.asking.withdraw import WithdrawDialog
from ui.bench.place_dialog import PlaceDialog

ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier
GOOD = {
    Check.TRIP_TIME: "24", Check.TRIP_CURRENT: "22", Check.EARTH_RESISTANCE: "0.2", Check.POLARITY: "r",
    Check.INSULATION_RESISTANCE: ">100",
}  # fmt: skip
KINDS = (
    Kind.APPLIANCE_CLASS_2, Kind.EXTENSION_LEAD, Kind.APPLIANCE_CLASS_1, Kind.PORTABLE_SAFETY_SWITCH, Kind.CORD_SET,
)  # fmt: skip
FAILING = {"D-010", "D-033"}


def stocked(desk: Desk) -> list[str]:
    """Enter forty-seven items of mixed kinds on a site of their own, and return their tags."""
    desk.site("QUAY")
    area = desk.area("QUAY", "Pontoon")
    tags = [f"D-{number:03}" for number in range(47)]
    with desk.change() as change:
        for number, tag in enumerate(tags):
            kind = KINDS[number % len(KINDS)]
            switch = TYPE_II if kind is Kind.PORTABLE_SAFETY_SWITCH else None
            enter_items(change, [NewItem(tag, area, kind, desk.today, safety_switch=switch)])
    return tags


def choose_place(hand: Hand, name: str) -> None:
    """Say where one works: the arrow leads to the site of this name, its first area is taken."""
    hand.key(Qt.Key.Key_F6)
    dialog = hand.dialog
    assert isinstance(dialog, PlaceDialog)
    for _step in range(dialog.place.site.count()):
        if not dialog.place.site.currentText().startswith(name):
            QTest.keyClick(dialog.place.site, Qt.Key.Key_Up)
    hand.press_key(dialog, Qt.Key.Key_Return, CTRL)
    hand.come_back()
    assert hand.page.scanning.at is not None
    assert hand.page.scanning.at.site_name.startswith(name)


def measure(hand: Hand, *, fails: bool = False) -> None:
    """Tick the look and type every reading that is asked for; the last Enter saves."""
    hand.tick_all()
    cells = [each.place for each in hand.page.session.live.cells if each.place.check is not Check.LEAKAGE_CURRENT]
    for place in cells:
        worst = fails and place.check is Check.INSULATION_RESISTANCE
        hand.type("0.1" if worst else GOOD[place.check])


def withdraw(hand: Hand, number: str) -> None:
    """Answer the dialog that a fail opens."""
    dialog = hand.dialog
    assert isinstance(dialog, WithdrawDialog)
    dialog.number.selectAll()
    QTest.keyClicks(dialog.number, number)
    hand.press(dialog)
    hand.come_back()


def create(hand: Hand, code: str) -> None:
    """Make an item of a code that no item has, and test it."""
    hand.scan(code)
    hand.key(Qt.Key.Key_N, ALT)
    QTest.keyClicks(hand.focus, "cord")
    hand.key(Qt.Key.Key_Tab)
    QTest.keyClicks(hand.focus, "Kettle cord")
    hand.key(Qt.Key.Key_A, ALT)
    measure(hand)


def test_a_day_on_site(hand: Hand, desk: Desk) -> None:
    tags = stocked(desk)
    choose_place(hand, "Quay")
    for tag in tags:
        hand.scan(tag)
        measure(hand, fails=tag in FAILING)
        if tag in FAILING:
            withdraw(hand, f"OUT {tag}")
    create(hand, "QE 0192")
    hand.scan("RR-4")
    assert "belongs to Yard of the bay" in hand.page.line.said
    hand.key(Qt.Key.Key_T, ALT)
    measure(hand)
    hand.scan(tags[0])
    assert "done today already: pass" in hand.page.line.said
    assert hand.page.scans.count > len(tags) + 2
    answers = {tag: desk.answer(tag) for tag in [*tags, "QE 0192", "RR-4"]}
    assert {tag for tag, answer in answers.items() if answer.standing is Standing.WITHDRAWN} == FAILING
    assert all(answer.last is not None for answer in answers.values())
    assert answers["QE 0192"].area == "Pontoon"
    assert desk.faults() == ()

"""The register as it is used: typed into, filtered, sorted, read, and its items changed, all by keyboard."""

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from register.domain.words import Kind, Standing, WithdrawalReason
from register.services.editing import change_item, item_form
from register.services.withdrawals import remove
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from ui.asking.dialog import Dialog
from ui.asking.remove import RemoveDialog
from ui.asking.withdraw import WithdrawDialog
from ui.program import Program
from ui.register_page.columns import Layout
from ui.register_page.item_dialog import ItemDialog
from ui.register_page.move_dialog import MoveDialog
from ui.register_page.page import RegisterPage
from ui.wanted import ShowItems

ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier


class Reader:
    """Somebody at the register's page."""

    def __init__(self, qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> None:
        self.qtbot, self.program, self.desk, self._settled = qtbot, program, desk, settled
        program.frame.go("register")
        page = program.frame.front
        assert isinstance(page, RegisterPage)
        self.page = page
        self.qtbot.waitUntil(lambda: bool(page.model.keys))
        self.settle()

    def settle(self) -> None:
        """Wait until nothing is under way and nothing waits its moment."""
        waits = (self.page._card_wait, self.page._count_wait, self.page.filters.search._wait)
        self._settled()
        self.qtbot.waitUntil(lambda: not any(wait.isActive() for wait in waits))
        self._settled()

    @property
    def tags(self) -> list[str]:
        """The tags in the list, in order."""
        rows = range(len(self.page.model.keys))
        self.qtbot.waitUntil(lambda: all(self.page.model.row_at(row) is not None for row in rows))
        return [self.page.model.row_at(row).tag for row in rows]  # type: ignore[union-attr]

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(self.focus, key, modifier)
        self.settle()

    @property
    def focus(self) -> QWidget:
        widget = QApplication.focusWidget()
        assert widget is not None
        return widget

    def search(self, text: str) -> None:
        """Type into the search field and wait for what it finds."""
        self.key(Qt.Key.Key_F, CTRL)
        with self.qtbot.waitSignal(self.page.filters.search.searched):
            QTest.keyClicks(self.focus, text)
        self.settle()

    def choose(self, tag: str) -> None:
        """Put the cursor on an item and wait for its card."""
        self.page.view.select_key(self.desk.id(tag))
        self.shows(tag)

    def shows(self, tag: str) -> None:
        """Wait until the card shows an item."""
        key = self.desk.id(tag)
        self.qtbot.waitUntil(lambda: self.page.card.item == key and self.page.chosen_card() is not None)

    def ask(self, action: str, kind: type[Dialog]) -> Dialog:
        """Press the key of an action, and return the dialog that it opens."""
        self.program.frame.deeds.actions[action].trigger()
        self.qtbot.waitUntil(lambda: isinstance(self.page.deeds.dialog, kind))
        dialog = self.page.deeds.dialog
        assert dialog is not None
        self.qtbot.waitUntil(dialog.isActiveWindow)
        self.settle()
        return dialog

    def confirm(self, dialog: Dialog, key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
        """Press the key of a dialog's deed; its button takes a moment to go down and up."""
        (button,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
        with self.qtbot.waitSignal(button.clicked):
            QTest.keyClick(dialog.focusWidget() or dialog, key, modifier)
        self.settle()


@pytest.fixture
def reader(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> Reader:
    return Reader(qtbot, program, desk, settled)


def test_the_list_follows_what_is_typed_and_the_card_the_list(reader: Reader) -> None:
    reader.search("grinder")

    assert reader.tags == ["RR-4"]
    assert "1 of 4 items" in words_of(reader.page.filters)
    reader.shows("RR-4")


def test_the_newest_of_quick_questions_is_the_one_that_is_answered(reader: Reader) -> None:
    reader.search("switch of o")
    reader.search("lead")

    assert reader.tags == ["RR-3"]


def test_a_search_without_a_find_names_itself_and_offers_to_clear_it(reader: Reader) -> None:
    reader.search("kettle")

    assert "No item fits “kettle”" in words_of(reader.page.empty)
    assert reader.page.chosen_card() is None
    press(reader, "Clear search and filters")
    assert len(reader.tags) == 4


def test_chips_count_the_standings_and_narrow_the_list_to_them(reader: Reader) -> None:
    chips = reader.page.filters.standings
    assert chips[Standing.UNTESTED].accessibleName() == "Untested, 4"
    reader.desk.test("RR-2", date(2026, 11, 20))
    reader.program.jobs.changed.emit()
    reader.settle()
    reader.qtbot.waitUntil(lambda: chips[Standing.IN_SERVICE].accessibleName() == "In service, 1")

    QTest.keyClick(chips[Standing.IN_SERVICE], Qt.Key.Key_Space)
    reader.settle()

    assert reader.tags == ["RR-2"]
    assert reader.page.filters.active == ("in service",)


@pytest.mark.qt_log_ignore("This plugin does not support")
def test_a_kind_is_chosen_by_keyboard_seen_on_its_chip_and_taken_away(reader: Reader) -> None:
    chip = reader.page.filters.kind
    chip.setFocus()
    QTest.keyClick(chip, Qt.Key.Key_Down)
    menu = QApplication.activePopupWidget()
    assert menu is not None
    for key in (Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Return):
        QTest.keyClick(menu, key)
    reader.settle()

    assert chip.accessibleName() == "Kind: Class I appliance"
    assert reader.page.filters.active == ("Class I appliance",)
    assert reader.tags == []

    QTest.keyClick(chip, Qt.Key.Key_Delete)
    reader.settle()
    assert len(reader.tags) == 4


def test_a_press_on_a_head_sorts_by_it_and_another_turns_it_round(reader: Reader) -> None:
    heads = reader.page.view.heads
    place = QPoint(heads.sectionViewportPosition(1) + 20, 10)

    QTest.mouseClick(heads.viewport(), Qt.MouseButton.LeftButton, pos=place)
    reader.settle()
    assert reader.tags == ["RR-1", "RR-2", "RR-3", "RR-4"]

    QTest.mouseClick(heads.viewport(), Qt.MouseButton.LeftButton, pos=place)
    reader.settle()
    assert reader.tags == ["RR-4", "RR-3", "RR-2", "RR-1"]


def test_rows_are_copied_with_their_heads_in_the_columns_that_are_shown(
    reader: Reader, messages: RecordedMessages
) -> None:
    reader.search("grinder")
    reader.key(Qt.Key.Key_Down)
    reader.key(Qt.Key.Key_C, CTRL)

    lines = QApplication.clipboard().text().split("\n")
    assert lines[0] == "Standing\tTag\tItem\tSite and area\tDuty\tNext due"
    assert lines[1].startswith("Untested\tRR-4\tAngle grinder\tYard of the bay, Loft\t")
    assert messages.told[-1] == "1 row copied."


def test_the_layout_is_kept_by_the_names_of_columns(reader: Reader) -> None:
    page = reader.page
    kept = Layout(("tag", "due", "never-heard-of"), frozenset({"duty", "tag"}), {"tag": 222}, "tag", descending=True)

    page.apply_layout(kept)

    now = page.layout_kept()
    assert now.order[:3] == ("tag", "due", "standing")
    assert now.hidden == frozenset({"duty"}), "the tag is never hidden"
    assert page.view.columnWidth(1) == 222
    assert (now.sort, now.descending) == ("tag", True)


def test_nothing_can_be_done_to_an_item_before_its_card_is_there(reader: Reader) -> None:
    reader.choose("RR-1")
    assert reader.program.frame.deeds.possible("item.withdraw")

    reader.page.view.select_key(reader.desk.id("RR-2"))

    assert not reader.program.frame.deeds.possible("item.withdraw")
    reader.shows("RR-2")
    assert reader.program.frame.deeds.possible("item.withdraw")


def test_an_item_is_withdrawn_by_keyboard_and_enter_answers_nothing(reader: Reader, messages: RecordedMessages) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.withdraw", WithdrawDialog)
    assert isinstance(dialog, WithdrawDialog)

    reader.confirm(dialog, Qt.Key.Key_W, ALT)
    assert "Scan or type the number" in dialog.number_field.complaint

    QTest.keyClicks(dialog.number, "OUT-7")
    QTest.keyClick(dialog.number, Qt.Key.Key_Return)
    assert dialog.isVisible()
    reader.confirm(dialog, Qt.Key.Key_W, ALT)

    assert messages.told[-1] == "RR-2 taken out of service, tag OUT-7."
    out = reader.desk.answer("RR-2").withdrawn
    assert out is not None
    assert (out.reason, out.tag_number) == (WithdrawalReason.OVERDUE, "OUT-7")


def test_a_letter_chooses_a_reason_but_a_scanned_code_does_not(reader: Reader) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.withdraw", WithdrawDialog)
    assert isinstance(dialog, WithdrawDialog)
    choices = dialog.choices
    row = choices.focus_row()

    QTest.keyClicks(row, "fd7")
    reader.qtbot.waitUntil(lambda: not choices._burst.isActive())
    assert choices.chosen is WithdrawalReason.OVERDUE

    QTest.keyClicks(row, "d")
    reader.qtbot.waitUntil(lambda: choices.chosen is WithdrawalReason.DAMAGED)


def test_leaving_the_dialog_leaves_the_item_in_service(reader: Reader) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.withdraw", WithdrawDialog)

    QTest.keyClick(dialog, Qt.Key.Key_Escape)

    assert reader.page.deeds.dialog is None
    assert reader.desk.answer("RR-2").withdrawn is None


def test_a_move_shows_the_new_dates_before_it_is_done(reader: Reader, messages: RecordedMessages) -> None:
    reader.desk.site("LOT", environment="construction")
    reader.desk.test("RR-2", date(2026, 11, 20))
    before = reader.desk.dates("RR-2")
    reader.choose("RR-2")
    dialog = reader.ask("item.move", MoveDialog)
    assert isinstance(dialog, MoveDialog)

    with reader.qtbot.waitSignal(dialog.place_meant):
        dialog.place.site.choose(next(key for key, site in dialog.place._sites.items() if site.code == "LOT"))
    reader.settle()

    said = words_of(dialog)
    assert "20 Feb 2027" in said
    assert "Construction" in said
    assert reader.desk.dates("RR-2") == before

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert "RR-2 moved to Lot of the bay, Whole site." in messages.told[-1]
    assert set(reader.desk.dates("RR-2").values()) == {date(2027, 2, 20)}


def test_a_move_to_where_it_is_already_is_said_to_be_none(reader: Reader) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.move", MoveDialog)

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert dialog.isVisible()
    assert "It is there already" in words_of(dialog)


def test_an_item_is_added_once_everything_typed_can_be(reader: Reader, messages: RecordedMessages) -> None:
    dialog = reader.ask("item.add", ItemDialog)
    assert isinstance(dialog, ItemDialog)
    dialog.kind.choose(Kind.CORD_SET)
    dialog.description.setText("Cord of the kettle")
    dialog.since.setText("nonsense")
    dialog.plate.rated.setText("ten")

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert "The tag is empty" in dialog.tag_field.complaint
    assert "“nonsense” is not a day" in dialog.since_field.complaint
    assert "“ten” is no number of amperes" in dialog.plate.rated_field.complaint
    assert dialog.since.text() == "nonsense"

    QTest.keyClicks(dialog.tag, "rr-9")
    dialog.since.setText("2026-11-20")
    dialog.plate.rated.setText("10")
    dialog.place.area.setEditText("Kitchen")
    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert messages.told[-1] == "RR-9 added."
    added = reader.desk.answer("RR-9")
    assert (added.kind, added.area, added.description) == (Kind.CORD_SET, "Kitchen", "Cord of the kettle")
    reader.shows("RR-9")


def test_a_tag_that_is_taken_is_said_in_the_dialog_and_nothing_is_lost(reader: Reader) -> None:
    dialog = reader.ask("item.add", ItemDialog)
    assert isinstance(dialog, ItemDialog)
    QTest.keyClicks(dialog.tag, "RR-1")
    QTest.keyClicks(dialog.description, "Another")

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert "RR-1 is, or was, another item's" in words_of(dialog)
    assert dialog.description.text() == "Another"


def test_somebody_elses_change_is_not_overwritten(reader: Reader) -> None:
    reader.choose("RR-4")
    dialog = reader.ask("item.edit", ItemDialog)
    assert isinstance(dialog, ItemDialog)
    dialog.serial.setText("mine")
    with reader.desk.read() as connection:
        form = item_form(connection, reader.desk.id("RR-4"))
    with reader.desk.change() as change:
        change_item(change, form.item_id, form.facts.__class__(form.facts.kind, "Theirs"), version=form.version)

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert "changed by somebody else" in words_of(dialog)
    assert dialog.serial.text() == "mine"
    assert reader.desk.answer("RR-4").description == "Theirs"


def test_an_item_removed_for_good_needs_a_reason_and_is_found_by_its_standing(
    reader: Reader, messages: RecordedMessages
) -> None:
    reader.choose("RR-3")
    dialog = reader.ask("item.remove", RemoveDialog)
    assert isinstance(dialog, RemoveDialog)
    reader.confirm(dialog, Qt.Key.Key_R, ALT)
    assert "Say why" in dialog.field.complaint
    dialog.reason.setText("cut through")
    reader.confirm(dialog, Qt.Key.Key_R, ALT)

    assert messages.told[-1] == "RR-3 removed for good."
    reader.qtbot.waitUntil(lambda: len(reader.page.model.keys) == 3)
    reader.page.filters.standings[Standing.REMOVED].click()
    reader.settle()
    assert reader.tags == ["RR-3"]
    reader.shows("RR-3")
    assert "Removed for good on 24 Nov 2026: cut through." in words_of(reader.page.card)
    assert not reader.program.frame.deeds.possible("item.move")


def test_another_page_can_ask_for_one_item_whatever_is_filtered(reader: Reader) -> None:
    reader.search("lead")

    reader.program.frame.go("register", reader.desk.id("RR-4"))

    reader.shows("RR-4")
    assert reader.page.filters.active == ()
    reader.qtbot.waitUntil(lambda: reader.page.view.selected_keys() == [reader.desk.id("RR-4")])


def test_another_page_can_ask_for_a_removed_item(reader: Reader) -> None:
    with reader.desk.change() as change:
        remove(change, reader.desk.id("RR-2"), reason="sold")
    reader.program.jobs.changed.emit()
    reader.settle()

    reader.program.frame.go("register", reader.desk.id("RR-2"))

    reader.shows("RR-2")
    reader.qtbot.waitUntil(lambda: reader.page.filters.active == ("removed",))


def test_another_page_can_ask_for_what_falls_due_at_a_site(reader: Reader) -> None:
    reader.desk.test("RR-2", date(2026, 11, 20))
    due = min(day for day in reader.desk.dates("RR-2").values() if day)
    site = reader.page.filters.site._choices[0].id

    reader.program.frame.go("register", ShowItems(site, due, due, "due that day"))
    reader.settle()

    assert reader.tags == ["RR-2"]
    assert reader.page.filters.active == ("due that day", "Yard of the bay")
    press(reader, "due that day")
    assert len(reader.tags) == 4


def test_in_a_narrow_window_the_card_is_a_drawer_that_enter_opens_and_esc_closes(reader: Reader) -> None:
    reader.program.frame.resize(1024, 600)
    reader.settle()
    assert not reader.page.card.isVisible()
    reader.key(Qt.Key.Key_F, CTRL)
    reader.key(Qt.Key.Key_Down)

    reader.key(Qt.Key.Key_Return)
    assert reader.page.card.isVisible()
    assert reader.page.card.area.hasFocus()

    reader.key(Qt.Key.Key_Escape)
    assert not reader.page.card.isVisible()
    assert reader.page.view.hasFocus()


def test_the_card_tells_why_each_duty_is_due_and_draws_its_readings(reader: Reader) -> None:
    reader.desk.test("RR-2", date(2026, 5, 20))
    reader.program.jobs.changed.emit()
    reader.choose("RR-2")
    reader.qtbot.waitUntil(lambda: "Last done 20 May 2026" in words_of(reader.page.card))

    said = words_of(reader.page.card)

    assert "due 20 Nov 2026" in said
    assert "rulebook au-in-service" in said
    charts = [each.accessibleDescription() for each in reader.page.card.findChildren(QWidget)]
    assert "Slowest trip time at 1×: 20 May 2026 24 ms. Limit: at most 300 ms." in charts


@pytest.mark.parametrize("action", ["", "item.add", "item.edit", "item.move", "item.withdraw", "item.remove"])
def test_everything_that_takes_the_keyboard_has_a_name(reader: Reader, action: str) -> None:
    reader.choose("RR-1")
    root: QWidget = reader.ask(action, Dialog) if action else reader.page

    nameless = [
        widget
        for widget in root.findChildren(QWidget)
        if widget.focusPolicy() != Qt.FocusPolicy.NoFocus and widget.isVisibleTo(root) and not named(widget)
    ]

    assert nameless == []


def test_the_list_is_a_sound_model(reader: Reader, qtmodeltester: ModelTester) -> None:
    qtmodeltester.check(reader.page.model)


def named(widget: QWidget) -> bool:
    """Whether a screen reader has something to say of a widget, or of the one that it is a part of."""
    text = widget.property("text")
    parent = widget.parentWidget()
    return bool(widget.accessibleName() or text or (parent is not None and parent.accessibleName()))


def words_of(widget: QWidget) -> str:
    """Return all that a widget says."""
    said = [str(each.property("text")) for each in widget.findChildren(QWidget) if each.property("text")]
    return "\n".join(said)


def press(reader: Reader, words: str) -> None:
    """Press the button that says this."""
    buttons = [each for each in reader.page.findChildren(QWidget) if each.property("text") == words]
    (button,) = [each for each in buttons if each.isVisible()]
    if isinstance(button, QPushButton):
        button.setFocus()
    QTest.keyClick(button, Qt.Key.Key_Space)
    reader.settle()

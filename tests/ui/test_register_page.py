"""The register as it is used: typed into, filtered, sorted, read, all by keyboard."""

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from register.domain.words import Kind, Standing
from register.services.withdrawals.deeds import remove
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.reader import CTRL, Reader, named, press, words_of
from ui.asking.dialog import Dialog
from ui.program import Program
from ui.register_page.columns import Layout
from ui.register_page.page import RegisterPage
from ui.wanted import ShowItems


@pytest.fixture
def reader(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> Reader:
    """Somebody at the register's page."""
    return Reader(qtbot, program, desk, settled)


def test_the_list_follows_what_is_typed_and_the_card_the_list(reader: Reader) -> None:
    reader.search("grinder")

    assert reader.tags == ["RR-4"]
    assert "1 of 4 items" in words_of(reader.page.filters)
    reader.shows("RR-4")


def test_an_item_that_another_page_asks_for_is_in_sight_in_the_list(
    program: Program, desk: Desk, settled: Callable[[], None], qtbot: QtBot
) -> None:
    for number in range(60):
        desk.item(f"L-{number}", Kind.EXTENSION_LEAD, area="Loft")
    program.frame.go("register", desk.id("L-59"))
    settled()
    page = program.frame.front
    assert isinstance(page, RegisterPage)
    view = page.view

    def in_sight() -> bool:
        place = view.visualRect(view.currentIndex())
        return view.currentIndex().row() > 40 and view.viewport().rect().contains(place.center())

    qtbot.waitUntil(in_sight)


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

    page.view.apply_layout(kept)

    now = page.view.layout_kept()
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


def test_another_page_can_ask_for_one_item_whatever_is_filtered(reader: Reader) -> None:
    reader.search("lead")

    reader.program.frame.go("register", reader.desk.id("RR-4"))

    reader.shows("RR-4")
    assert reader.page.filters.active == ()
    reader.qtbot.waitUntil(lambda: reader.page.view.selected_keys() == [reader.desk.id("RR-4")])
    reader.settle()


def test_another_page_can_ask_for_a_removed_item(reader: Reader) -> None:
    with reader.desk.change() as change:
        remove(change, reader.desk.id("RR-2"), reason="sold")
    reader.program.jobs.changed.emit()
    reader.settle()

    reader.program.frame.go("register", reader.desk.id("RR-2"))

    reader.shows("RR-2")
    reader.qtbot.waitUntil(lambda: reader.page.filters.active == ("removed",))
    reader.settle()


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

"""Withdrawn: who is waited for, why, the filters by name, a test now, removal for good, the notice for the owner."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from register.domain.words import WithdrawalReason
from register.errors import Refused
from register.services.withdrawals.deeds import remove
from tests.desk import Desk
from tests.pictures import jpeg
from tests.ui.conftest import RecordedMessages
from ui.asking.remove import RemoveDialog
from ui.look import typeface
from ui.paper.printing import write_pdf
from ui.program import Program
from ui.withdrawn.notice import Notice
from ui.withdrawn.page import WithdrawnPage


@pytest.fixture
def page(program: Program, desk: Desk, settled: Callable[[], None]) -> WithdrawnPage:
    """Three items out of service: two of one site, one of another."""
    desk.site("MILL")
    desk.item("MM-1", site="MILL")
    desk.on(date(2026, 9, 1)).withdraw("RR-2", WithdrawalReason.DAMAGED, "OUT-2")
    desk.withdraw("RR-4", WithdrawalReason.DAMAGED, "OUT-4", told="the yard's office")
    desk.withdraw("MM-1", WithdrawalReason.DAMAGED, "OUT-9")
    program.frame.go("withdrawn")
    settled()
    front = program.frame.front
    assert isinstance(front, WithdrawnPage)
    front.refresh()
    settled()
    return front


@pytest.fixture
def usual() -> Iterator[None]:
    """Type of the usual size again afterwards."""
    yield
    typeface.set_scale(1)


def told(page: WithdrawnPage) -> list[str]:
    return [str(page._model.data(page._model.index(row, 0))) for row in range(page._model.rowCount())]


def test_items_stand_in_groups_with_a_head_that_says_who_is_waited_for(page: WithdrawnPage) -> None:
    lines = told(page)
    assert lines[0] == "Waiting for the owner: repair or dispose, 3 items, oldest 84 days"
    assert {line.split(",")[0] for line in lines[1:]} == {"RR-2", "RR-4", "MM-1"}
    assert page._about.text() == "3 items out of service at 2 sites. Nothing here may be used."


def test_the_list_keeps_to_the_rules_of_models(page: WithdrawnPage, qtmodeltester: ModelTester) -> None:
    qtmodeltester.check(page._model)


def test_a_filter_names_itself_and_can_be_taken_away(page: WithdrawnPage) -> None:
    page.filters.by_reason(WithdrawalReason.FAILED)
    assert page._empty._head.text() == "Nothing is withdrawn failed a test"
    assert page._empty.show_all.text() == "Show all 3 withdrawn"
    page._empty.show_all.click()
    assert len(told(page)) == 4
    page.filters.by_site(next(row.site_id for row in page._rows if row.tag == "MM-1"))
    assert len(told(page)) == 2
    assert "Mill" in page.filters.site_chip.accessibleName()


def test_a_site_whose_last_item_came_back_is_named_still_and_the_others_are_a_press_away(
    page: WithdrawnPage, desk: Desk, settled: Callable[[], None]
) -> None:
    page.filters.by_site(next(row.site_id for row in page._rows if row.tag == "MM-1"))
    with desk.change() as change:
        remove(change, desk.id("MM-1"), reason="scrapped")
    page.refresh()
    settled()
    assert page._empty._head.text() == "Nothing is withdrawn at Mill of the bay"
    page.filters.clear.click()
    assert len(told(page)) == 3


@pytest.mark.parametrize("factor", [1.0, 1.5, 2.0])
def test_filters_and_buttons_in_one_row_are_of_one_height(
    qtbot: QtBot, program: Program, usual: None, factor: float
) -> None:
    assert usual is None
    typeface.set_scale(factor)
    page = WithdrawnPage(program.desk)
    qtbot.addWidget(page)
    row = (page.filters.site_chip, page.filters.reason_chip, page._notice, page._remove, page._test)
    heights = {each.sizeHint().expandedTo(each.minimumSize()).boundedTo(each.maximumSize()).height() for each in row}
    assert len(heights) == 1


def test_nothing_withdrawn_says_so_and_leads_on(program: Program, settled: Callable[[], None]) -> None:
    program.frame.go("withdrawn")
    settled()
    page = program.frame.front
    assert isinstance(page, WithdrawnPage)
    assert page._empty._head.text() == "Nothing is withdrawn"
    assert not program.frame.deeds.possible("item.remove")
    page._empty.find_item.click()
    settled()
    assert program.frame.front.key == "register"


def test_enter_on_an_item_puts_it_on_the_bench(
    page: WithdrawnPage, program: Program, settled: Callable[[], None]
) -> None:
    page._view.setFocus()
    QTest.keyClick(page._view, Qt.Key.Key_Return)
    settled()
    assert program.frame.front.key == "bench"


def test_an_item_is_removed_for_good_with_a_reason(
    qtbot: QtBot, page: WithdrawnPage, program: Program, settled: Callable[[], None], messages: RecordedMessages
) -> None:
    row = page._view.current_row()
    assert row is not None
    program.frame.deeds.do("item.remove")
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, RemoveDialog)
    QTest.keyClicks(dialog.reason, "scrapped by the owner")
    qtbot.waitUntil(dialog.isVisible)
    dialog._remove()
    settled()
    assert messages.told[-1] == f"{row.tag} was removed for good; its history stays."
    assert not [line for line in told(page) if line.startswith(row.tag)]


def test_why_an_item_can_not_be_removed_is_said_in_the_dialog_and_the_reason_stays(
    page: WithdrawnPage, program: Program, desk: Desk, settled: Callable[[], None], messages: RecordedMessages
) -> None:
    row = page._view.current_row()
    assert row is not None
    program.frame.deeds.do("item.remove")
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, RemoveDialog)
    dialog.reason.setText("scrapped by the owner")
    with desk.change() as change:
        remove(change, row.item_id, reason="sold")
    dialog._remove()
    settled()
    assert f"{row.tag} was removed" in dialog._wrong.text()
    assert (dialog.reason.text(), messages.failures) == ("scrapped by the owner", [])


def test_the_name_that_is_offered_for_a_notice_is_one_of_a_file_whatever_the_tag(
    page: WithdrawnPage,
    desk: Desk,
    settled: Callable[[], None],
    messages: RecordedMessages,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    offered: list[str] = []
    monkeypatch.setattr(messages, "save_file", lambda _title, suggested, _kinds: offered.append(suggested))
    desk.item("A/1")
    desk.on(date(2026, 8, 1)).withdraw("A/1", WithdrawalReason.DAMAGED, "OUT-1")
    page.refresh()
    settled()
    page._view.select_item(desk.id("A/1"))
    page.deeds.print_notice()
    assert offered == ["out-of-service-a-1.pdf"]


def test_the_notice_is_a_sheet_of_one_page_and_a_place_that_can_not_be_written_is_said(
    page: WithdrawnPage, program: Program, messages: RecordedMessages, tmp_path: Path, settled: Callable[[], None]
) -> None:
    messages.files = [tmp_path / "notice.pdf"]
    program.frame.deeds.do("withdrawn.notice")
    settled()
    made = (tmp_path / "notice.pdf").read_bytes()
    assert made.startswith(b"%PDF")
    assert made.count(b"/Type /Page\n") == 1
    assert messages.told[-1].endswith("is in notice.pdf.")
    messages.files = [tmp_path / "none" / "notice.pdf"]
    program.frame.deeds.do("withdrawn.notice")
    settled()
    (refused,) = messages.failures
    assert isinstance(refused, Refused)
    assert "none” does not exist. Make it first, or choose another one." in str(refused)
    assert page.isVisible()


def test_the_notice_is_the_same_whatever_the_size_of_the_type(page: WithdrawnPage, usual: None, tmp_path: Path) -> None:
    assert usual is None
    row = page._view.current_row()
    assert row is not None
    said = []
    for factor in (1.0, 2.0):
        typeface.set_scale(factor)
        write_pdf(tmp_path / "notice.pdf", Notice(row, "Bay Testing", date(2026, 11, 24)), "Notice")
        document = pypdfium2.PdfDocument(tmp_path / "notice.pdf")
        said.append(document[0].get_textpage().get_text_bounded())
        document.close()
    assert said[0] == said[1]
    assert "Out of service: do not use" in said[1]
    assert "Repair it and have it tested" in said[1]


@pytest.mark.parametrize("word", ["cracked ", "x"])
def test_a_long_story_leaves_room_on_the_notice_for_what_to_do_and_the_signature(
    page: WithdrawnPage, tmp_path: Path, word: str
) -> None:
    row = page._view.current_row()
    assert row is not None
    long = replace(
        row, detail=word * 3_000, site=word * 60, area=word * 60, owner=word * 60, tag_number="9" * 60, description=word
    )
    write_pdf(tmp_path / "notice.pdf", Notice(long, "Bay Testing", date(2026, 11, 24), jpeg(400, 300)), "Notice")
    document = pypdfium2.PdfDocument(tmp_path / "notice.pdf")
    text = document[0].get_textpage()
    said = text.get_text_bounded()
    assert "Name and signature" in said
    assert "…" in said
    lowest = min(text.get_charbox(place)[1] for place in range(text.count_chars()))
    rightmost = max(text.get_charbox(place)[2] for place in range(text.count_chars()))
    assert lowest > 20
    assert rightmost < 595 - 20
    document.close()

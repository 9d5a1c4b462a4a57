"""Tags from the window: chosen, looked at and written; a new tag; ranges of numbers; and without a window."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from register.services.settings import set_setting, setting
from register.services.tag_ranges import add_range, ranges
from register.store.engine import Register
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.tags_made import codes_in, pages_of, sizes_of
from ui.app import main
from ui.asking.dialog import Dialog
from ui.firm.page import FirmPage
from ui.firm.tags import TagsSection
from ui.firm.tags_dialog import LabelsDialog, RangeDialog
from ui.program import Program
from ui.register_page.page import RegisterPage
from ui.tags.dialog import TagDialog
from ui.tags.new_tag_dialog import NewTagDialog
from ui.withdrawn.page import WithdrawnPage

ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def page(program: Program, settled: Callable[[], None]) -> RegisterPage:
    """The register in front."""
    program.frame.go("register")
    settled()
    front = program.frame.front
    assert isinstance(front, RegisterPage)
    return front


def typed(line: QLineEdit, said: str) -> None:
    line.setFocus()
    line.selectAll()
    QTest.keyClicks(line, said)


def do(dialog: Dialog, key: Qt.Key, modifier: Qt.KeyboardModifier, qtbot: QtBot) -> None:
    """Press the key of the dialog's deed; its button takes a moment to go down and up."""
    (button,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
    with qtbot.waitSignal(button.clicked):
        QTest.keyClick(dialog, key, modifier)


@pytest.fixture
def tags(desk: Desk, page: RegisterPage, program: Program, settled: Callable[[], None]) -> TagDialog:
    """The dialog for all items of the list: one is tested, one is out of service, two are untested."""
    desk.test("RR-2")
    desk.withdraw("RR-4", number="OUT-3", detail="Plug cracked")
    page.refresh()
    settled()
    page.view.selectAll()
    program.frame.deeds.do("item.tag")
    settled()
    dialog = page.deeds.tags.dialog
    assert isinstance(dialog, TagDialog)
    return dialog


def test_each_item_gets_what_it_needs_and_the_others_are_named(
    tags: TagDialog, qtbot: QtBot, messages: RecordedMessages, settled: Callable[[], None], tmp_path: Path
) -> None:
    assert tags._said.text() == "2 tags on 1 page"
    assert "RR-1 has not passed all that is due" in tags._lacking.text()
    assert "AS/NZS 3760" in tags._why.text()
    messages.files = [tmp_path / "tags"]
    do(tags, Qt.Key.Key_S, ALT, qtbot)
    settled()
    (page,) = pages_of(tmp_path / "tags.pdf", 8)
    assert sorted(codes_in(page)) == ["RR-2", "RR-4"]
    assert messages.told == [
        f"2 tags on 1 page in {tmp_path / 'tags.pdf'}. Print at actual size (100 %), never fitted to the page."
    ]


def test_a_half_used_sheet_begins_at_its_first_free_place(tags: TagDialog) -> None:
    typed(tags.start, "21")
    assert tags._said.text() == "2 tags on 2 pages"
    assert tags._sheets is not None
    assert tags._sheets.pages[0][0][1].x == 139


def test_the_pages_are_turned_and_other_labels_begin_at_the_first(tags: TagDialog) -> None:
    typed(tags.start, "21")
    assert tags._preview.accessibleName() == "Page 1 of 2 as it is printed"
    first = tags._why.text()
    tags._turner._next.click()
    assert tags._preview.accessibleName() == "Page 2 of 2 as it is printed"
    assert tags._why.text() != first
    assert not tags._turner._next.isEnabled()
    tags._turner._earlier.click()
    assert tags._why.text() == first
    tags._turner._next.click()
    typed(tags.start, "20")
    assert tags._preview.accessibleName() == "Page 1 of 1 as it is printed"
    typed(tags.start, "x")
    assert tags._preview.accessibleName() == "No page to show"


def test_tags_go_to_a_printer(tags: TagDialog, qtbot: QtBot, messages: RecordedMessages, tmp_path: Path) -> None:
    tags.target.offer([("Label printer", "Label printer")])
    tags._show_target()
    do(tags, Qt.Key.Key_S, ALT, qtbot)
    asked = tags.findChild(QPrintDialog)
    assert asked is not None
    tags._printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    with qtbot.waitSignal(tags.finished):
        asked.accepted.emit(tags._printer)
    (page,) = pages_of(tmp_path / "printed.pdf", 8)
    assert sorted(codes_in(page)) == ["RR-2", "RR-4"]
    assert messages.told == ["2 tags on 1 page sent to the printer."]


@pytest.mark.parametrize("said", ["22", "0", "x", "", "99999999999999999999"])
def test_a_start_beyond_the_sheet_is_said_at_its_field_and_nothing_is_made(tags: TagDialog, said: str) -> None:
    tags.start.clear()
    typed(tags.start, said)
    if not said:
        tags.start.textEdited.emit("")
    assert "Give a" in tags.start_field.complaint
    assert "number from 1" in tags.start_field.complaint
    assert not tags._done.isEnabled()
    typed(tags.start, "2")
    assert tags.start_field.complaint == ""
    assert tags._done.isEnabled()


@pytest.mark.parametrize("said", ["x", "nan", "inf"])
def test_a_nudge_that_is_no_number_is_said(tags: TagDialog, said: str) -> None:
    typed(tags.right, said)
    assert "is no number of mm" in tags.right_field.complaint
    assert not tags._done.isEnabled()


def test_a_nudge_is_kept_for_where_the_tags_go(
    tags: TagDialog, desk: Desk, qtbot: QtBot, messages: RecordedMessages, settled: Callable[[], None], tmp_path: Path
) -> None:
    typed(tags.right, "0,5")
    typed(tags.down, "-1")
    messages.files = [tmp_path / "tags.pdf"]
    do(tags, Qt.Key.Key_S, ALT, qtbot)
    settled()
    with desk.read() as connection:
        assert setting(connection, "tag_nudges") == {"": [0.5, -1.0]}


def test_a_roll_needs_no_place_and_another_sort_of_tag_can_be_chosen(
    tags: TagDialog, settled: Callable[[], None]
) -> None:
    tags.labels.choose("roll-50x25")
    assert not tags.start_field.isVisible()
    assert tags._said.text() == "2 tags"
    tags.kind.setCurrentIndex(1)
    settled()
    assert tags._said.text() == "1 tag"
    assert "RR-4 is out of service" in tags._lacking.text()


def test_the_test_page_is_written_at_the_size_of_the_page(
    tags: TagDialog, qtbot: QtBot, messages: RecordedMessages, tmp_path: Path
) -> None:
    messages.files = [tmp_path / "test.pdf"]
    with qtbot.waitSignal(tags._test.clicked):
        QTest.keyClick(tags, Qt.Key.Key_T, ALT)
    assert sizes_of(tmp_path / "test.pdf") == [(pytest.approx(210, abs=0.2), pytest.approx(297, abs=0.2))]
    assert tags.isVisible()


def test_a_folder_that_does_not_exist_is_said_in_the_dialog(
    tags: TagDialog, qtbot: QtBot, messages: RecordedMessages, tmp_path: Path
) -> None:
    messages.files = [tmp_path / "nowhere" / "tags.pdf"]
    do(tags, Qt.Key.Key_S, ALT, qtbot)
    assert "does not exist" in tags._wrong.text()
    assert tags.isVisible()


def test_the_out_of_service_tag_is_printed_from_the_withdrawn_page(
    desk: Desk, program: Program, settled: Callable[[], None]
) -> None:
    desk.withdraw("RR-4", number="OUT-3")
    program.frame.go("withdrawn")
    settled()
    page = program.frame.front
    assert isinstance(page, WithdrawnPage)
    page.refresh()
    settled()
    program.frame.deeds.do("item.tag")
    settled()
    dialog = page.deeds.tags.dialog
    assert isinstance(dialog, TagDialog)
    assert dialog._said.text() == "1 tag on 1 page"
    assert dialog._sheets is not None
    assert dialog._sheets.pages[0][0][0].title == "Out of service"
    dialog.reject()


# --- a new tag ---


@pytest.fixture
def asked(desk: Desk, page: RegisterPage, program: Program, qtbot: QtBot, settled: Callable[[], None]) -> NewTagDialog:
    """The dialog for the first item, with a range of three numbers."""
    with desk.change() as change:
        add_range(change, holder="Asha Pell", prefix="RR-", digits=6, first=100, last=102)
    page.show_wanted(desk.id("RR-1"))
    settled()
    qtbot.waitUntil(lambda: program.frame.deeds.possible("item.new-tag"))
    program.frame.deeds.do("item.new-tag")
    qtbot.waitUntil(lambda: page.deeds.tags.dialog is not None)
    dialog = page.deeds.tags.dialog
    assert isinstance(dialog, NewTagDialog)
    return dialog


def test_a_new_tag_comes_from_the_holder_s_own_range(
    asked: NewTagDialog, desk: Desk, qtbot: QtBot, messages: RecordedMessages, settled: Callable[[], None]
) -> None:
    assert asked.number.placeholderText() == "RR-000100"
    assert "Only 3 are left." in asked.number_field._below.text()
    do(asked, Qt.Key.Key_Return, CTRL, qtbot)
    settled()
    assert messages.told == ["RR-1 is RR-000100 now; the old number still finds it."]
    assert desk.id("RR-1") == desk.id("RR-000100")


def test_a_scanned_number_that_is_taken_is_refused_and_the_typing_stays(
    asked: NewTagDialog, qtbot: QtBot, settled: Callable[[], None]
) -> None:
    typed(asked.number, "rr-2")
    QTest.keyClick(asked.number, Qt.Key.Key_Return)
    assert asked.isVisible()
    do(asked, Qt.Key.Key_Return, CTRL, qtbot)
    settled()
    assert "The tag RR-2 is, or was, another item's" in asked._wrong.text()
    assert asked.number.text() == "rr-2"


def test_without_a_range_the_number_must_be_given(asked: NewTagDialog, qtbot: QtBot) -> None:
    asked.range.choose("")
    do(asked, Qt.Key.Key_Return, CTRL, qtbot)
    assert asked.number_field.complaint == "Scan or type the number on the new tag."


# --- the firm's ranges and labels ---


@pytest.fixture
def section(program: Program, settled: Callable[[], None]) -> TagsSection:
    """The section of the page Firm."""
    program.frame.go("firm", "tags")
    settled()
    page = program.frame.front
    assert isinstance(page, FirmPage)
    assert isinstance(page.front, TagsSection)
    return page.front


def test_a_range_is_added_and_ended(
    section: TagsSection, desk: Desk, qtbot: QtBot, messages: RecordedMessages, settled: Callable[[], None]
) -> None:
    section.add.click()
    settled()
    dialog = section.dialog
    assert isinstance(dialog, RangeDialog)
    do(dialog, Qt.Key.Key_Return, CTRL, qtbot)
    assert dialog.holder.complaint == "Say whose numbers they are."
    for field, said in (
        (dialog.holder, "Van 1"), (dialog.prefix, "rr-"), (dialog.first, "100"), (dialog.last, "120")
    ):  # fmt: skip
        assert isinstance(field.widget, QLineEdit)
        typed(field.widget, said)
    do(dialog, Qt.Key.Key_Return, CTRL, qtbot)
    settled()
    (line,) = section.shelf.rows
    assert (line.row.numbers.words, line.state) == ("RR-000100 to RR-000120", "Few left")
    section.end.click()
    settled()
    assert section.shelf.rows[0].state == "Ended 24 Nov 2026"
    assert messages.told == ["Van 1 has its numbers.", "The range of Van 1 has ended."]
    with desk.read() as connection:
        assert len(ranges(connection)) == 1


def test_the_firm_s_own_labels_become_a_format_to_choose(
    section: TagsSection, desk: Desk, qtbot: QtBot, settled: Callable[[], None]
) -> None:
    section.measures.click()
    settled()
    dialog = section.dialog
    assert isinstance(dialog, LabelsDialog)
    for name, said in (("width", "40"), ("height", "wide")):
        widget = dialog.fields[name].widget
        assert isinstance(widget, QLineEdit)
        typed(widget, said)
    do(dialog, Qt.Key.Key_Return, CTRL, qtbot)
    assert dialog.fields["height"].complaint == "“wide” is no number."
    height = dialog.fields["height"].widget
    assert isinstance(height, QLineEdit)
    typed(height, "20.5")
    do(dialog, Qt.Key.Key_Return, CTRL, qtbot)
    settled()
    section.labels.choose("own")
    section.colours.choose("off")
    settled()
    with desk.read() as connection:
        assert setting(connection, "tag_stock") == "own"
        assert setting(connection, "tag_own_labels") == {"width": 40, "height": 20.5}
        assert setting(connection, "tag_colours") == "off"


def test_own_labels_larger_than_their_page_are_refused_in_the_dialog(
    section: TagsSection, qtbot: QtBot, settled: Callable[[], None]
) -> None:
    section.measures.click()
    settled()
    dialog = section.dialog
    assert isinstance(dialog, LabelsDialog)
    for name, said in (("width", "100"), ("height", "20"), ("page_width", "90"), ("page_height", "297")):
        widget = dialog.fields[name].widget
        assert isinstance(widget, QLineEdit)
        typed(widget, said)
    do(dialog, Qt.Key.Key_Return, CTRL, qtbot)
    assert "The labels take 100 × 20 mm, and the page has only 90 × 297" in dialog._wrong.text()
    dialog.reject()


# --- without a window ---


def test_tags_are_written_without_a_window(
    register: Register, path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    desk = Desk(register, date.today())  # noqa: DTZ011 - the command reads the clock
    desk.site()
    desk.item("RR-1")
    desk.item("RR-2")
    desk.test("RR-1")
    with desk.change() as change:
        set_setting(change, "firm", "Bay firm")
    pdf = tmp_path / "tags.pdf"
    db = ["--write", "tags", "--db", str(path), "--out", str(pdf)]
    assert main([*db, "--site", "yard", "--stock", "roll-60x40"]) == 0
    said = capsys.readouterr()
    assert said.out == f"1 tag in {pdf}. Print at actual size (100 %).\n"
    assert said.err == "RR-2 has not passed all that is due, so it gets no pass tag. Test it first.\n"
    assert [codes_in(page) for page in pages_of(pdf, 8)] == [["RR-1"]]
    for wrong, why in (
        (["RR-9"], "No item has or had the tag RR-9"), (["RR-2"], "RR-2 has not passed"),
        (["RR-1", "--stock", "x"], "There is no format of labels “x”"), ([], "Name the items by their tags"),
        (["RR-1", "--start", "99"], "Place 99 is not on the sheet"),
    ):  # fmt: skip
        assert main([*db, *wrong]) == 1
        assert why in capsys.readouterr().err
    assert main(["--write", "tags", "RR-1"]) == 1
    assert "name a register with --db and the PDF with --out" in capsys.readouterr().err


def test_tags_named_without_writing_them_are_a_mistake_of_use(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["RR-1"])
    assert "tags are named for --write tags alone" in capsys.readouterr().err

"""Taking in spreadsheets and handing out workbooks: rehearsed, asked about, and refused with nothing lost."""

from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QPushButton
from pytestqt.qtbot import QtBot

from register.exchange.review import read_returned
from register.services.finding import site_choices
from register.services.owners.all_sites import owners_of_several
from resources import RESOURCES
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from ui.look.widgets import Words
from ui.program import Program
from ui.sheets.owner_book import OwnerBookDialog
from ui.sheets.take_in import TakeInDialog

SAMPLES = RESOURCES.parent / "sample_sites"
BOAT, CLEAN = SAMPLES / "brackwater-boatyard.xlsx", SAMPLES / "copperlane-cleaning-depot.csv"
ALT = Qt.KeyboardModifier.AltModifier
DAYS = "Tag,Description,Kind,Tested on,Result\n" + "".join(
    f"AA-{number},Drill,Class II,{number:02}/0{number}/2026,pass\n" for number in range(1, 8)
)
"""Every day of it can be read either way round."""


class Intake:
    """Somebody at the dialog that takes in a file."""

    def __init__(self, qtbot: QtBot, program: Program, settled: Callable[[], None], path: Path) -> None:
        self.qtbot, self._settle = qtbot, settled
        with program.jobs._register.read() as connection:
            sites = site_choices(connection)
        self.dialog = TakeInDialog(program.frame, program.desk, path, sites)
        self.dialog.open()
        settled()

    def new_site(self, code: str) -> None:
        self.dialog._site.setCurrentIndex(self.dialog._site.count() - 1)
        for field, text in ((self.dialog._code, code), (self.dialog._name, "The yard"), (self.dialog._owner, "Ltd")):
            field.setFocus()
            QTest.keyClicks(field, text)
        QTest.keyClick(self.dialog._owner, Qt.Key.Key_Tab)
        self._settle()

    @property
    def says(self) -> str:
        return "\n".join(each.text() for each in self.dialog.findChildren(Words) if each.isVisible())

    @property
    def problems(self) -> list[list[str]]:
        table = self.dialog._list
        found = []
        for row in range(table.rowCount()):
            cells = [table.item(row, column) for column in range(table.columnCount())]
            found.append([cell.text() for cell in cells if cell is not None])
        return found

    def press(self, said: str) -> None:
        (button,) = [each for each in self.dialog.findChildren(QPushButton) if each.text().startswith(said)]
        button.setFocus()
        QTest.keyClick(button, Qt.Key.Key_Space)
        self._settle()

    def take(self) -> None:
        with self.qtbot.waitSignal(self.dialog._take.clicked):
            QTest.keyClick(self.dialog, Qt.Key.Key_T, ALT)
        self._settle()


@pytest.fixture
def intake(qtbot: QtBot, program: Program, settled: Callable[[], None]) -> Callable[[Path], Intake]:
    return lambda path: Intake(qtbot, program, settled, path)


def test_a_new_site_is_asked_for_its_code_beside_the_field(intake: Callable[[Path], Intake]) -> None:
    at = intake(BOAT)
    at.dialog._site.setCurrentIndex(at.dialog._site.count() - 1)
    assert "Give the site a code." in at.says
    assert not at.dialog._take.isEnabled()
    at.new_site("BOAT")
    assert at.dialog._take.isEnabled()


def test_counts_and_each_row_that_is_left_out_are_shown_before_anything_is_kept(
    intake: Callable[[Path], Intake], desk: Desk, messages: RecordedMessages
) -> None:
    at = intake(BOAT)
    at.new_site("BOAT")
    assert "78 new" in at.says
    assert "Left out: 2." in at.says
    left_out = [row for row in at.problems if not row[-1].startswith("To look at")]
    assert len(left_out) == 2
    assert all(row[1].isdigit() and row[-1].endswith(".") for row in at.problems)
    assert not [each for each in desk.events() if each == "sheet-taken-in"]
    at.take()
    assert messages.told[-1].startswith("brackwater-boatyard.xlsx: 78 new items, 0 changed")
    assert desk.faults() == ()


def test_the_same_file_twice_changes_nothing(
    intake: Callable[[Path], Intake], messages: RecordedMessages, desk: Desk
) -> None:
    first = intake(BOAT)
    first.new_site("BOAT")
    first.take()
    again = intake(BOAT)
    again.dialog._site.setCurrentIndex(again.dialog._site.findData("BOAT"))
    first._settle()
    assert "0 new, 0 changed, 78 as they were" in again.says
    again.take()
    assert messages.told[-1].startswith("brackwater-boatyard.xlsx: 0 new items, 0 changed, 0 tests")
    assert desk.faults() == ()


def test_what_the_file_leaves_open_is_asked_and_a_mapping_answers_it(
    intake: Callable[[Path], Intake], tmp_path: Path, messages: RecordedMessages
) -> None:
    path = tmp_path / "days.csv"
    path.write_text(DAYS)
    at = intake(path)
    at.new_site("DAYS")
    assert at.dialog._tried.taken is None
    assert at.dialog._tried.reading is not None
    assert at.dialog._tried.reading.questions
    assert at.dialog._tried.reading.questions[0].said in at.says
    assert not at.dialog._take.isEnabled()
    messages.files = [tmp_path / "kept.toml"]
    at.press("Save how it was read")
    text = (tmp_path / "kept.toml").read_text()
    (tmp_path / "answer.toml").write_text('date_order = "dmy"\n' + text)
    messages.files = [tmp_path / "none.toml"]
    at.press("Use a mapping")
    assert "none.toml" in at.says


def test_a_mapping_makes_a_sheet_of_other_words_readable(
    intake: Callable[[Path], Intake], messages: RecordedMessages
) -> None:
    at = intake(CLEAN)
    at.new_site("CLEAN")
    messages.files = [SAMPLES / "mappings" / "B.toml"]
    at.press("Use a mapping")
    assert "rows read" in at.says
    at.take()
    assert messages.told[-1].startswith("copperlane-cleaning-depot.csv: ")


LIST = (
    "Tag,Was,Gruppe,Tested,Result\n"
    "A1,Drill,di,13/10/2026,pass\n"
    "A2,Saw,bohrer,14/10/2026,pass\n"
    "RR 4,Grinder,di,31/4/2026,pass\n"
)


def _correct(at: Intake, view: int, line: str, choice: str) -> None:
    """Choose a line among the columns or words, and then what it is, by keys."""
    at.dialog._view.setCurrentIndex(view)
    shown = (at.dialog._columns, at.dialog._words)[view - 1]
    (row,) = [n for n in range(shown.table.rowCount()) if line in [shown.table.item(n, c).text() for c in (1, 2)]]  # type: ignore[union-attr]
    shown.table.setCurrentCell(row, 0)
    place = shown.pick.findText(choice)
    assert place >= 0, choice
    shown.pick.setCurrentIndex(place)
    shown.pick.activated.emit(place)
    at._settle()


def test_columns_words_and_tags_are_corrected_on_the_spot_and_remembered(
    intake: Callable[[Path], Intake], tmp_path: Path, messages: RecordedMessages, desk: Desk
) -> None:
    (tmp_path / "list.csv").write_text(LIST)
    at = intake(tmp_path / "list.csv")
    assert "Items: 0 new" in at.says
    _correct(at, 1, "Gruppe", "Kind")
    _correct(at, 1, "Was", "Description")
    assert "Items: 2 new" in at.says
    _correct(at, 2, "bohrer", "appliance class 2")
    assert "Items: 3 new" in at.says
    _correct(at, 2, "RR 4", "It is RR-4")
    assert "Items: 2 new, 1 changed" in at.says
    messages.files = [tmp_path / "rows.xlsx"]
    at.press("Save the rows")
    assert messages.told[-1] == f"The rows are in {tmp_path / 'rows.xlsx'}; 1 left out are marked."
    at.take()
    (tmp_path / "next.csv").write_text(LIST.replace("A1", "A3").replace("A2", "A4"))
    again = intake(tmp_path / "next.csv")
    assert "2 new" in again.says
    assert "Read as “list” was." in again.says
    again.press("Read it afresh")
    assert "Items: 0 new" in again.says
    assert desk.faults() == ()


def test_only_what_was_shown_is_taken_in(intake: Callable[[Path], Intake], desk: Desk, tmp_path: Path) -> None:
    sheet = tmp_path / "list.csv"
    sheet.write_text("Tag,Description,Kind\nLD-1,Lead of 20 m,Extension lead\n", encoding="utf-8")
    at, before = intake(sheet), desk.events()
    at.new_site("DEPOT")
    at.dialog._code.setFocus()
    QTest.keyClicks(at.dialog._code, "S")
    at.take()
    assert desk.events() == before
    at.take()
    with desk.read() as connection:
        assert "DEPOTS" in [site.code for site in site_choices(connection)]


def test_what_was_asked_for_before_is_not_offered_without_a_site(intake: Callable[[Path], Intake]) -> None:
    at = intake(BOAT)
    at.new_site("BOAT")
    at.dialog._name.setText("The boatyard")
    at.dialog._rehearse()
    at.dialog._code.clear()
    at.dialog._rehearse()
    at._settle()
    assert not at.dialog._take.isEnabled()
    assert "Name the site" in at.says


def test_a_file_that_names_its_site_itself_says_so(intake: Callable[[Path], Intake]) -> None:
    at = intake(BOAT)
    at.new_site("SHED")
    assert "78 new" in at.says
    assert "Left out: 2. The file itself says where its rows belong: BOAT." in at.says


def test_headings_that_nobody_knows_are_named_one_by_one(intake: Callable[[Path], Intake], tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("Nummer,Was,Gruppe\nA1,Drill,di\nA2,Saw,di\nA3,Jug,di\n")
    at = intake(tmp_path / "list.csv")
    assert "No row of headings was found" in at.says
    assert at.dialog._view.currentText() == "3 columns and what each is taken for"
    assert [at.dialog._columns.table.item(row, 3).text() for row in range(3)] == [  # type: ignore[union-attr]
        "Left out (perhaps tag)", "Left out", "Left out (perhaps kind)",
    ]  # fmt: skip
    _correct(at, 1, "Nummer", "Tag")
    _correct(at, 1, "Gruppe", "Kind")
    assert "Items: 3 new" in at.says


def test_a_list_of_one_kind_is_told_in_one_choice(intake: Callable[[Path], Intake], tmp_path: Path) -> None:
    (tmp_path / "leads.csv").write_text("Tag,Description\nA1,by the door\nA2,in the van\n")
    at = intake(tmp_path / "leads.csv")
    at.new_site("LEAD")
    assert "Items: 0 new" in at.says
    assert at.dialog._view.currentText() == "2 columns and what each is taken for"
    _correct(at, 1, "(all rows)", "Kind of each: extension lead")
    assert "Items: 2 new" in at.says
    at.take()


def test_columns_without_which_nothing_comes_in_go_before_words(
    intake: Callable[[Path], Intake], tmp_path: Path
) -> None:
    (tmp_path / "leads.csv").write_text(
        "Tag,Description,Tested on,Result\nA1,by the door,2026-03-18,pass\nA2,in the van,2026-03-18,see note\n"
    )
    at = intake(tmp_path / "leads.csv")
    at.new_site("LEAD")
    assert "Columns were left out that may be needed" in at.says
    assert at.dialog._view.currentText() == "4 columns and what each is taken for"
    _correct(at, 1, "(all rows)", "Kind of each: extension lead")
    assert "1 word is not known here" in at.says


def test_a_column_is_corrected_on_all_sheets_of_a_file_at_once(
    intake: Callable[[Path], Intake], tmp_path: Path
) -> None:
    book = Workbook()
    for month in ("Jan", "Apr", "Jul"):
        sheet = book.create_sheet(month)
        sheet.append(["Tag", "Place", "What is it"])
        sheet.append([f"S-{month}", "Bar", "plug-in RCD"])
    book.save(tmp_path / "months.xlsx")
    at = intake(tmp_path / "months.xlsx")
    assert "Left out: 3. Columns were left out that may be needed: choose below what they are." in at.says
    assert at.dialog._view.currentText() == "9 columns and what each is taken for"
    at.dialog._columns.table.setCurrentCell(2, 0)
    at.dialog._columns.pick.setCurrentIndex(at.dialog._columns.pick.findText("Kind"))
    at.dialog._columns.pick.activated.emit(at.dialog._columns.pick.currentIndex())
    at._settle()
    assert "Items: 3 new" in at.says
    assert "Columns were left out" not in at.says


def test_words_for_want_of_which_nothing_comes_in_are_shown_first(
    intake: Callable[[Path], Intake], tmp_path: Path
) -> None:
    file = tmp_path / "words.csv"
    rows = ("Z-1,Drill,Class II,manufacturing", "Z-2,Saw,Class II,manufacturing")
    file.write_text("\n".join(("Tag,Description,Kind,Environment", *rows)))
    at = intake(file)
    assert "Left out: 2. 1 word is not known here: say below what it means." in at.says
    assert at.dialog._view.currentText() == "1 word or tag to be sure of"
    at.dialog._words.pick.setCurrentIndex(at.dialog._words.pick.findText("workshop"))
    at.dialog._words.pick.activated.emit(at.dialog._words.pick.currentIndex())
    at._settle()
    assert "Items: 2 new" in at.says
    assert "not known here" not in at.says


@pytest.mark.parametrize(
    ("name", "bytes_"),
    [("torn.xlsx", b"PK\x03\x04 torn"), ("letter.xlsx", b"A letter."), ("empty.csv", b""), ("nul.csv", b"a\0b,c\n1,2")],
)
def test_a_file_that_can_not_be_read_is_said_so_and_what_was_typed_stays(
    intake: Callable[[Path], Intake], desk: Desk, tmp_path: Path, name: str, bytes_: bytes
) -> None:
    path = tmp_path / name
    path.write_bytes(bytes_)
    before = desk.events()
    at = intake(path)
    at.new_site("TORN")
    assert at.dialog._tried.why
    assert at.dialog._tried.why in at.says
    assert not at.dialog._take.isEnabled()
    assert at.dialog._code.text() == "TORN"
    assert desk.events() == before


def test_leaving_while_the_file_is_read_or_taken_in_keeps_nothing(
    intake: Callable[[Path], Intake], desk: Desk, messages: RecordedMessages
) -> None:
    at = intake(BOAT)
    at.new_site("BOAT")
    before = desk.events()
    at.dialog._take_in()
    at.dialog.reject()
    at._settle()
    assert messages.failures == []
    assert "The work was stopped; nothing of it was kept." in at.says
    assert desk.events() == before
    at.dialog.reject()
    assert at.dialog.gone
    again = intake(BOAT)
    again.dialog._rehearse()
    again.dialog.reject()
    again._settle()
    assert messages.failures == []


def test_the_owner_workbook_says_what_will_stand_in_it_and_goes_where_it_is_told(
    qtbot: QtBot, program: Program, settled: Callable[[], None], desk: Desk, messages: RecordedMessages, tmp_path: Path
) -> None:
    desk.site("MILL")
    with program.jobs._register.read() as connection:
        sites = site_choices(connection)
    dialog = OwnerBookDialog(program.frame, program.desk, sites, next(each.id for each in sites if each.code == "YARD"))
    dialog.open()
    settled()
    assert "For Owner of YARD, as at today: 14 sheets with" in dialog._said.text()
    (tmp_path / "blocked").mkdir()
    messages.files = [tmp_path / "none" / "a.xlsx", tmp_path / "yard"]
    (write,) = [each for each in dialog.findChildren(QAbstractButton) if each.property("kind") == "primary"]
    for _time in range(2):
        with qtbot.waitSignal(write.clicked):
            QTest.keyClick(dialog, Qt.Key.Key_S, ALT)
        settled()
        if not dialog.gone:
            assert dialog._wrong.text()
            assert write.isEnabled()
    assert (tmp_path / "yard.xlsx").exists()
    assert messages.told[-1] == f"The owner's report is in {tmp_path / 'yard.xlsx'}."
    assert messages.failures == []


def test_an_owner_of_several_sites_gets_one_workbook_with_a_name_fit_to_send(
    qtbot: QtBot, program: Program, settled: Callable[[], None], desk: Desk, messages: RecordedMessages, tmp_path: Path
) -> None:
    for code in ("NORTH", "SOUTH"):
        desk.site(code, "hire", owner="Söhne & Co. / Hire")
        desk.item(f"{code}-1", site=code)
    with desk.read() as connection:
        sites, owners = site_choices(connection), owners_of_several(connection)
    dialog = OwnerBookDialog(program.frame, program.desk, sites, owners[-1].id, owners)
    dialog.open()
    settled()
    assert "For Söhne & Co. / Hire, as at today: 14 sheets" in dialog._said.text()
    assert dialog._preview is not None
    assert dialog._preview.name == f"sohne-co-hire-{desk.today.isoformat()}"
    messages.files = [tmp_path / "all.xlsx"]
    with qtbot.waitSignal(dialog._write.clicked):
        QTest.keyClick(dialog, Qt.Key.Key_S, ALT)
    settled()
    assert read_returned(tmp_path / "all.xlsx").sent.sites == ("NORTH", "SOUTH")

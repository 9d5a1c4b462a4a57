"""A hotel whose workbook goes out, is answered and comes back."""

from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.workbook import Workbook

from register.domain.words import Kind
from register.exchange.workbook import write_owner_workbook
from register.services.owners.report import owner_report
from register.services.places import known_site
from register.store.engine import Register
from tests.desk import Desk
from tests.registers import TODAY

COLUMNS = {
    "word": "Your answer",
    "to": "Moved to which area",
    "comment": "Your comment",
    "on": "Test button pressed on",
}


@pytest.fixture
def desk(register: Register) -> Desk:
    """A hotel with two areas, three switches and a lead; one switch is out of service."""
    desk = Desk(register)
    desk.site("HOTEL", "residential")
    for number, area in enumerate(("Bar", "Kitchen", "Bar"), start=1):
        desk.item(f"P{number}", site="HOTEL", area=area)
    desk.item("L1", Kind.EXTENSION_LEAD, site="HOTEL", area="Bar", safety_switch=None, serial="=1+1")
    desk.withdraw("P3")
    return desk


@pytest.fixture
def sent(desk: Desk, tmp_path: Path) -> Path:
    """The hotel's workbook."""
    return written(desk, tmp_path)


def written(desk: Desk, folder: Path) -> Path:
    """Write the hotel's workbook as it stands now."""
    book = folder / "hotel.xlsx"
    with desk.read() as connection:
        write_owner_workbook(owner_report(connection, known_site(connection, "HOTEL"), TODAY), book)
    return book


def column(sheet: Any, title: str) -> int:  # noqa: ANN401 - openpyxl's
    return next(int(cell.column) for cell in sheet[1] if cell.value == title)


def row_of(sheet: Any, tag: str) -> int:  # noqa: ANN401 - openpyxl's
    return next(row for row in range(2, sheet.max_row + 1) if sheet.cell(row, 2).value == tag)


def answer(book: Workbook, tag: str, title: str = "Register", **said: object) -> None:
    """Fill in the answers about one item."""
    sheet = book[title]
    for name, value in said.items():
        sheet.cell(row_of(sheet, tag), column(sheet, COLUMNS[name]), value)


def answered(sent: Path, **answers: dict[str, object]) -> Path:
    """Fill in answers by tag, as the owner does, and save the book beside."""
    book = load_workbook(sent)
    for tag, said in answers.items():
        answer(book, tag, **said)
    path = sent.with_name("answered.xlsx")
    book.save(path)
    return path

"""Workbooks (.xlsx, .xlsm), read row by row with openpyxl's parser: values only, no formula or macro is run."""

import re
import warnings
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from types import SimpleNamespace
from typing import IO, Any, Final
from xml.etree.ElementTree import Element

from openpyxl.cell.read_only import ReadOnlyCell
from openpyxl.reader.excel import ExcelReader
from openpyxl.styles.stylesheet import apply_stylesheet
from openpyxl.utils.cell import coordinate_to_tuple
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet._reader import DATA_TAG, FORMULA_TAG, ROW_TAG, VALUE_TAG, WorkSheetParser
from openpyxl.xml.functions import iterparse

from register.errors import Refused
from register.exchange.sheets import cells
from register.exchange.sheets.cells import Book, Broken, Note, Row, Span, Value
from register.exchange.sheets.gate import BAD_INSIDE, damaged
from register.exchange.sheets.weigh import WeighedZip

_AT_A_TIME: Final = 200
_ZEROS: Final = re.compile(r"0{2,}")
_UNCOUNTED: Final = Broken("", "the cell holds a formula whose result was not saved; open the file, save it, try again")


@contextmanager
def open_workbook(path: Path) -> Iterator[Book]:
    """Open a workbook that passed the gate, for as long as the block lasts.

    Refused when it is damaged or has too many sheets. Its rows are read only as they are asked for.
    """
    with path.open("rb") as file:
        reader, sheets = _open(path.name, file)
        shown = sum(not sheet.hidden for sheet in sheets)
        if shown > cells.MOST_SHEETS:
            raise Refused(
                f"“{path.name}” has {shown} sheets; at most {cells.MOST_SHEETS} are read from one file. "
                "Save a copy with fewer, or hide those that are not wanted."
            )
        notes = []
        if any("vbaproject" in name.casefold() for name in reader.valid_files):
            notes.append("The file holds macros. None was run: only the values of its cells are read.")
        from_1904 = reader.wb.epoch == CALENDAR_MAC_1904
        commented = any("comment" in name.casefold() for name in reader.valid_files)
        with reader.archive:
            yield Book(list(sheets), notes, counts_from_1904=from_1904, has_comments=commented)


def _open(name: str, file: IO[bytes]) -> "tuple[_Reader, list[_Sheet]]":
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about styles that openpyxl can't keep: none is wanted
            reader = _Reader(file, read_only=True, data_only=True, keep_links=False)
            reader.archive = WeighedZip(file, name)
            reader.read()
            return reader, list(reader.sheets(name))
    except BAD_INSIDE:
        raise damaged(name) from None


class _Reader(ExcelReader):
    """openpyxl's reader, of no more than the rows need: no properties, themes, charts or names."""

    archive: WeighedZip

    def read(self) -> None:
        """Read what the cells refer to: the texts, the number formats, and which parts the sheets are."""
        self.read_manifest()
        self.read_strings()
        self.texts = dict(enumerate(self.shared_strings))  # of a list, -1 would be the last
        self.read_workbook()
        apply_stylesheet(self.archive, self.wb)

    def sheets(self, file_name: str) -> "Iterator[_Sheet]":
        """Yield the sheets that have rows, in order."""
        parts: set[str] = set()
        for sheet, relation in self.parser.find_sheets():
            if not relation.Type.endswith("/worksheet"):
                continue
            if relation.target not in self.valid_files:
                raise damaged(file_name, f"sheet “{sheet.name[:60]}” is named in it and missing")
            if relation.target in parts:  # one part said a hundred times over would be read as often
                raise damaged(file_name, f"sheet “{sheet.name[:60]}” is the same part as another one")
            parts.add(relation.target)
            yield _Sheet(file_name, self, relation.target, sheet.name, hidden=sheet.state != "visible")


class _Sheet:
    """One worksheet of an open workbook."""

    def __init__(self, file_name: str, reader: _Reader, part: str, name: str, *, hidden: bool) -> None:
        self.name = name
        self.hidden = hidden
        self.notes: list[Note] = []
        self._file_name = file_name
        self._reader = reader
        self._part = part
        self._letters = self._stated = 0

    @property
    def spans(self) -> Sequence[Span]:
        """The cells that are merged over several rows, known once the first row was asked for."""
        return self._reader.archive.spans.get(self._part, ())

    def rows(self) -> Iterator[Row]:
        """Yield the filled rows, top down. Refused at a limit or where the sheet is damaged."""
        self._letters = self._stated = 0
        found = _filled(self._all(), self.notes)
        number, count = 0, 0
        while True:
            try:
                with warnings.catch_warnings():
                    warnings.simplefilter("ignore")  # a date beyond the calendar: the cell is given as an error
                    some = list(islice(found, _AT_A_TIME))
            except BAD_INSIDE:
                raise damaged(self._file_name, f"sheet “{self.name}”, after row {number}") from None
            if not some:
                return
            count += len(some)
            if count > cells.MOST_ROWS:
                raise cells.too_many_rows(self._file_name, self.name)
            number = some[-1][0]
            yield from some

    def _all(self) -> Iterator[Row]:
        """Yield every row that the file states, blank ones as empty tuples."""
        with self._reader.archive.open(self._part) as source:
            parser = _Parser(self._reader, source)
            last = 0
            for _, element in iterparse(source):
                if element.tag == DATA_TAG:
                    return  # what follows is formatting, and often what is broken in files of other programs
                if element.tag == ROW_TAG:
                    number, found = parser.read_row(element)
                    element.clear()
                    if number <= last:
                        raise ValueError(number)
                    last = number
                    yield number, self._values(number, found)

    def _values(self, number: int, found: Iterable[dict[str, Any]]) -> tuple[Value, ...]:
        values: list[Value] = []
        for cell in found:
            value, column = cell["value"], cell["column"]
            if value is None or value == "":
                continue
            if column > cells.MOST_COLUMNS:
                raise cells.too_many_columns(self._file_name, self.name, number, column)
            if isinstance(value, str):
                value = self._text(number, value, cell["data_type"])
            if len(values) < column:
                values.extend([None] * (column - len(values)))
            if values[column - 1] is not None or cell["row"] != number:
                raise ValueError(column)  # two cells of one place, or one of another row: programs read either
            values[column - 1] = value
        self._stated += len(values)
        if self._stated > cells.MOST_CELLS:
            raise Refused(
                f"Sheet “{self.name}” of “{self._file_name}” has more than {cells.MOST_CELLS:,} cells by row {number}, "
                "blank ones beside the list included. Delete what stands far beside the list, or split it."
            )
        return tuple(values)

    def _text(self, number: int, value: str, data_type: str) -> Value:
        self._letters += len(value)
        if self._letters > cells.MOST_LETTERS:
            raise Refused(
                f"Sheet “{self.name}” of “{self._file_name}” holds more than {cells.MOST_LETTERS / 1e6:.0f} million "
                f"characters by row {number}. Split the list and import each part on its own."
            )
        if len(value) > cells.LONGEST_CELL:
            return cells.too_long(value)
        return Broken(value, "the cell shows an error of the spreadsheet") if data_type == "e" else value


class _Parser(WorkSheetParser):
    """openpyxl's parser of cells, which also tells formulas without a result and takes bad dates one by one."""

    def __init__(self, reader: _Reader, source: IO[bytes]) -> None:
        book: Any = reader.wb
        super().__init__(
            source,
            reader.texts,
            data_only=True,
            epoch=book.epoch,
            date_formats=book._date_formats,  # noqa: SLF001 - openpyxl has no public way to these
            timedelta_formats=book._timedelta_formats,  # noqa: SLF001 - as above
        )
        self._sheet: Any = SimpleNamespace(parent=book)
        self._widths: dict[int, int] = {}

    def read_row(self, element: Element) -> tuple[int, list[dict[str, Any]]]:
        """Return the row's number and its cells."""
        self.row_counter = int(element.get("r") or self.row_counter + 1)
        self.col_counter = 0
        return self.row_counter, [self.parse_cell(cell) for cell in element]

    def parse_cell(self, element: Any) -> dict[str, Any]:  # noqa: ANN401 - as openpyxl has it
        """Return the cell's row, column, value and type."""
        try:
            cell: dict[str, Any] = super().parse_cell(element)
        except ValueError:
            cell = self._unreadable(element)
        value = cell["value"]
        if value is None:
            if element.find(FORMULA_TAG) is not None and not _is_empty_text(element):
                cell["value"] = _UNCOUNTED
        elif type(value) is int and cell["style_id"]:
            width = self._width(cell)
            if width:
                cell["value"] = f"{value:0{width}d}"
        return cell

    def _unreadable(self, element: Element) -> dict[str, Any]:
        text = element.findtext(VALUE_TAG)
        if text is None or element.get("t", "n") not in {"d", "n"}:
            raise ValueError(text)
        place = element.get("r")
        column = coordinate_to_tuple(place)[1] if place else self.col_counter
        what = "a date" if element.get("t") == "d" else "a number"
        return {
            "row": self.row_counter,
            "column": column,
            "value": Broken(text, f"the cell is marked as {what} but holds none"),
            "data_type": "e",
        }

    def _width(self, cell: dict[str, Any]) -> int:
        """Return how many digits the cell shows, where its format fills up with zeros: 00042 for 42."""
        style: int = cell["style_id"]
        if style not in self._widths:
            shown = ReadOnlyCell(self._sheet, **cell).number_format
            self._widths[style] = len(shown) if _ZEROS.fullmatch(shown) else 0
        return self._widths[style]


def _is_empty_text(element: Element) -> bool:
    return element.get("t") == "str" and element.find(VALUE_TAG) is not None


def _filled(rows: Iterator[Row], notes: list[Note]) -> Iterator[Row]:
    """Yield the rows that hold something, until 1,000 blank ones in a row; note it if the sheet goes on after them."""
    last = 0
    for number, values in rows:
        blank = number - last - (1 if values else 0)
        if blank >= cells.MOST_BLANK_ROWS:
            if values or any(more for _, more in islice(rows, cells.LOOK_ON)):
                notes.append(cells.goes_on(last))
            return
        if values:
            yield number, values
            last = number

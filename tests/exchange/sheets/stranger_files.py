"""Workbooks that are whole as packed files and strange inside: formulas that lead out, merged cells without end."""

import io
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Final

from tests.exchange.sheets.made_files import (
    HEADS,
    ITEM,
    ROWS,
    SHEET,
    cell,
    changed,
    sheet_xml,
    text_table,
    whole,
    with_sheet,
    with_texts,
    workbook,
)

Make = Callable[[Path], Path]
KINDS: Final = "[Content_Types].xml"


def _with(part: str, content: bytes | Callable[[bytes], bytes] | None) -> Make:
    return lambda folder: changed(whole(folder), {part: content}, folder / "made.xlsx")


def _sheet(rows: str, *, before: str = "") -> Make:
    return lambda folder: with_sheet(folder, sheet_xml(HEADS + rows, before=before))


def _packed(folder: Path) -> Path:
    """A packed file within, of 50 MB of nothing."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("x", bytes(50_000_000))
    return _with("xl/embeddings/inner.zip", held.getvalue())(folder)


def _twice(folder: Path) -> Path:
    """Two parts of one name, of which programs may read either."""
    path = whole(folder)
    with zipfile.ZipFile(path, "a") as archive, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        archive.writestr(SHEET, sheet_xml(HEADS + ITEM))
    return path


def _far_merged(folder: Path) -> Path:
    """One cell at the far right, merged down over 60,000 rows of one cell each."""
    rows = "".join(f'<row r="{number}">{cell(f"T{number}", f"A{number}")}</row>' for number in range(3, 60_000))
    far = f'<row r="2">{cell("T2", "A2")}{cell("far", "GR2")}</row>'
    merged = '<mergeCells><mergeCell ref="GR2:GR1048576"/></mergeCells>'
    return with_sheet(folder, sheet_xml(HEADS + far + rows, after=merged))


def _item(first: str) -> Make:
    """A workbook with one item, whose tag is in a cell that is given."""
    return _sheet(f'<row r="2">{first}{cell("YARD", "B2")}{cell("Cord set", "C2")}</row>')


def _formula(inside: str) -> Make:
    """A workbook whose tag is the result of a formula."""
    return _item(f'<c r="A2" t="str">{inside}<v>A1</v></c>')


def _numbers(*numbers: str) -> Make:
    rows = (f'<row r="{row}"><c r="A{row}"><v>{number}</v></c></row>' for row, number in enumerate(numbers, start=3))
    return _sheet(ITEM + "".join(rows))


def _format(code: str) -> Make:
    """A workbook in whose styles a number format has this code."""
    format_ = f'<numFmts count="1"><numFmt numFmtId="200" formatCode="{code}"/></numFmts><fonts'.encode()
    return _with("xl/styles.xml", lambda xml: xml.replace(b'<numFmts count="0" />', b"").replace(b"<fonts", format_, 1))


def _second_gone(folder: Path) -> Path:
    """A workbook of two sheets, one of which is not in it."""
    two = workbook(folder / "two.xlsx", ROWS, more={"Yard": ROWS})
    return changed(two, {"xl/worksheets/sheet2.xml": None}, folder / "made.xlsx")


def _one_part_for_all(folder: Path) -> Path:
    """A workbook of fifteen sheets that are all the same part."""
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    target = "/xl/worksheets/sheet1.xml"
    links = "".join(f'<Relationship Id="q{n}" Type="{kind}/worksheet" Target="{target}"/>' for n in range(14))
    named = "".join(f'<sheet xmlns:r="{kind}" name="S{n}" sheetId="{n + 9}" r:id="q{n}"/>' for n in range(14))
    changes: dict[str, Callable[[bytes], bytes]] = {
        "xl/_rels/workbook.xml.rels": lambda xml: xml.replace(b"</Rel", links.encode() + b"</Rel"),
        "xl/workbook.xml": lambda xml: xml.replace(b"</sheets>", named.encode() + b"</sheets>"),
    }
    return changed(whole(folder), {**changes}, folder / "made.xlsx")


def _stories(piece: str) -> Make:
    """A text table with stories, far too long, where dates, numbers and readings should be."""
    heads = ["Tag", "Site", "Kind", "Test date", "Result", "Trip 0°", "Earth (Ω)", "Outlets", "Serial"]

    def make(folder: Path) -> Path:
        rows = ([f"A{n}", "YARD", "Cord set", *[f"{n}{piece}"] * 6] for n in range(60))
        return text_table(folder / "made.csv", [heads, *rows])

    return make


STRANGE: Final[dict[str, tuple[Make, int | str]]] = {
    "a packed file within": (_packed, 2),
    "parts of another program's kind": (
        _with(KINDS, lambda xml: xml.replace(b"spreadsheetml.sheet", b"wordprocessingml.document")), "is damaged"),
    "no kinds of parts": (_with(KINDS, b"<Types/>"), "is damaged"),
    "kinds of parts that are no XML": (_with(KINDS, b"none"), "not XML in UTF-8"),
    "no word of where the sheets are": (_with("xl/_rels/workbook.xml.rels", None), "is damaged"),
    "two parts of one name": (_twice, 1),
    "a formula that leads to another file": (_formula("<f>'file:///etc/[hostname]x'!A1</f>"), 1),
    "one formula shared by the whole sheet": (_formula('<f t="shared" ref="A2:XFD1048576" si="0">A1</f>'), 1),
    "a formula of the whole sheet": (_formula('<f t="array" ref="A2:XFD1048576">1</f>'), 1),
    "a style that is not there": (_item('<c r="A2" s="99999999" t="inlineStr"><is><t>A1</t></is></c>'), 1),
    "numbers that are none": (_numbers("NaN", "Infinity", "1e999", "-1e-999"), 1),
    "a cell beyond every column": (_item('<c r="ZZZZZZZZ2"><v>1</v></c>'), "is damaged"),
    "a text of a number that none has": (
        lambda folder: with_texts(folder, ["x"], sheet_xml(HEADS + '<row r="2"><c t="s"><v>9999999999</v></c></row>')),
        "is damaged"),
    "rows in a remark": (_sheet(ITEM, before="<!--" + "<row>" * 10_000 + "-->"), 1),
    "90,000 names of other kinds": (
        _sheet(ITEM, before="".join(f'<n{n}:a xmlns:n{n}="u{n}"/>' for n in range(90_000))), 1),
    "a number format without end": (_format("[" * 100_000), "a number format of thousands of characters"),
    "a sheet of two that is gone": (_second_gone, "sheet “Yard” is named in it and missing"),
    "a text before the first": (
        lambda folder: with_texts(
            folder, ["A1", "B1"], sheet_xml(HEADS + ITEM.replace(cell("A1", "A2"), '<c r="A2" t="s"><v>-1</v></c>'))),
        "is damaged"),
    "two cells of one place": (_item(cell("A1", "A2") + cell("A9", "A2")), "is damaged"),
    "a cell of another row": (_item(cell("A1", "A77")), "is damaged"),
    "cells from right to left": (
        _sheet('<row r="2">' + cell("Cord set", "C2") + cell("YARD", "B2") + cell("A1", "A2") + "</row>"), 1),
    "fifteen sheets of one part": (_one_part_for_all, "is the same part as another one"),
    "stories of blanks and commas": (_stories("\u00a0," * 16_000), 0),
    "stories of slashes": (_stories("/1" * 16_000), 0),
    "one far cell merged over 60,000 rows": (_far_merged, "once its merged ones are taken apart"),
}  # fmt: skip
"""What is to become of each, as of the others: a number of items, or words of the sentence with which it ends."""

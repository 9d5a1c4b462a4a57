"""A workbook of many rows as spreadsheet programs write it: each text once, cells pointing to it, days as numbers.

openpyxl writes every text into its cell, which takes longer to read and is not what arrives from a contractor.
"""

from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Final
from xml.sax.saxutils import escape
from zipfile import ZIP_DEFLATED, ZipFile

from openpyxl.utils import get_column_letter

from register.domain.words import Kind
from tests.bench.made_up import AREAS, KINDS, OUTLETS, THINGS, visit_of

Cell = str | int | float | date | None

HEADINGS: Final = (
    "Tag No", "Area", "Kind", "Description", "Serial No", "Outlets", "Rated residual current", "Switch type",
    "Test date", "Tested by", "Visual", "Earth resistance (ohm)", "Insulation resistance (Mohm)", "Result", "Remarks",
)  # fmt: skip
WORDS: Final = {
    Kind.APPLIANCE_CLASS_1: "Class I",
    Kind.APPLIANCE_CLASS_2: "Class II",
    Kind.EXTENSION_LEAD: "Extension lead",
    Kind.CORD_SET: "Cord set",
    Kind.PORTABLE_OUTLET_DEVICE: "Power board",
    Kind.PORTABLE_SAFETY_SWITCH: "Portable RCD",
    Kind.FIXED_SAFETY_SWITCH: "Fixed RCD",
    Kind.ISOLATING_TRANSFORMER: "Isolating transformer",
}

MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE: Final = "http://schemas.openxmlformats.org/package/2006"
TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml"

PARTS: Final = {
    "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Override PartName="/xl/workbook.xml" ContentType="{TYPE}.sheet.main+xml"/>'
    f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{TYPE}.worksheet+xml"/>'
    f'<Override PartName="/xl/styles.xml" ContentType="{TYPE}.styles+xml"/>'
    f'<Override PartName="/xl/sharedStrings.xml" ContentType="{TYPE}.sharedStrings+xml"/></Types>',
    "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships">'
    f'<Relationship Id="rId1" Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
    "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}">'
    '<sheets><sheet name="Register" sheetId="1" r:id="rId1"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships">'
    f'<Relationship Id="rId1" Type="{OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
    f'<Relationship Id="rId2" Type="{OFFICE}/styles" Target="styles.xml"/>'
    f'<Relationship Id="rId3" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/></Relationships>',
    "xl/styles.xml": f'<styleSheet xmlns="{MAIN}"><fonts count="1"><font/></fonts>'
    '<fills count="1"><fill><patternFill/></fill></fills>'
    '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
    '<cellXfs count="2"><xf/><xf numFmtId="14" applyNumberFormat="1"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>',
}


def write_sheet(path: Path, rows: int) -> None:
    """Write a workbook with one sheet of so many items, each with its latest test."""
    rng = Random("sheet")  # noqa: S311 - made-up data, no secret
    texts: dict[str, int] = {}
    lines = [_line(1, list(HEADINGS), texts), *(_line(number + 2, _row(number, rng), texts) for number in range(rows))]
    strings = "".join(f"<si><t>{escape(text)}</t></si>" for text in texts)
    with ZipFile(path, "w", ZIP_DEFLATED) as book:
        for name, content in PARTS.items():
            book.writestr(name, content)
        book.writestr("xl/sharedStrings.xml", f'<sst xmlns="{MAIN}">{strings}</sst>')
        sheet = "".join(lines)
        book.writestr(
            "xl/worksheets/sheet1.xml", f'<worksheet xmlns="{MAIN}"><sheetData>{sheet}</sheetData></worksheet>'
        )


def _line(number: int, cells: list[Cell], texts: dict[str, int]) -> str:
    made = (
        _cell(f"{get_column_letter(place)}{number}", value, texts)
        for place, value in enumerate(cells, 1)
        if value is not None
    )
    return f'<row r="{number}">{"".join(made)}</row>'


def _cell(place: str, value: Cell, texts: dict[str, int]) -> str:
    if isinstance(value, str):
        return f'<c r="{place}" t="s"><v>{texts.setdefault(value, len(texts))}</v></c>'
    if isinstance(value, date):
        return f'<c r="{place}" s="1"><v>{(value - date(1899, 12, 30)) // timedelta(days=1)}</v></c>'
    return f'<c r="{place}"><v>{value}</v></c>'


def _row(number: int, rng: Random) -> list[Cell]:
    kind = rng.choices(list(KINDS), list(KINDS.values()))[0]
    fails, switch = rng.random() < 0.02, "safety" in kind.value
    place = rng.randrange(len(THINGS[kind]))
    earthed = kind not in {Kind.APPLIANCE_CLASS_2, Kind.ISOLATING_TRANSFORMER, Kind.FIXED_SAFETY_SWITCH}
    result = "Fail" if fails else "Pass"
    return [
        f"N{number:06}", rng.choice(AREAS), WORDS[kind], THINGS[kind][place], f"{rng.randrange(36**6):08X}",
        OUTLETS[kind][place % len(OUTLETS[kind])] if kind in OUTLETS else None,
        30 if switch else None, "II" if switch else None, visit_of(number % 40), f"Tester {rng.randrange(6)}", result,
        round(rng.uniform(0.05, 0.6), 2) if earthed else None, rng.randrange(50, 400), result,
        "cord damaged" if fails else None,
    ]  # fmt: skip

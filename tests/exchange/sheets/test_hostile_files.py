"""Files that are damaged, hostile or something else: each is refused with a sentence that names the cause."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from register.errors import Refused, Unavailable
from tests.exchange.sheets.made_files import (
    NAMESPACE,
    SHEET,
    cell,
    changed,
    read,
    second_hidden,
    sheet_xml,
    with_sheet,
    with_texts,
    workbook,
)

ROWS = [["Tag", "Site", "Kind"], ["A1", "YARD", "Extension lead"], ["A2", "YARD", "Cord set"]]
HEADS = '<row r="1">' + cell("Tag", "A1") + cell("Site", "B1") + cell("Kind", "C1") + "</row>"
ITEM = '<row r="2">' + cell("A1", "A2") + cell("YARD", "B2") + cell("Cord set", "C2") + "</row>"


def _whole(folder: Path) -> Path:
    return workbook(folder / "whole.xlsx", ROWS)


def _bytes(name: str, content: bytes) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        (folder / name).write_bytes(content)
        return folder / name

    return make


def _zip(names: dict[str, bytes], *, packing: int = zipfile.ZIP_DEFLATED) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        with zipfile.ZipFile(folder / "made.xlsx", "w", packing) as archive:
            for name, content in names.items():
                archive.writestr(name, content)
        return folder / "made.xlsx"

    return make


def _changed(changes: dict[str, Callable[[bytes], bytes] | bytes | None]) -> Callable[[Path], Path]:
    return lambda folder: changed(_whole(folder), changes, folder / "made.xlsx")


def _sheet(rows: str, *, before: str = "", after: str = "") -> Callable[[Path], Path]:
    return lambda folder: with_sheet(folder, sheet_xml(rows, before=before, after=after))


def _cut(folder: Path) -> Path:
    whole = _whole(folder).read_bytes()
    (folder / "cut.xlsx").write_bytes(whole[: len(whole) // 2])
    return folder / "cut.xlsx"


def _flipped(folder: Path) -> Path:
    data = bytearray(changed(_whole(folder), {}, folder / "stored.xlsx").read_bytes())
    with zipfile.ZipFile(folder / "stored.xlsx") as archive:
        at = archive.getinfo(SHEET).header_offset + 60
    data[at : at + 8] = bytes(byte ^ 0xFF for byte in data[at : at + 8])
    (folder / "flipped.xlsx").write_bytes(data)
    return folder / "flipped.xlsx"


def _lying(folder: Path) -> Path:
    """A part that unpacks to more than its header says."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr("[Content_Types].xml", b"<Types/>")
    data = held.getvalue().replace((8).to_bytes(4, "little"), (3).to_bytes(4, "little"))
    (folder / "lying.xlsx").write_bytes(data)
    return folder / "lying.xlsx"


def _locked(folder: Path) -> Path:
    data = bytearray(_whole(folder).read_bytes())
    at = data.find(b"PK\x01\x02")
    data[at + 8] |= 1
    (folder / "locked.xlsx").write_bytes(data)
    return folder / "locked.xlsx"


def _named_out(name: str) -> Callable[[Path], Path]:
    return _changed({name: b"x"})


def _many_names(folder: Path) -> Path:
    """A directory of 200,000 names, which alone would take a hundred megabytes to list."""
    entry = b"PK\x01\x02" + bytes(24) + (1).to_bytes(2, "little") + bytes(16) + b"x"
    end = b"PK\x05\x06" + bytes(8) + (len(entry) * 200_000).to_bytes(4, "little") + bytes(6)
    (folder / "many.xlsx").write_bytes(b"PK\x03\x04" + bytes(26) + entry * 200_000 + end)
    return folder / "many.xlsx"


def _many_sheets(folder: Path) -> Path:
    return workbook(folder / "made.xlsx", ROWS, more={f"Site {number}": ROWS for number in range(20)})


ENTITIES = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
    b'<worksheet xmlns="' + NAMESPACE.encode() + b'"><sheetData/></worksheet>'
)
OUTSIDE = ENTITIES.replace(b'<!ENTITY a "ha">', b'<!ENTITY a SYSTEM "file:///etc/hostname">')

REFUSED: dict[str, tuple[Callable[[Path], Path], str]] = {
    "no bytes": (_bytes("made.xlsx", b""), "is empty"),
    "text named as a workbook": (_bytes("made.xlsx", b"Tag,Site\nA1,YARD\n"), "named like a workbook but is not one"),
    "a password": (_bytes("made.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)), "protected by a password"),
    "an old workbook": (_bytes("made.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)), "the old .xls form"),
    "more than 25 MB": (_bytes("made.csv", b"Tag,Site\n" * 3_000_000), "at most 25 MB"),
    "cut in half": (_cut, "is damaged"),
    "bytes changed": (_flipped, "is damaged"),
    "a header that lies about the size": (_lying, "is damaged"),
    "a zip of nothing": (_bytes("made.xlsx", b"PK\x05\x06" + bytes(18)), "not a workbook"),
    "a zip of something": (_zip({"letter.txt": b"Dear Sir"}), "not a workbook"),
    "an OpenDocument file": (
        _zip({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet", "content.xml": b"<x/>"}),
        "an OpenDocument file",
    ),
    "a text document": (_zip({"[Content_Types].xml": b"<x/>", "word/document.xml": b"<x/>"}), "a text document"),
    "a binary workbook": (_zip({"[Content_Types].xml": b"<x/>", "xl/workbook.bin": b"x"}), "a binary workbook (.xlsb)"),
    "a locked part": (_locked, "protected by a password"),
    "a part packed with LZMA": (
        _zip({"[Content_Types].xml": b"<Types/>"}, packing=zipfile.ZIP_LZMA),
        "packed in a way that workbooks don't use",
    ),
    "a part named upwards": (_named_out("../../evil.xml"), "points outside the file"),
    "a part with an absolute name": (_named_out("/etc/evil.xml"), "points outside the file"),
    "1,001 parts": (_changed({f"xl/media/{number}.xml": b"<x/>" for number in range(1001)}), "at most 1,000"),
    "a directory of 200,000 names": (_many_names, "at most 1,000"),
    "300 MB unpacked": (
        _zip({"[Content_Types].xml": b"<x/>", **{f"{number}": bytes(30_000_000) for number in range(10)}}),
        "unpacks to 300 MB",
    ),
    "a ratio of 1,000": (_changed({SHEET: sheet_xml(" " * 30_000_000)}), "times its size"),
    "no workbook inside": (_zip({"[Content_Types].xml": b"<Types/>"}), "is damaged"),
    "a sheet that is no XML": (_changed({SHEET: b"\x00\x01\x02"}), "not XML in UTF-8"),
    "a sheet in another encoding": (
        _changed({SHEET: b'<?xml version="1.0" encoding="cp037"?><worksheet/>'}),
        "not XML in UTF-8",
    ),
    "a strict workbook": (
        _changed({SHEET: sheet_xml("").replace(NAMESPACE.encode(), b"http://purl.oclc.org/ooxml/spreadsheetml/main")}),
        "in the strict form of .xlsx",
    ),
    "a sheet cut off": (_changed({SHEET: lambda xml: xml[: xml.index(b"</row>")]}), "is damaged"),
    "entities that grow": (_changed({SHEET: ENTITIES}), "declares entities"),
    "an entity from outside": (_changed({SHEET: OUTSIDE}), "declares entities"),
    "a text that is not there": (
        lambda folder: with_texts(folder, ["x"], sheet_xml('<row r="1"><c r="A1" t="s"><v>99</v></c></row>')),
        "is damaged and can't be read: sheet “Register”",
    ),
    "rows out of order": (_sheet(ITEM + HEADS), "is damaged"),
    "a row number that is none": (_sheet('<row r="one"/>'), "is damaged"),
    "300 columns": (
        lambda folder: workbook(folder / "made.xlsx", [[f"Column {number}" for number in range(300)]]),
        "at most 200 columns",
    ),
    "a row of 20,000 cells": (_sheet('<row r="1">' + "<c/>" * 20_000 + "</row>"), "a row has more than 16,384 cells"),
    "a cell of half a megabyte": (
        _sheet("<row>" + cell("".join(f"{number} " for number in range(100_000))) + "</row>"),
        "more than 32,767 characters",
    ),
    "a hundred thousand formats": (
        _sheet("", before="".join(f'<x a="{number}"/>' for number in range(150_000))),
        "far more formatting than a list needs",
    ),
    "tags within tags": (_sheet("<a>" * 150_000 + "</a>" * 150_000), "far more formatting than a list needs"),
    "half a million texts": (
        lambda folder: with_texts(folder, map(str, range(500_001)), sheet_xml("")),
        "more than 500,000 different texts",
    ),
    "100,001 rows": (
        _sheet(HEADS + "".join(f'<row r="{n}"><c><v>{n}</v></c></row>' for n in range(2, 100_003))),
        "more than 100,000 filled rows",
    ),
    "two million cells": (
        lambda folder: with_sheet(folder, sheet_xml(("<row>" + "<c/>" * 16_000 + "</row>") * 126), packed=False),
        "more than 2,000,000 cells",
    ),
    "a row of 17 MB": (
        lambda folder: with_sheet(
            folder, sheet_xml("<row>" + f'<c a="{"x" * 1_100}"/>' * 16_000 + "</row>"), packed=False
        ),
        "a row of more than 16 MB",
    ),
    "50 million characters": (
        lambda folder: with_texts(
            folder, ["x" * 32_000], sheet_xml(HEADS + '<row><c t="s"><v>0</v></c></row>' * 1_600)
        ),
        "more than 50 million characters",
    ),
    "21 sheets": (_many_sheets, "has 21 sheets; at most 20"),
    "only a hidden sheet": (
        lambda folder: changed(
            workbook(folder / "whole.xlsx", [], title="Blank", more={"Register": ROWS}),
            {"xl/workbook.xml": second_hidden},
            folder / "made.xlsx",
        ),
        "hidden",
    ),
    "blank": (lambda folder: workbook(folder / "made.xlsx", []), "its sheets are blank"),
    "NUL bytes": (_bytes("made.csv", b"Tag,Site\nA1,\x00YARD\n"), "holds NUL bytes"),
    "half of UTF-16": (_bytes("made.csv", b"\xff\xfeT\x00a\x00g"), "damaged further on"),
    "one line of a megabyte": (_bytes("made.csv", b"Tag,Site\n" + b"x" * 1_000_001), "no row of a list is so long"),
    "a quotation mark never closed": (
        _bytes("made.csv", b'Tag,Site,Kind\n"A1,YARD,lead\n' + b"A2,YARD,lead\n" * 20_000),
        "a quotation mark is never closed",
    ),
    "201 columns of text": (_bytes("made.csv", b"Tag,Site" + b",x" * 199 + b"\n"), "at most 200 columns"),
    "100,001 rows of text": (_bytes("made.csv", b"Tag,Site\n" + b"A1,YARD\n" * 100_000), "100,000 filled rows"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_a_hostile_file_is_refused_with_its_cause_and_left_as_it_is(name: str, tmp_path: Path) -> None:
    make, cause = REFUSED[name]
    path = make(tmp_path)
    before = path.read_bytes()
    with pytest.raises(Refused) as refused:
        read(path)
    said = str(refused.value)
    assert cause in said
    assert path.read_bytes() == before
    assert said.endswith(".")
    assert "Error" not in said


def test_a_folder_is_refused_and_a_missing_file_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="is a folder"):
        read(tmp_path)
    with pytest.raises(Unavailable, match=r"There is no file “gone\.xlsx”"):
        read(tmp_path / "gone.xlsx")
    with pytest.raises(Unavailable, match="can't be read"):
        read(tmp_path / "n\x00l.xlsx")


def test_a_name_that_leads_to_no_file_but_a_device_ends_with_a_sentence() -> None:
    with pytest.raises((Refused, Unavailable)):
        read(Path("/dev/null"))

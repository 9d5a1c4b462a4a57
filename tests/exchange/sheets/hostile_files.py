"""Hostile, damaged and odd files, each made by a few lines: what they do, and what has to be said of them."""

import io
import os
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Final

from tests.exchange.sheets.made_files import (
    HEADS,
    ITEM,
    NAMESPACE,
    ROWS,
    SHEET,
    cell,
    changed,
    second_hidden,
    sheet_xml,
    text_table,
    whole,
    with_sheet,
    with_texts,
    workbook,
)


def _bytes(name: str, content: bytes, piece: bytes = b"", times: int = 0) -> Callable[[Path], Path]:
    """A file with these bytes, and behind them a piece so many times: nothing long is held before it is made."""

    def make(folder: Path) -> Path:
        (folder / name).write_bytes(content + piece * times)
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
    return lambda folder: changed(whole(folder), changes, folder / "made.xlsx")


def _sheet(rows: str, *, before: str = "", after: str = "", piece: str = "", times: int = 0) -> Callable[[Path], Path]:
    """A workbook whose sheet has these rows, and behind them a piece so many times."""
    return lambda folder: with_sheet(folder, sheet_xml(rows + piece * times, before=before, after=after))


def _cut(folder: Path) -> Path:
    content = whole(folder).read_bytes()
    (folder / "cut.xlsx").write_bytes(content[: len(content) // 2])
    return folder / "cut.xlsx"


def _flipped(folder: Path) -> Path:
    data = bytearray(changed(whole(folder), {}, folder / "stored.xlsx").read_bytes())
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
    data = bytearray(whole(folder).read_bytes())
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
    "more than 25 MB": (_bytes("made.csv", b"", b"Tag,Site\n", 3_000_000), "at most 25 MB"),
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
    "a page of the web": (_bytes("made.xls", b"\r\n<HTML><table><tr><td>Tag</td></tr></HTML>"), "a page of the web"),
    "a table of another program": (_bytes("made.xml", b'\xef\xbb\xbf<?xml version="1.0"?><Workbook/>'), "is XML"),
    "a PDF": (_bytes("made.pdf", b"%PDF-1.7\n1 0 obj\n"), "is a PDF"),
    "a picture": (_bytes("made.csv", b"\xff\xd8\xff\xe0\x00\x10JFIF"), "is a picture"),
    "a packed table": (_bytes("made.csv", b"\x1f\x8b\x08\x00" + bytes(30)), "is a packed file"),
    "only tags": (_bytes("made.csv", b"Tag,Shelf,Colour\nA1,1,red\nA2,2,blue\n"), "a column for the tag and none"),
    "months along the top": (
        _bytes("made.csv", b"Tag,Plant,Jan,Feb,Mar-26,Q2 2026\nA1,Mixer,x,x,x,x\nA2,Mixer,x,x,x,x\n"),
        "days or months along its top (“Jan”, “Feb”, “Mar-26”)",
    ),
    "blank": (lambda folder: workbook(folder / "made.xlsx", []), "its sheets are blank"),
    "NUL bytes": (_bytes("made.csv", b"Tag,Site\nA1,\x00YARD\n"), "holds NUL bytes"),
    "half of UTF-16": (_bytes("made.csv", b"\xff\xfeT\x00a\x00g"), "damaged further on"),
    "one line of a megabyte": (_bytes("made.csv", b"Tag,Site\n", b"x", 1_000_001), "no row of a list is so long"),
    "a quotation mark never closed": (
        _bytes("made.csv", b'Tag,Site,Kind\n"A1,YARD,lead\n' + b"A2,YARD,lead\n" * 20_000),
        "a quotation mark is never closed",
    ),
    "201 columns of text": (_bytes("made.csv", b"Tag,Site" + b",x" * 199 + b"\n"), "at most 200 columns"),
    "100,001 rows of text": (_bytes("made.csv", b"Tag,Site\n", b"A1,YARD\n", 100_000), "100,000 filled rows"),
}  # fmt: skip


def _many_columns(folder: Path) -> Path:
    """One cell in the last column that is read, in each of 100,000 rows: blanks that fill the memory."""
    rows = "".join(f'<row r="{number}">{cell("x", f"GR{number}")}</row>' for number in range(2, 100_000))
    return with_sheet(folder, sheet_xml(HEADS + rows))


def _with_part(
    name: str, content: bytes, more: dict[str, Callable[[bytes], bytes]] | None = None
) -> Callable[[Path], Path]:
    return _changed({name: content, **(more or {})})


def _leading(where: str) -> Callable[[Path], Path]:
    """A workbook whose sheet is said to be somewhere else."""
    change = {"xl/_rels/workbook.xml.rels": lambda xml: xml.replace(b"/xl/worksheets/sheet1.xml", where.encode())}
    return _changed(dict(change))


def _link(name: str, target: str) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        whole(folder)
        (folder / name).symlink_to(target)
        return folder / name

    return make


def _pipe(folder: Path) -> Path:
    """A pipe into which nobody writes: whoever opens it waits for ever."""
    os.mkfifo(folder / "pipe.csv")
    return folder / "pipe.csv"


def _hole(folder: Path) -> Path:
    """A file of 40 GB that takes no room on the disk."""
    with (folder / "hole.csv").open("wb") as file:
        file.truncate(40_000_000_000)
    return folder / "hole.csv"


def _overlapping(folder: Path) -> Path:
    """Five hundred parts that are all the same bytes of the file."""
    data = bytearray(_zip({"[Content_Types].xml": b"<Types/>", "part": bytes(1_000_000)})(folder).read_bytes())
    start = data.rfind(b"PK\x01\x02")
    end = data.rfind(b"PK\x05\x06")
    entry = bytes(data[start:end])
    directory = b"".join(entry[:-4] + f"{number:04}".encode() for number in range(500))
    first = bytes(data[data.find(b"PK\x01\x02") : start])
    tail = b"PK\x05\x06" + bytes(4) + (501).to_bytes(2, "little") * 2
    tail += len(first + directory).to_bytes(4, "little") + data.find(b"PK\x01\x02").to_bytes(4, "little") + bytes(2)
    (folder / "over.xlsx").write_bytes(bytes(data[: data.find(b"PK\x01\x02")]) + first + directory + tail)
    return folder / "over.xlsx"


def _unknown_kinds(folder: Path) -> Path:
    """Two hundred long texts, for each of which a likely word might be looked for."""
    rows = [["Tag", "Site", "Kind"], *([f"A{n}", "YARD", f"{n} " + "extension board " * 2_000] for n in range(200))]
    return text_table(folder / "made.csv", rows)


def _names_in_a_circle(xml: bytes) -> bytes:
    names = "".join(f'<definedName name="n{n}">n{(n + 1) % 500}</definedName>' for n in range(500)).encode()
    return xml.replace(b"</sheets>", b"</sheets><definedNames>" + names + b"</definedNames>")


OUTWARD: Final = (
    b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" '
    b'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLinkPath" '
    b'Target="file:///etc/hostname" TargetMode="External"/></Relationships>'
)
MERGED: Final = "".join(f'<mergeCell ref="A{n}:C{n}"/>' for n in range(2, 150_002))
INJECTED: Final = ('=HYPERLINK("file:///etc/hostname","x")', "=cmd|' /C calc'!A0", "+1", "-1", "@SUM(1)", "＝1+1")  # noqa: RUF001

ODD: Final[dict[str, tuple[Callable[[Path], Path], int | str]]] = {
    "macros": (_with_part("xl/vbaProject.bin", b"Sub Auto_Open()"), 2),
    "links to other files": (
        _changed({"xl/externalLinks/externalLink1.xml": b"<externalLink/>",
                  "xl/externalLinks/_rels/externalLink1.xml.rels": OUTWARD}), 2),
    "a picture that unpacks to 90 MB": (_with_part("xl/media/a.png", bytes(90_000_000)), "times its size"),
    "a cache of another program": (_with_part("xl/pivotCache/records1.xml", b"<x>" * 500_000), 2),
    "names in a circle": (_changed({"xl/workbook.xml": _names_in_a_circle}), 2),
    "a dimension of the whole sheet": (_sheet(HEADS + ITEM, before='<dimension ref="A1:XFD1048576"/>'), 1),
    "a dimension that is none": (_sheet(HEADS + ITEM, before='<dimension ref="B9:A1:x"/>'), 1),
    "150,000 merged cells": (_sheet(HEADS + ITEM, after=f"<mergeCells>{MERGED}</mergeCells>"), "far more formatting"),
    "one merged cell over all": (
        _sheet(HEADS + ITEM, after='<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'), 1),
    "the last column of 100,000 rows": (_many_columns, "more than 2,000,000 cells"),
    "a cell in the last corner": (
        _sheet(HEADS + ITEM + '<row r="1048576">' + cell("x", "XFD1048576") + "</row>"), "at most 200 columns"),
    "tags one in another, unclosed": (_sheet("<row>" * 90_000), "is damaged"),
    "a number of 100,000 digits": (
        _sheet(HEADS + ITEM + f'<row r="3"><c r="A3"><v>{"9" * 100_000}</v></c></row>'), 1),
    "a row beyond the last": (_sheet(HEADS + ITEM + '<row r="99999999999"/>'), 1),
    "half a character": (_sheet(HEADS + ITEM.replace("A1", "A&#xD800;1")), "is damaged"),
    "half a character, escaped": (_sheet(HEADS + ITEM.replace("A1", "A_xD800_1")), 1),
    "a sheet said to be on the web": (_leading("http://example.invalid/s.xml"), "is named in it and missing"),
    "a sheet said to be outside": (_leading("/../../../../etc/hostname"), "is named in it and missing"),
    "a sheet that is not there": (_leading("/xl/worksheets/none.xml"), "is named in it and missing"),
    "parts over one another": (_overlapping, "unpacks to 500 MB"),
    "junk before and behind": (
        lambda folder: _bytes("made.xlsx", b"PK\x03\x04junk" + whole(folder).read_bytes() + b"junk")(folder), 2),
    "formulas for other programs": (
        lambda folder: workbook(
            folder / "made.xlsx",
            [["Tag", "Site", "Kind", "Description"],
             *([f"A{n}", "YARD", "Cord set", f"'{text}"] for n, text in enumerate(INJECTED))]), len(INJECTED)),
    "200 long unknown words": (_unknown_kinds, 0),
    "a link to a workbook": (_link("link.xlsx", "whole.xlsx"), 2),
    "a link to itself": (_link("link.xlsx", "link.xlsx"), "can't be read"),
    "a link to nothing": (_link("link.xlsx", "gone.xlsx"), "There is no file"),
    "a link to an endless device": (_link("link.csv", "/dev/zero"), "no file of a spreadsheet"),
    "a pipe": (_pipe, "no file of a spreadsheet"),
    "40 GB of nothing": (_hole, "at most 25 MB"),
    "100,000 columns of text": (_bytes("made.csv", b"Tag,Site", b",x", 100_000), "at most 200 columns"),
    "one line of 100 MB": (_bytes("made.csv", b"", b"x", 100_000_000), "at most 25 MB"),
    "one line of 24 MB": (_bytes("made.csv", b"", b"x", 24_000_000), "no row of a list is so long"),
    "24 MB of commas": (_bytes("made.csv", b"", b"," * 999_000 + b"\n", 24), "at most 200 columns"),
    "24 MB of line ends": (_bytes("made.csv", b"Tag,Site,Kind\nA1,YARD,Cord set\n", b"\n", 24_000_000), 1),
    "24 MB of quotation marks": (_bytes("made.csv", b"Tag,Site,Kind\n", b'"', 24_000_000), "so long"),
    "12 MB of one letter a line": (_bytes("made.csv", b"", b"a\n", 6_000_000), "No row of headings"),
    "two encodings in one file": (
        _bytes("made.csv", "Tag,Site,What\nA1,YARD,Café\n".encode() + "A2,YARD,é\n".encode("cp1252")), 0),
    "half a character of UTF-16": (
        _bytes("made.csv", b"\xff\xfe" + "Tag,Site\n".encode("utf-16-le") + b"\x00\xd8,\x00"), "damaged further on"),
    "half a character of UTF-8": (
        _bytes("made.csv", b"Tag,Site,Kind\nA1,YARD,Cord set\n\xed\xa0\x80A2,YARD,Cord set\n"), 2),
    "two marks of UTF-8": (_bytes("made.csv", b"\xef\xbb\xbf\xef\xbb\xbfTag,Site,Kind\nA1,YARD,Cord set\n"), 1),
    "the mark of UTF-32": (_bytes("made.csv", "Tag,Site,Kind\nA1,YARD,Cord set\n".encode("utf-32")), "NUL bytes"),
    "two columns of one name": (
        _bytes("made.csv", b"Tag,Tag,Site,Kind\nA1,A2,YARD,Cord set\n"), "2 columns for the tag"),
    "letters that turn the line round": (_bytes("made.csv", "Tag,Site,Kind\nA\u202e1,YARD,Cord set\n".encode()), 1),
}  # fmt: skip
"""What is to become of each: a number of items, or words of the sentence with which it ends."""

HEAVY: Final = frozenset({
    "200 long unknown words", "100,001 rows", "100,001 rows of text", "300 MB unpacked", "50 million characters",
    "the last column of 100,000 rows", "two million cells", "half a million texts", "24 MB of quotation marks",
    "24 MB of line ends", "one line of 24 MB", "one line of 100 MB", "a picture that unpacks to 90 MB",
    "a row of 17 MB", "tags one in another, unclosed",
})  # fmt: skip
"""Those that take more than half of the time of all, and are left to the long run."""

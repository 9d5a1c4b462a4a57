"""Text tables: encodings, separators, line ends, quoted line breaks and guarded formulas."""

from pathlib import Path

import pytest

from tests.exchange.sheets.made_files import notes, read, refusals, text_table

ROWS = [
    ["Tag", "Site", "Kind", "Description"],
    ["A1", "YARD", "Extension lead", "Lead, orange; 5 m"],
    ["A2", "YARD", "Cord set", "Café kettle"],
]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le-sig", "cp1252"])
@pytest.mark.parametrize("ends", ["\r\n", "\n", "\r"])
def test_the_same_table_is_read_however_it_was_saved(separator: str, encoding: str, ends: str, tmp_path: Path) -> None:
    plain = {"utf-16-le-sig": "utf-8"}.get(encoding, encoding)
    path = text_table(tmp_path / "made.csv", ROWS, separator=separator, encoding=plain, ends=ends)
    if encoding == "utf-16-le-sig":
        path.write_bytes(b"\xff\xfe" + path.read_bytes().decode().encode("utf-16-le"))
    items = read(path).rows.items
    assert [(item.tag, item.description) for item in items] == [("A1", "Lead, orange; 5 m"), ("A2", "Café kettle")]


def test_a_guess_at_the_encoding_is_said(tmp_path: Path) -> None:
    assert any("cp1252" in note for note in notes(read(text_table(tmp_path / "made.csv", ROWS, encoding="cp1252"))))
    assert not notes(read(text_table(tmp_path / "made.csv", ROWS)))


def test_line_ends_of_all_kinds_stand_in_one_file(tmp_path: Path) -> None:
    path = tmp_path / "made.csv"
    path.write_bytes(b"Tag,Site,Kind\r\nA1,YARD,Cord set\nA2,YARD,Cord set\rA3,YARD,Cord set")
    assert [(item.tag, item.place.row) for item in read(path).rows.items] == [("A1", 2), ("A2", 3), ("A3", 4)]


def test_a_first_line_that_names_the_separator_decides_and_is_counted(tmp_path: Path) -> None:
    path = tmp_path / "made.csv"
    path.write_text("sep=;\nTag;Site;Kind\nA1;YARD;Cord set\n", encoding="utf-8")
    (item,) = read(path).rows.items
    assert (item.tag, item.place.row, item.place.sheet) == ("A1", 3, "made")


def test_a_line_break_in_quotes_stays_in_its_cell_and_rows_are_counted_as_a_spreadsheet_does(tmp_path: Path) -> None:
    path = text_table(tmp_path / "made.csv", [ROWS[0], ["A1", "YARD", "Cord set", "two\nlines"], ROWS[2]])
    items = read(path).rows.items
    assert [(item.place.row, item.description) for item in items] == [(2, "two lines"), (3, "Café kettle")]


def test_a_quotation_mark_that_swallows_rows_is_told(tmp_path: Path) -> None:
    path = tmp_path / "made.csv"
    path.write_text(
        'Tag,Site,Kind,Notes\n"A1,YARD,Cord set,x\nA2,YARD,Cord set,x\nA3,"YARD",Cord set,x\n', encoding="utf-8"
    )
    reading = read(path)
    assert "a quotation mark is not closed" in reading.rows.problems[0].reason.casefold()
    assert [row for row, _, _ in refusals(reading)] == [2]


@pytest.mark.parametrize(
    ("written", "kept"),
    [
        ("'=1+1", "=1+1"),
        ("'+61 400", "+61 400"),
        ("'-5", "-5"),
        ("'@home", "@home"),
        ("'quoted'", "'quoted'"),
        ("'", "'"),
        ("=1+1", "=1+1"),
        ("it's", "it's"),
    ],
)
def test_the_apostrophe_that_guards_a_formula_is_taken_off(written: str, kept: str, tmp_path: Path) -> None:
    path = text_table(tmp_path / "made.csv", [ROWS[0], ["A1", "YARD", "Cord set", written]])
    assert read(path).rows.items[0].description == kept


def test_leading_zeros_of_a_tag_stay(tmp_path: Path) -> None:
    path = text_table(tmp_path / "made.csv", [ROWS[0], ["000042", "YARD", "Cord set", ""]])
    assert read(path).rows.items[0].tag == "000042"

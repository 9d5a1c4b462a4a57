"""Odd workbooks: what is wrong in a cell is wrong in its row alone, what is odd around the rows keeps none out."""

import zipfile
import zlib
from pathlib import Path

import pytest
from openpyxl import Workbook

from register.errors import Refused
from register.exchange.sheets import read_book
from tests.exchange.sheets.made_files import (
    HEADS,
    ITEM,
    ROWS,
    SHEET,
    cell,
    changed,
    notes,
    read,
    refusals,
    second_hidden,
    sheet_xml,
    text_table,
    whole,
    with_sheet,
    with_texts,
    workbook,
)


def test_a_dimension_that_is_too_small_hides_no_row(tmp_path: Path) -> None:
    rows = [["Tag", "Site", "Kind"], *([f"A{number}", "YARD", "Cord set"] for number in range(500))]
    whole = workbook(tmp_path / "whole.xlsx", rows)
    shrunk = changed(whole, {SHEET: lambda xml: xml.replace(b'ref="A1:C501"', b'ref="A1:A2"')}, tmp_path / "made.xlsx")
    with zipfile.ZipFile(shrunk) as archive:
        assert b'<dimension ref="A1:A2"' in archive.read(SHEET)
    assert len(read(shrunk).rows.items) == 500


def test_one_cell_in_the_last_corner_is_left_out_and_said(tmp_path: Path) -> None:
    corner = '<row r="1048576">' + cell("x", "XFD1048576") + "</row>"
    with pytest.raises(Refused, match="at most 200 columns"):
        read(with_sheet(tmp_path, sheet_xml(HEADS + ITEM + corner)))
    reading = read(with_sheet(tmp_path, sheet_xml(HEADS + ITEM + corner.replace("XFD", "B"))))
    assert [item.tag for item in reading.rows.items] == ["A1"]
    assert any("More than 1,000 blank rows follow" in note for note in notes(reading))


def test_rows_that_are_only_coloured_end_the_list_without_a_word(tmp_path: Path) -> None:
    blank = "".join(f'<row r="{number}"><c r="A{number}" s="0"/></row>' for number in range(3, 5_000))
    reading = read(with_sheet(tmp_path, sheet_xml(HEADS + ITEM + blank)))
    assert [item.tag for item in reading.rows.items] == ["A1"]
    assert not reading.rows.problems


def test_a_thousand_blank_lines_of_text_end_the_list_and_it_is_said(tmp_path: Path) -> None:
    path = tmp_path / "made.csv"
    path.write_text("Tag,Site,Kind\nA1,YARD,Cord set\n" + ",,\n" * 1_000 + "A2,YARD,Cord set\n")
    reading = read(path)
    assert [item.tag for item in reading.rows.items] == ["A1"]
    assert any("More than 1,000 blank rows follow" in note for note in notes(reading))


def test_formulas_are_read_by_their_saved_result_and_refused_without_one(tmp_path: Path) -> None:
    saved = '<row r="2">' + cell("A1", "A2") + '<c r="B2" t="str"><f>"YARD"</f><v>YARD</v></c>' + cell("Cord set", "C2")
    unsaved = '<row r="3">' + cell("A2", "A3") + '<c r="B3"><f>"YARD"</f><v></v></c>' + cell("Cord set", "C3")
    empty = (
        '<row r="4">'
        + cell("A3", "A4")
        + cell("YARD", "B4")
        + cell("Cord set", "C4")
        + '<c r="D4" t="str"><f>""</f><v></v></c>'
    )
    reading = read(with_sheet(tmp_path, sheet_xml(f"{HEADS}{saved}</row>{unsaved}</row>{empty}</row>")))
    assert [(item.tag, item.site) for item in reading.rows.items] == [("A1", "YARD"), ("A3", "YARD")]
    assert refusals(reading) == [(3, "Site", "")]
    assert "a formula whose result was not saved" in reading.rows.problems[0].reason


def test_an_error_of_the_spreadsheet_is_wrong_in_its_row_alone(tmp_path: Path) -> None:
    bad = '<row r="3">' + cell("A2", "A3") + '<c r="B3" t="e"><v>#REF!</v></c>' + cell("Cord set", "C3") + "</row>"
    reading = read(with_sheet(tmp_path, sheet_xml(HEADS + ITEM + bad)))
    assert refusals(reading) == [(3, "Site", "#REF!")]


def test_a_bad_date_cell_is_wrong_in_its_row_alone(tmp_path: Path) -> None:
    heads = HEADS.replace("</row>", cell("Test date", "D1") + cell("Result", "E1") + "</row>")
    good = ITEM.replace("</row>", '<c r="D2" t="d"><v>2026-04-03</v></c>' + cell("Pass", "E2") + "</row>")
    bad = good.replace("2026-04-03", "2026-99-03").replace('"2"', '"3"').replace("2<", "2<").replace("A1<", "A9<")
    bad = bad.replace('r="A2"', 'r="A3"').replace('r="D2"', 'r="D3"').replace('r="E2"', 'r="E3"')
    reading = read(
        with_sheet(tmp_path, sheet_xml(heads + good + bad.replace('r="B2"', 'r="B3"').replace('r="C2"', 'r="C3"')))
    )
    assert [str(record.record.tested_on) for record in reading.rows.records] == ["2026-04-03"]
    assert refusals(reading) == [(3, "Test date", "2026-99-03")]


def test_a_cell_that_is_too_long_is_wrong_in_its_row_alone(tmp_path: Path) -> None:
    rows = [*ROWS, ["A3", "Y" * 32_768, "Cord set"]]
    path = text_table(tmp_path / "made.csv", rows)
    reading = read(path)
    assert len(reading.rows.items) == 2
    assert [(row, column) for row, column, _ in refusals(reading)] == [(4, "Site")]
    assert "32,768 characters" in reading.rows.problems[0].reason


def test_texts_in_a_part_of_their_own_are_found(tmp_path: Path) -> None:
    rows = "".join(
        f'<row r="{number}">' + "".join(f'<c t="s"><v>{place}</v></c>' for place in places) + "</row>"
        for number, places in enumerate([(0, 1, 2), (3, 4, 5)], 1)
    )
    reading = read(with_texts(tmp_path, ["Tag", "Site", "Kind", "a1 ", "YARD", "Cord set"], sheet_xml(rows)))
    assert [(item.tag, item.site) for item in reading.rows.items] == [("A1", "YARD")]


def test_a_text_that_no_cell_can_hold_is_wrong_in_its_row_alone(tmp_path: Path) -> None:
    row = ITEM.replace("</row>", '<c t="s"><v>0</v></c></row>')
    heads = HEADS.replace("</row>", cell("Description", "D1") + "</row>")
    reading = read(with_texts(tmp_path, ["x" * 40_000], sheet_xml(heads + row)))
    assert refusals(reading) == [(2, "Description", "x" * 40 + "…")]


def test_a_sheet_that_is_one_big_chart_is_passed_over(tmp_path: Path) -> None:
    book = Workbook()
    for row in ROWS:
        book.worksheets[0].append(row)
    book.create_chartsheet("Chart")
    book.save(tmp_path / "made.xlsx")
    assert len(read(tmp_path / "made.xlsx").rows.items) == 2


def test_more_than_ten_thousand_blank_lines_are_not_looked_through(tmp_path: Path) -> None:
    path = tmp_path / "made.csv"
    path.write_text("Tag,Site,Kind\nA1,YARD,Cord set\n" + "\n" * 12_000 + "A2,YARD,Cord set\n", encoding="utf-8")
    reading = read(path)
    assert [item.tag for item in reading.rows.items] == ["A1"]


def test_macros_are_not_run_and_that_is_said(tmp_path: Path) -> None:
    path = changed(whole(tmp_path), {"xl/vbaProject.bin": b"Sub Auto_Open()"}, tmp_path / "made.xlsm")
    reading = read(path)
    assert len(reading.rows.items) == 2
    assert any("macros. None was run" in note for note in notes(reading))


def test_a_hidden_sheet_is_left_out_and_said(tmp_path: Path) -> None:
    path = changed(
        workbook(tmp_path / "whole.xlsx", ROWS, more={"Old": [["Tag", "Site"], ["Z9", "YARD"]]}),
        {"xl/workbook.xml": second_hidden},
        tmp_path / "made.xlsx",
    )
    reading = read(path)
    assert [item.tag for item in reading.rows.items] == ["A1", "A2"]
    assert any("hidden and was left out" in note for note in notes(reading))


def test_broken_formatting_behind_the_rows_keeps_no_row_out(tmp_path: Path) -> None:
    after = '<dataValidations nonsense="1"><dataValidation sqref="@"/></dataValidations>'
    assert len(read(with_sheet(tmp_path, sheet_xml(HEADS + ITEM, after=after))).rows.items) == 1


def test_the_parts_of_other_programs_are_never_opened(tmp_path: Path) -> None:
    bomb = b"<x>" * 100_000
    path = changed(
        whole(tmp_path), {"xl/pivotCache/records1.xml": bomb, "xl/media/a.png": b"\x89PNG"}, tmp_path / "m.xlsx"
    )
    assert len(read(path).rows.items) == 2


def test_a_part_whose_packing_is_broken_is_damaged(tmp_path: Path) -> None:
    path = whole(tmp_path)
    data = path.read_bytes()
    with zipfile.ZipFile(path) as archive:
        part = archive.getinfo(SHEET)
        packed = zlib.compress(archive.read(SHEET))[2:-4]
    assert packed[:20] in data
    (tmp_path / "bad.xlsx").write_bytes(data.replace(packed[:20], b"\xff" * 20))
    assert part.file_size
    with pytest.raises(Refused, match="damaged"):
        read(tmp_path / "bad.xlsx")


def test_sheets_with_too_many_rows_together_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(read_book, "MOST_ROWS_OF_FILE", 2 * len(ROWS))
    read(workbook(tmp_path / "two.xlsx", ROWS, more={"Two": ROWS}))
    with pytest.raises(Refused, match="filled rows on its sheets together"):
        read(workbook(tmp_path / "three.xlsx", ROWS, more={"Two": ROWS, "Three": [["Tag", "Site", "Kind"]]}))

"""The whole job as one command, on the invented contractor's spreadsheets."""

import json
from pathlib import Path

import pytest
from openpyxl import load_workbook

from register.cli.main import main


def test_demo_goes_from_spreadsheets_to_an_owners_workbook(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "demo"
    assert main(["demo", "--out", str(out), "--today", "2026-11-24", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["sites"] >= 14
    assert report["items"] > 1_100
    assert report["faults"] == []
    assert any(site["overdue"] and ": due " in site["why"] for site in report["overdue"])
    assert report["verdict"] == "fail"
    assert "limit of 300 ms" in report["why"]
    withdrawn = load_workbook(report["failure_in"])["Withdrawn"]
    text = [str(cell.value) for row in withdrawn.iter_rows() for cell in row]
    assert report["tag"] in text
    assert report["out_of_service_tag"] in text
    assert main(["--db", report["register"], "why", report["tag"], "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["standing"] == "withdrawn"


def test_demo_never_writes_over_a_register_of_real_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "own.csv"
    sheet.write_text("Tag,Description,Kind\nA-1,Kettle,Class I appliance\n", encoding="utf-8")
    own = tmp_path / "demo.register"
    words = ["import", str(sheet), "--site", "OWN", "--environment", "workshop"]
    assert main(["--db", str(own), *words]) == 0
    before = own.read_bytes()
    assert main(["demo", "--out", str(tmp_path)]) == 1
    assert "real data" in capsys.readouterr().err
    assert own.read_bytes() == before


@pytest.mark.parametrize("place", ["", "spreadsheets", "owners"])
def test_demo_says_where_it_can_not_write(place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    taken = out / place
    taken.parent.mkdir(exist_ok=True)
    taken.write_text("a file", encoding="utf-8")
    assert main(["demo", "--out", str(out)]) == 1
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "can't be written" in said
    assert taken.read_text(encoding="utf-8") == "a file"

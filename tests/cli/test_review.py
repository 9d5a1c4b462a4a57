"""The command line takes an owner's answers in, and lists what he asked until it is answered."""

from pathlib import Path

from openpyxl import load_workbook

from tests.cli.conftest import Shell


def answered(yard: Shell, folder: Path) -> str:
    """Write the yard's workbook and fill in three answers."""
    file = folder / "yard.xlsx"
    yard.run("export", str(file), "--site", "YARD")
    book = load_workbook(file)
    sheet = book["Register"]
    heads = {cell.value: cell.column for cell in sheet[1]}
    answers = {"YD-0001": "Not found", "YD-0002": "Disposed of", "YD-0003": "Agree"}
    for row in range(2, sheet.max_row + 1):
        sheet.cell(row, heads["Your answer"], answers[sheet.cell(row, 2).value])
    sheet.cell(2, heads["Serial number"], "typed over")
    book.save(file)
    return str(file)


def test_answers_are_shown_then_taken_in_and_a_query_is_answered(yard: Shell, tmp_path: Path) -> None:
    file = answered(yard, tmp_path)

    tried = yard.json("review", file, "--dry-run")
    assert (tried["done"], tried["agreed"], tried["dry_run"]) == (2, 1, True)
    assert [change["after"] for change in tried["changed_elsewhere"]] == ["typed over"]
    assert yard.json("queries") == []
    done = yard.run("review", file)
    assert "Marks it as not found" in done
    assert "Changed beside the answers, and not taken" in done
    assert yard.json("review", file)["done"] == 0

    (query,) = yard.json("queries")
    assert query["tag"] == "YD-0002"
    assert query["text"].startswith("Disposed of")
    assert yard.run("answer", query["id"], "Seen in the skip; removed.").startswith("YD-0002")
    assert yard.run("queries") == "Every query of an owner is answered.\n"
    assert "was answered" in yard.refused("answer", query["id"], "Again")
    assert yard.json("review", file, "--anyway")["done"] == 0
    yard.run("check")


def test_the_book_of_all_sites_of_an_owner_for_a_period_comes_back_too(yard: Shell, tmp_path: Path) -> None:
    more = tmp_path / "more.csv"
    more.write_text("Tag,Description,Kind,Area\nSH-1,Kettle,Class I appliance,Galley\n", encoding="utf-8")
    yard.run("import", str(more), "--site", "SHED", "--owner", "Tern Boats", "--environment", "workshop")
    file = tmp_path / "all.xlsx"
    made = yard.json("export", str(file), "--owner", "tern boats", "--from", "2026-06-01", "--to", "2026-10-31")
    assert made["sheets"]["Register"] == 4
    assert made["sheets"]["Test results"] == 1
    book = load_workbook(file)
    sheet = book["Register"]
    heads = {cell.value: cell.column for cell in sheet[1]}
    row = next(row for row in range(2, 6) if sheet.cell(row, 2).value == "SH-1")
    assert sheet.cell(row, heads["Area"]).value == "SHED, Galley"
    sheet.cell(row, heads["Your answer"], "Moved to")
    sheet.cell(row, heads["Moved to which area"], "yard, slip")
    book.save(file)
    (step,) = yard.json("review", str(file))["steps"]
    assert (step["done"], step["does"]) == (True, "Moves it to YARD, Slip.")
    assert "Give --from before --to" in yard.refused(
        "export", str(file), "--site", "YARD", "--from", "2026-06-02", "--to", "2026-06-01"
    )


def test_a_file_that_is_no_owner_workbook_is_refused(yard: Shell, tmp_path: Path) -> None:
    sheet = tmp_path / "list.csv"
    sheet.write_text("Tag\nYD-0001\n", encoding="utf-8")
    assert "no owner workbook" in yard.refused("review", str(sheet))

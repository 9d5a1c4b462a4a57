"""Each command by hand, as people and scripts use it: what it answers, and what the register says afterwards."""

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from openpyxl import load_workbook

from register.cli.main import main
from register.errors import Unavailable
from tests.cli.conftest import SHEET, Shell
from tests.pictures import png

Writer = Callable[..., Path]


def by_tag(shell: Shell, *words: str) -> dict[tuple[str, str], dict[str, object]]:
    return {(row["tag"], row["duty"]): row for row in shell.json("due", *words)["duties"]}


def test_import_tells_what_it_took_and_the_same_file_again_changes_nothing(shell: Shell, tmp_path: Path) -> None:
    sheet = tmp_path / "yard.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    words = ("import", str(sheet), "--site", "YARD", "--environment", "workshop")
    first = shell.json(*words)
    again = shell.json(*words)
    assert (first["new_items"], first["new_records"], first["refused"]) == (3, 3, 0)
    assert (again["new_items"], again["changed_items"], again["new_records"]) == (0, 0, 0)
    assert (again["same_items"], again["same_records"]) == (3, 3)


def test_a_dry_run_says_the_same_and_keeps_nothing(shell: Shell, tmp_path: Path) -> None:
    sheet = tmp_path / "yard.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    rehearsal = shell.json("import", str(sheet), "--site", "YARD", "--environment", "workshop", "--dry-run")
    assert (rehearsal["dry_run"], rehearsal["new_items"]) == (True, 3)
    assert not shell.db.exists()


def test_due_lists_what_is_overdue_with_its_reasons(yard: Shell) -> None:
    answer = yard.json("due", "--whose", "contractor")
    rows = {(row["tag"], row["duty"]): row for row in answer["duties"]}
    assert answer["on"] == "2026-11-24"
    grinder = rows["YD-0002", "inspection-and-test"]
    assert (grinder["standing"], grinder["due"], grinder["interval"]) == ("overdue", "2026-08-01", "P3M")
    assert (grinder["last_done"], grinder["site"], grinder["area"]) == ("2026-05-01", "YARD", "Slip")
    assert any("AS/NZS 3012" in sentence for sentence in grinder["why"])
    assert rows["YD-0001", "operating-time"]["standing"] == "untested"
    assert ("YD-0001", "inspection-and-test") not in rows


def test_due_looks_so_many_days_ahead_and_at_another_day(yard: Shell) -> None:
    assert by_tag(yard, "--within", "7")["YD-0001", "inspection-and-test"]["standing"] == "due-soon"
    assert by_tag(yard, "--on", "2026-12-01")["YD-0001", "inspection-and-test"]["standing"] == "due-soon"
    assert by_tag(yard, "--on", "2026-12-02")["YD-0001", "inspection-and-test"]["standing"] == "overdue"


def test_why_explains_every_date_of_an_item(yard: Shell) -> None:
    text = yard.run("why", "yd-0002")
    assert "overdue, do not use" in text
    assert "Construction" in text
    answer = yard.json("why", "YD-0002")
    assert (answer["tag"], answer["standing"], answer["site"]) == ("YD-0002", "overdue", "YARD")
    assert {duty["duty"] for duty in answer["duties"]} >= {"inspection-and-test", "user-check"}


def test_interval_gives_each_line_with_its_source(yard: Shell) -> None:
    rows = yard.json(
        "interval", "--rulebook", "au-in-service", "--kind", "portable-safety-switch", "--environment", "workshop"
    )
    by_duty = {row["duty"]: row for row in rows}
    assert by_duty["operating-time"]["every"] == "P12M"
    assert by_duty["button-press"]["on"] == "each-day-or-use"
    assert by_duty["inspection-and-test"]["every"] == "P6M"
    assert all(row["source"] and row["edition"] and row["confidence"] for row in rows)


def test_judge_needs_no_register(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    item = {
        "kind": "fixed-safety-switch",
        "outlets": 1,
        "safety_switch": {"rated_residual_ma": "30", "type": "II", "delay": "general", "waveform": "A"},
    }
    readings = [
        {"quantity": "trip-time", "outlet": 1, "half_cycle": half, "multiple": "1", "value": value, "unit": "ms"}
        for half, value in ((0, "28"), (180, "310"))
    ]
    asked = {
        "rulebook": "au-in-service", "duties": ["operating-time"], "item": item, "visual": "pass",
        "readings": readings,
    }  # fmt: skip
    path = tmp_path / "asked.json"
    path.write_text(json.dumps(asked), encoding="utf-8")
    assert main(["judge", str(path), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    failed = [finding for finding in answer["findings"] if finding["result"] == "fail"]
    assert answer["verdict"] == "fail"
    assert [(each["check"], each["half_cycle"], each["value"]) for each in failed] == [("trip-time", 180, "310")]
    assert "300 ms" in failed[0]["limit"]


def test_a_failing_record_takes_the_item_out_and_only_complete_passes_bring_it_back(
    yard: Shell, record: Writer, tmp_path: Path
) -> None:
    failed = yard.json("record", str(record("310", on="2026-11-20")))[0]
    assert (failed["verdict"], failed["withdrawn"]) == ("fail", True)
    assert failed["dates"]["operating-time"] is None, "a fail moves no date"
    asked = ("withdraw", "YD-0001", "--reason", "failed", "--tag-number", "OUT-7", "--told", "the office", "--photo")
    large = tmp_path / "large.jpg"
    with large.open("wb") as file:
        file.truncate(200_000_000)
    assert "“large.jpg” has 200 MB; a photo has at most 25 MB." in yard.refused(*asked, str(large))
    photo = tmp_path / "plug.png"
    photo.write_bytes(png())
    out = yard.json(*asked, str(photo))
    assert (out["standing"], out["tag_number"]) == ("withdrawn", "OUT-7")
    assert set(out["still_needed"]) == {"inspection-and-test", "operating-time"}
    assert yard.json("why", "YD-0001")["standing"] == "withdrawn"
    assert ("YD-0001", "operating-time") not in by_tag(yard)
    back = yard.json("record", str(record("30.2", key="01935c8e-7a00-7c4b-9f2e-5d1a4b6c8e11")))[0]
    assert (back["verdict"], back["returned"]) == ("pass", True)
    assert back["dates"] == {"inspection-and-test": "2027-02-24", "operating-time": "2027-02-24"}
    assert yard.json("why", "YD-0001")["standing"] == "in-service"


def test_the_same_record_twice_changes_nothing(yard: Shell, record: Writer) -> None:
    path = str(record())
    yard.run("record", path)
    before = yard.json("check")["events"]
    assert yard.json("record", path)[0]["known"] is True
    assert yard.json("check")["events"] == before


def test_remove_takes_an_item_off_every_list_but_keeps_its_history(yard: Shell) -> None:
    assert yard.json("remove", "YD-0002", "--reason", "disposed of")["standing"] == "removed"
    assert ("YD-0002", "inspection-and-test") not in by_tag(yard)
    assert yard.json("why", "YD-0002")["last"]["verdict"] == "pass"
    assert "removed for good already" in yard.refused("remove", "YD-0002", "--reason", "again")


def test_a_wrong_record_is_corrected_and_stays(yard: Shell, record: Writer) -> None:
    yard.run("record", str(record("310")))
    (wrong, *_rest) = yard.json("why", "YD-0001")["records"]
    assert (wrong["verdict"], wrong["corrected"]) == ("fail", "")
    right = record("31.0")
    entries = json.loads(right.read_text(encoding="utf-8"))
    right.write_text(json.dumps([entries[0] | {"id": "0190a6c2-7f0e-7c3a-9d51-3b6f0c2d8e99"}]), encoding="utf-8")
    done = yard.json("correct", wrong["id"], str(right), "--reason", "typed 310 for 31.0")
    assert (done["out_of_service"], done["new_record"]["verdict"]) == (False, "pass")
    again = {each["id"]: each["corrected"] for each in yard.json("why", "YD-0001")["records"]}
    assert "typed 310 for 31.0" in again[wrong["id"]]
    assert "counts no more" in yard.run("correct", done["new_record"]["id"], "--void", "--reason", "another item")
    assert "corrected on" in yard.refused("correct", wrong["id"], "--void", "--reason", "again")
    assert "or --void" in yard.refused("correct", wrong["id"], "--reason", "nothing given")
    two = record("31.0")
    two.write_text(
        json.dumps([*entries, entries[0] | {"id": "0190a6c2-7f0e-7c3a-9d51-3b6f0c2d8e98"}]), encoding="utf-8"
    )
    assert "has 2 records" in yard.refused("correct", wrong["id"], str(two), "--reason", "two")
    yard.run("check")


def test_done_notes_a_users_duty_once(yard: Shell) -> None:
    words = ("done", "YD-0001", "--duty", "button-press", "--on", "2026-11-23")
    assert yard.json(*words)["known"] is False
    assert yard.json(*words)["known"] is True


def test_export_writes_a_workbook_that_names_the_failing_reading(yard: Shell, record: Writer, tmp_path: Path) -> None:
    yard.run("record", str(record("310")))
    book = tmp_path / "yard.xlsx"
    answer = yard.json("export", "--site", "yard", str(book))
    assert answer["sheets"]["Register"] == 3
    failures = load_workbook(book)["Failures"]
    text = " ".join(str(cell.value) for row in failures.iter_rows() for cell in row if cell.value is not None)
    assert "310" in text
    assert "300 ms" in text


def test_a_workbook_is_written_although_the_register_can_not_tell_of_it(
    yard: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise Unavailable("The drive that holds yard.register is full.")

    monkeypatch.setattr("register.cli.deeds.hand_over", full)
    book = tmp_path / "yard.xlsx"
    assert yard.json("export", "--site", "YARD", str(book))["file"] == str(book)
    assert yard.err.startswith("The workbook is written, but the history doesn't tell of it. The drive")
    assert load_workbook(book)["Register"].max_row == 4


def test_check_finds_that_everything_agrees(yard: Shell) -> None:
    answer = yard.json("check")
    assert (answer["ok"], answer["faults"]) == (True, [])
    assert answer["counts"]["items"] == 3
    assert "1 site, 3 items with those removed, " in yard.run("check")
    assert len(answer["head"]) == 64
    assert yard.err == ""


def test_a_check_that_finds_something_says_so_as_a_refusal_does(yard: Shell) -> None:
    with closing(sqlite3.connect(yard.db)) as file, file:
        file.execute("UPDATE duty SET due = '2030-01-01' WHERE duty = 'inspection-and-test'")
    said = yard.run("check", code=1)
    assert "due is kept as 1 Jan 2030" in said
    assert yard.err.startswith("yard.register: 3 things wrong. Keep the file as it is, and go on from your last good")
    assert len(yard.json("check", code=1)["faults"]) == 3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("due",), "There is no register"),
        (("why", "X-1"), "There is no register"),
    ],
)
def test_without_a_register_every_question_says_so(shell: Shell, words: tuple[str, ...], said: str) -> None:
    assert said in shell.refused(*words)
    assert not shell.db.exists()


def test_bad_input_gets_one_sentence_and_changes_nothing(yard: Shell, record: Writer, tmp_path: Path) -> None:
    before = yard.json("check")
    cases = {
        "No item has or had the tag": yard.refused("why", "NOPE-1"),
        "no site NOPE": yard.refused("due", "--site", "NOPE"),
        "needs a test record": yard.refused("done", "YD-0001", "--duty", "operating-time"),
        "in the future": yard.refused("record", str(record(on="2026-11-25"))),
        "before 1990": yard.refused("record", str(record(on="1989-12-31"))),
        "negative": yard.refused("record", str(record("-3"))),
        "beyond any instrument": yard.refused("record", str(record("1000000000"))),
        "is not a": yard.refused("record", str(record("abc"))),
        "environment class": yard.refused(
            "interval", "--rulebook", "au-in-service", "--kind", "cord-set", "--environment", "moon"
        ),
        "ends in .xlsx": yard.refused("export", "--site", "YARD", str(tmp_path / "yard.txt")),
        "There is no file": yard.refused("record", str(tmp_path / "none.json")),
    }
    for part, sentence in cases.items():
        assert part in sentence, sentence
        assert sentence.count("\n") == 0, sentence
    after = yard.json("check")
    assert after["events"] == before["events"]


@pytest.mark.parametrize(
    "words",
    [
        ("due", "--on", "9999-12-31", "--within", "36525"),
        ("--today", "9999-12-31", "export", "--site", "YARD", "owner.xlsx"),
        ("--today", "0001-01-01", "export", "--site", "YARD", "owner.xlsx"),
    ],
)
def test_a_day_far_out_of_any_register_is_wrong_usage(yard: Shell, words: tuple[str, ...]) -> None:
    with pytest.raises(SystemExit) as stopped:
        yard.run(*words)
    assert stopped.value.code == 2


@pytest.mark.parametrize("day", ["1900-01-01", "2200-12-31"])
def test_the_first_and_last_days_that_can_be_named_are_answered(yard: Shell, tmp_path: Path, day: str) -> None:
    yard.json("due", "--on", day, "--within", "36525")
    book = tmp_path / "owner.xlsx"
    yard.run("--today", day, "export", "--site", "YARD", str(book))
    assert book.exists()


def test_a_name_at_work_is_kept_without_what_can_not_be_written(yard: Shell) -> None:
    yard.run("--by", "Kim\n\udcffFerro", "remove", "YD-0003", "--reason", "scrapped")
    yard.run("--by", "\udcff", "remove", "YD-0002", "--reason", "scrapped")
    assert yard.json("check")["faults"] == []


def test_wrong_usage_ends_with_two(shell: Shell) -> None:
    with pytest.raises(SystemExit) as stopped:
        shell.run("due", "--on", "24/11/2026")
    assert stopped.value.code == 2


def test_json_stands_alone_on_standard_output(shell: Shell, tmp_path: Path) -> None:
    sheet = tmp_path / "yard.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    shell.json("import", str(sheet), "--site", "YARD", "--environment", "workshop")
    assert "a new one was made" in shell.err


def test_how_a_file_was_read_can_be_written_down_even_where_it_leaves_questions(shell: Shell, tmp_path: Path) -> None:
    sheet, mapping = tmp_path / "odd.csv", tmp_path / "odd.toml"
    sheet.write_text("Plate,Description,Kind\nA-1,Kettle,Class I appliance\n", encoding="utf-8")
    words = ("import", str(sheet), "--site", "OWN", "--environment", "workshop")
    said = shell.refused(*words, "--write-mapping", str(mapping))
    assert "leaves open" in said
    text = mapping.read_text(encoding="utf-8").replace('"Plate" = "ignore"', '"Plate" = "tag"')
    mapping.write_text(text, encoding="utf-8")
    assert shell.json(*words, "--mapping", str(mapping))["new_items"] == 1


def test_columns_that_a_mapping_names_and_the_file_has_not_are_told(yard: Shell, tmp_path: Path) -> None:
    sheet, mapping = tmp_path / "yard.csv", tmp_path / "odd.toml"
    columns = '"TAG" = "tag"\n"Serial no" = "serial"\n'
    mapping.write_text(
        f'[sheets."*".columns]\n{columns}[sheets.Notes]\nskip = true\n[sheets.Old.columns]\n"Room" = "area"\n'
    )
    yard.json("import", str(sheet), "--site", "YARD", "--mapping", str(mapping))
    assert yard.err.startswith("No sheet of yard.csv has these columns of the mapping: “Serial no”, “Room”. Check how")
    mapping.write_text('[sheets."*".columns]\n"TAG" = "tag"\n')
    yard.json("import", str(sheet), "--site", "YARD", "--mapping", str(mapping))
    assert yard.err == ""


def test_an_out_of_service_tag_is_on_one_item_at_a_time(yard: Shell) -> None:
    yard.run("withdraw", "YD-0002", "--reason", "overdue", "--tag-number", "OUT-7")
    said = yard.refused("withdraw", "YD-0003", "--reason", "damaged", "--tag-number", "OUT-7")
    assert "on YD-0002 already" in said
    yard.run("remove", "YD-0002", "--reason", "scrapped")
    words = ("withdraw", "YD-0003", "--reason", "damaged", "--tag-number")
    assert "(damaged), tag OUT-7." in yard.run(*words, "OUT-7")
    assert "(damaged), tag OUT-8 in the place of OUT-7." in yard.run(*words, "OUT-8")
    assert (yard.json(*words, "OUT-9")["tag_before"], yard.json(*words, "OUT-9")["tag_before"]) == ("OUT-8", None)


def test_a_day_before_1990_is_asked_back_and_taken_when_confirmed(yard: Shell) -> None:
    words = ("done", "YD-0001", "--duty", "button-press", "--on", "1989-12-31")
    assert "before 1990" in yard.refused(*words)
    assert yard.json(*words, "--confirm-old")["on"] == "1989-12-31"


def test_a_record_without_a_tester_is_by_whoever_enters_it(yard: Shell, record: Writer, tmp_path: Path) -> None:
    yard.run("record", str(record()))
    book = tmp_path / "yard.xlsx"
    yard.run("export", "--site", "YARD", str(book))
    text = [str(cell.value) for row in load_workbook(book)["Test results"].iter_rows() for cell in row]
    assert "Kim Ferro" in text


def test_an_item_is_missed_and_found(yard: Shell) -> None:
    assert yard.json("missing", "YD-0001") == {"tag": "YD-0001", "not_found_on": "2026-11-24"}
    assert "asked for again" in yard.run("missing", "YD-0001")
    assert yard.json("found", "YD-0001")["not_found_on"] is None
    yard.run("missing", "YD-0001")
    assert "is there again" in yard.run("found", "YD-0001")
    assert "not marked as not found" in yard.refused("found", "YD-0001")


def test_an_item_is_repaired_and_another_takes_the_place_of_one(yard: Shell) -> None:
    words = ("repaired", "YD-0002", "--repairer", "The workshop", "--what", "new plug")
    assert yard.json(*words)["on"] == "2026-11-24"
    assert "every contractor's duty" in yard.run(*words)
    assert yard.json("replace", "YD-0002", "--with", "YD-0099") == {
        "tag": "YD-0002", "standing": "removed", "replaced_by": "YD-0099",
    }  # fmt: skip
    assert yard.json("why", "YD-0099")["standing"] == "untested"
    assert "Test YD-0100 next" in yard.run("replace", "YD-0099", "--with", "YD-0100", "--new")
    assert "another item's" in yard.refused("replace", "YD-0003", "--with", "YD-0099")

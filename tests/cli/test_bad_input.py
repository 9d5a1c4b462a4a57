"""What nobody should type, and what happens then: one sentence, and a register as it was."""

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path

import pytest

from register.cli import context
from register.cli.main import main
from register.exchange.taking_in import take_in_reading
from tests.cli.conftest import SHEET, Shell

Writer = Callable[..., Path]


def unchanged(shell: Shell, before: int) -> bool:
    return bool(shell.json("check")["events"] == before)


@pytest.mark.parametrize(
    "words",
    [
        ("plan", "--vans", "-1"),
        ("plan", "--vans", "1000000"),
        ("plan", "--seed", "-1"),
        ("plan", "--seed", "99999999999999999999"),
        ("plan", "--effort", "nan"),
        ("plan", "--effort", "inf"),
        ("plan", "--effort", "-1"),
        ("plan", "--effort", "long"),
        ("forecast", "--more-vans", "1000000"),
        ("due", "--within", "٣"),
        ("due", "--on", "20261124"),
        ("due", "--on", "2026-W48-2"),
    ],
)
def test_a_number_or_day_that_can_not_be_meant_is_wrong_usage(yard: Shell, words: tuple[str, ...]) -> None:
    with pytest.raises(SystemExit) as stopped:
        yard.run(*words)
    assert stopped.value.code == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("forecast", "--interval", "tea-break=P6M"), "is no interval of a duty"),
        (("forecast", "--interval", "operating-time"), "is no interval of a duty"),
        (("forecast", "--new-site-items", "4"), "--new-site-like"),
        (("plan", "--pin", "NOPE=2027-06-01"), "There is no site NOPE"),
        (("plan", "--pin", "=2026-11-25"), "is no pin"),
        (("plan", "--pin", "YARD=2027-06-01"), "Give a day of it"),
    ],
)
def test_a_trial_of_what_is_not_there_is_refused(yard: Shell, words: tuple[str, ...], said: str) -> None:
    assert said in yard.refused(*words)


def test_a_site_that_is_known_keeps_its_rulebook_and_no_class_is_taken_that_is_none(
    yard: Shell, tmp_path: Path
) -> None:
    before = yard.json("check")["events"]
    more = tmp_path / "more.csv"
    more.write_text(SHEET.replace("YD-000", "YD-100"), encoding="utf-8")
    words = ("import", str(more), "--site")
    for site in ("YARD", "DOCK"):
        assert "There is no rulebook “au-moon”" in yard.refused(*words, "DOCK", "--rulebook", "au-moon")
        assert "no environment class “moon”" in yard.refused(*words, site, "--environment", "moon")
    assert "goes by the rulebook au-in-service" in yard.refused(*words, "yard", "--rulebook", "au-qld")
    assert unchanged(yard, before)
    assert yard.json(*words, "YARD", "--rulebook", "au-in-service", "--environment", "benign")["new_items"] == 3


def test_a_kind_that_is_none_is_refused_as_a_class_is(yard: Shell) -> None:
    words = ("interval", "--rulebook", "au-in-service", "--environment", "workshop", "--kind")
    assert yard.refused(*words, "toaster").startswith("“toaster” is not a kind of item. Give one of: portable-")
    assert yard.json(*words, "cord-set")[0]["every"] == "P6M"


def test_a_text_longer_than_anybody_types_is_refused(yard: Shell) -> None:
    before = yard.json("check")["events"]
    said = yard.refused("remove", "YD-0001", "--reason", "x" * 2001)
    assert said == "What is given for reason has 2,001 characters; 2,000 are the most. Shorten it."
    yard.refused("withdraw", "YD-0001", "--reason", "damaged", "--tag-number", "O" * 65)
    assert unchanged(yard, before)


def test_a_new_register_goes_with_the_file_that_was_refused_and_stays_with_what_was_kept(
    shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = tmp_path / "yard.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    assert "The site YARD is new" in shell.refused("import", str(sheet), "--site", "YARD")
    assert not shell.db.exists()

    def stopped(*_: object, **_named: object) -> None:
        take_in_reading(*_, **_named)  # type: ignore[arg-type]
        raise KeyboardInterrupt

    monkeypatch.setattr("register.cli.intake.take_in_reading", stopped)
    shell.run("import", str(sheet), "--site", "YARD", "--environment", "workshop", code=130)
    assert shell.json("check")["counts"]["items"] == 3


def test_nothing_is_taken_in_where_its_preview_can_not_be_written(yard: Shell, tmp_path: Path) -> None:
    before = yard.json("check")["events"]
    more = tmp_path / "more.csv"
    more.write_text(SHEET.replace("YD-000", "YD-100"), encoding="utf-8")
    for place in (tmp_path / "none" / "preview.xlsx", tmp_path / "preview.csv", tmp_path):
        yard.refused("import", str(more), "--site", "YARD", "--preview", str(place))
    assert unchanged(yard, before)


@pytest.mark.parametrize("name", ["--ics", "--gpx", "--geojson", "--xlsx"])
def test_no_week_is_kept_where_its_files_can_not_be_written(yard: Shell, tmp_path: Path, name: str) -> None:
    before = yard.json("check")["events"]
    yard.refused("plan", "--keep", name, str(tmp_path / "none" / "week.xlsx"))
    yard.refused("plan", "--keep", name, str(tmp_path))
    assert unchanged(yard, before)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("own.xlsx", ("export", "--site", "YARD")),
        ("own.xlsx", ("plan", "--xlsx")),
        ("own.gpx", ("plan", "--gpx")),
        ("own.ics", ("plan", "--ics")),
        ("own.fieldpack", ("pack", "--site", "YARD", "--holder", "Jo")),
        ("own.toml", ("import", "yard.csv", "--site", "YARD", "--write-mapping")),
        ("own.xlsx", ("import", "yard.csv", "--site", "YARD", "--dry-run", "--preview")),
    ],
)
def test_nothing_is_written_over_a_register(yard: Shell, tmp_path: Path, name: str, words: tuple[str, ...]) -> None:
    before = yard.json("check")["events"]
    yard.db = yard.db.rename(tmp_path / name)
    said = yard.refused(*(str(tmp_path / word) if word == "yard.csv" else word for word in words), str(yard.db))
    assert said == f"“{name}” is a register, so nothing is written over it. Choose another name."
    assert unchanged(yard, before)


@pytest.mark.parametrize("what", ["--preview", "--write-mapping"])
def test_nothing_is_written_over_the_file_that_is_taken_in(yard: Shell, tmp_path: Path, what: str) -> None:
    sheet = tmp_path / "yard.csv"
    before = sheet.read_bytes()
    said = yard.refused("import", str(sheet), "--site", "YARD", what, str(tmp_path / "." / "yard.csv"))
    assert "is the file that is taken in" in said
    assert sheet.read_bytes() == before


def test_more_than_anybody_wrote_is_not_read(yard: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(context, "LARGEST", 1000)
    large = tmp_path / "large.json"
    large.write_text(json.dumps(["x" * 1000]), encoding="utf-8")
    assert "Check the file, or split it" in yard.refused("record", str(large))
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(large.read_bytes())))
    assert "standard input" in yard.refused("record", "-")


def test_a_site_that_is_not_there_is_named_and_not_the_tag_blamed(yard: Shell) -> None:
    assert yard.refused("why", "YD-0001", "--site", "NOPE").startswith("There is no site NOPE")
    assert "There is no site “”" in yard.refused("due", "--site", "")


def test_what_is_said_of_a_repair_holds(yard: Shell) -> None:
    assert "must pass every contractor's duty" in yard.run("repaired", "yd-0003", "--repairer", "Jo", "--what", "plug")
    said = yard.run("repaired", "YD-0002", "--repairer", "Jo", "--what", "cord", "--on", "2026-04-01")
    assert said.startswith("YD-0002: repaired 1 Apr 2026 by Jo (cord).")
    assert "It was tested after that" in said


def test_a_kind_keeps_its_capitals_and_a_record_without_a_tester_no_comma(yard: Shell) -> None:
    said = yard.run("why", "YD-0002")
    assert "Class II appliance at" in said
    assert ", ." not in said


def test_one_id_on_two_tests_is_refused_and_none_is_lost(yard: Shell, record: Writer, tmp_path: Path) -> None:
    yard.run("record", str(record()))
    same = json.loads(record().read_text(encoding="utf-8"))[0]
    other = tmp_path / "other.json"
    for change in ({"tag": "YD-0003", "readings": []}, {"tested_on": "2026-11-23"}):
        other.write_text(json.dumps([same | change]), encoding="utf-8")
        assert "an id of its own" in yard.refused("record", str(other))
    assert "nothing was changed" in yard.run("record", str(record("310")))


def test_an_empty_list_of_records_says_so(yard: Shell, tmp_path: Path) -> None:
    empty = tmp_path / "empty.json"
    empty.write_text("[]", encoding="utf-8")
    assert "nothing was recorded" in yard.run("record", str(empty))
    assert yard.json("record", str(empty)) == []
    empty.write_text(" \n", encoding="utf-8")
    assert "The JSON text is empty" in yard.refused("record", str(empty))


def test_a_record_id_is_found_in_any_case(yard: Shell, record: Writer) -> None:
    yard.run("record", str(record()))
    key = json.loads(record().read_text(encoding="utf-8"))[0]["id"]
    assert yard.json("correct", f" {key.upper()} ", "--void", "--reason", "another item")["record"] == key


def test_a_place_that_is_none_gets_one_sentence_and_no_folder(yard: Shell, tmp_path: Path) -> None:
    (tmp_path / "round.register").symlink_to(tmp_path / "about.register")
    (tmp_path / "about.register").symlink_to(tmp_path / "round.register")
    nowhere = Shell(tmp_path / "round.register", yard._capsys)
    assert "lead in a circle" in nowhere.refused("check")
    nowhere.db = tmp_path / "none" / "own.register"
    nowhere.refused("upgrade")
    assert not nowhere.db.parent.exists()
    nowhere.db = tmp_path / "two\nlines.register"
    assert "\n" not in nowhere.refused("check")
    assert "No register is named" in yard.refused("move", "--to", " ")


def test_a_team_is_not_changed_without_a_login(yard: Shell) -> None:
    for words in (("--end",), ("--role", "reviewer"), ("--owner", "Tern Boats")):
        assert "Say whose login" in yard.refused("team", *words)


def told(yard: Shell, *words: str, out: int | str, encoding: str = "utf-8") -> subprocess.CompletedProcess[bytes]:
    """Run a command as a program of its own, with its answer going to a file, a device or a pipe."""
    line = [sys.executable, "-c", "import sys; from register.cli.main import main; sys.exit(main())"]
    env = {**os.environ, "PYTHONIOENCODING": encoding}
    with open(out, "wb") if isinstance(out, str) else nullcontext(out) as target:  # noqa: PTH123 - a device as well
        return subprocess.run(
            [*line, "--db", str(yard.db), "--today", "2026-11-24", *words],
            stdout=target, stderr=subprocess.PIPE, check=False, env=env,
        )  # fmt: skip


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_an_answer_that_can_not_be_written_is_told_in_one_sentence(yard: Shell) -> None:
    done = told(yard, "remove", "YD-0003", "--reason", "scrapped", out="/dev/full")
    assert (done.returncode, done.stderr.count(b"\n")) == (1, 1)
    assert b"The command itself was carried out" in done.stderr
    assert yard.json("why", "YD-0003")["standing"] == "removed"


def test_a_reader_that_has_gone_away_is_no_fault(yard: Shell) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = told(yard, "due", "--json", out=writing)
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.parametrize("encoding", ["ascii", "ascii:surrogateescape"])
def test_letters_that_the_output_can_not_hold_are_escaped(
    yard: Shell, record: Writer, tmp_path: Path, encoding: str
) -> None:
    paper = tmp_path / "answer.json"
    done = told(yard, "record", str(record()), "--json", out=str(paper), encoding=encoding)
    assert (done.returncode, done.stderr) == (0, b"")
    assert "Ω" in json.loads(paper.read_bytes())[0]["findings"][1]["why"]


def test_a_refusal_that_nobody_hears_does_not_stand_where_the_answer_would(
    yard: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stderr", None)
    assert main(["--db", str(yard.db), "due", "--site", "NOPE", "--json"]) == 1
    assert yard.printed() == ""


def test_standard_input_that_is_closed_is_refused(yard: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", None)
    assert "Standard input is closed" in yard.refused("judge", "-")


def test_ctrl_c_ends_with_a_sentence_and_keeps_nothing(yard: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    before = yard.json("check")["events"]

    def stop(*_: object, **_named: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("register.cli.deeds.find_item", stop)
    assert yard.run("remove", "YD-0003", "--reason", "scrapped", code=130) == ""
    assert yard.err == "Stopped. What was not finished was not kept.\n"
    assert unchanged(yard, before)


def test_a_file_that_may_not_even_be_looked_at_is_refused(
    yard: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(self: Path, **_: object) -> object:
        raise PermissionError(13, "Permission denied", str(self))

    place = tmp_path / "closed.csv"
    for words in (("record", str(place)), ("plan", "--gpx", str(place)), ("merge", str(place))):
        with monkeypatch.context() as patched:
            patched.setattr(Path, "is_dir", closed)
            assert "Permission denied" in yard.refused(*words)

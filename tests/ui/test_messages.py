"""Where a file goes: it gets its ending, and none that is there already is lost without a question."""

from pathlib import Path

import pytest

from tests.ui.conftest import RecordedMessages
from ui.messages import ask_where


def asked(chosen: Path | None, *, agrees: bool = True) -> tuple[Path | None, RecordedMessages]:
    messages = RecordedMessages(files=[chosen] if chosen else [], agrees=agrees)
    return ask_where(messages, "Print tags", "tags-2026-11-24.pdf", "PDF (*.pdf)"), messages


@pytest.mark.parametrize(
    ("typed", "made"),
    [("tags", "tags.pdf"), ("tags.pdf", "tags.pdf"), ("TAGS.PDF", "TAGS.PDF"), ("tags.v2", "tags.v2.pdf")],
)
def test_a_file_gets_the_ending_of_its_kind(tmp_path: Path, typed: str, made: str) -> None:
    path, messages = asked(tmp_path / typed)
    assert path == tmp_path / made
    assert messages.asked == ["Print tags"]


def test_nothing_is_written_where_the_question_was_left() -> None:
    path, _messages = asked(None)
    assert path is None


@pytest.mark.parametrize("agrees", [True, False])
def test_a_file_that_the_ending_would_replace_is_asked_about(tmp_path: Path, *, agrees: bool) -> None:
    (tmp_path / "tags.pdf").write_bytes(b"of last week")
    path, messages = asked(tmp_path / "tags", agrees=agrees)
    assert path == (tmp_path / "tags.pdf" if agrees else None)
    assert "“tags.pdf” is there already" in messages.asked[-1]


def test_what_the_dialog_itself_asked_about_is_not_asked_twice(tmp_path: Path) -> None:
    (tmp_path / "tags.pdf").write_bytes(b"of last week")
    path, messages = asked(tmp_path / "tags.pdf")
    assert path == tmp_path / "tags.pdf"
    assert messages.asked == ["Print tags"]


@pytest.mark.parametrize(
    ("typed", "made"), [("harn.db", "harn.db"), ("harn.v2", "harn.v2.register"), ("a", "a.register")]
)
def test_each_ending_of_the_kinds_is_kept(tmp_path: Path, typed: str, made: str) -> None:
    messages = RecordedMessages(files=[tmp_path / typed])
    assert ask_where(messages, "Make", "own.register", "Register (*.register *.db);;All files (*)") == tmp_path / made


@pytest.mark.parametrize("agrees", [True, False])
@pytest.mark.parametrize("typed", ["yard", "yard.xlsx"])
def test_what_is_written_beside_a_file_is_asked_about_too(tmp_path: Path, typed: str, *, agrees: bool) -> None:
    (tmp_path / "yard.pdf").write_bytes(b"of last year")
    messages = RecordedMessages(files=[tmp_path / typed], agrees=agrees)
    path = ask_where(messages, "Write", "own.xlsx", "Workbook (*.xlsx)", beside=[".pdf"])
    assert path == (tmp_path / "yard.xlsx" if agrees else None)
    assert "“yard.pdf” is there already" in messages.asked[-1]


def test_all_that_would_be_replaced_is_named_in_one_question(tmp_path: Path) -> None:
    for name in ("yard.xlsx", "yard.pdf"):
        (tmp_path / name).write_bytes(b"of last year")
    messages = RecordedMessages(files=[tmp_path / "yard"])
    ask_where(messages, "Write", "own.xlsx", "Workbook (*.xlsx)", beside=[".pdf"])
    assert "“yard.xlsx” and “yard.pdf” are there already" in messages.asked[-1]
    assert len(messages.asked) == 2


def test_nothing_is_asked_where_whoever_makes_the_file_replaces_none(tmp_path: Path) -> None:
    (tmp_path / "own.register").write_bytes(b"somebody's")
    messages = RecordedMessages(files=[tmp_path / "own"])
    kinds = "Register (*.register)"
    assert ask_where(messages, "Make", "a.register", kinds, replaces=False) == tmp_path / "own.register"
    assert messages.asked == ["Make"]

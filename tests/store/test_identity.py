"""A file that is not a register, or can't be opened as one, is left as it is and said to be so in one sentence."""

import hashlib
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config

from register.errors import Refused, Unavailable
from register.store import upgrade
from register.store.engine import create_register, open_register


def of_text(path: Path) -> None:
    path.write_text("Tag,Item,Last tested\n0012,Kettle,3/4/2026\n" * 200, encoding="utf-8")


def of_nothing(path: Path) -> None:
    path.write_bytes(b"")


def of_another_program(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as other:
        other.execute("PRAGMA journal_mode=WAL")
        other.execute("CREATE TABLE song (title TEXT)")


def newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA user_version=2")


def of_an_unknown_layout(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file, file:
        file.execute("UPDATE alembic_version SET version_num = '0099'")


def without_a_layout(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file, file:
        file.execute("DROP TABLE alembic_version")


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def cut_by_a_byte(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


def a_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def missing(path: Path) -> None:
    path.unlink()


NOT_OURS = "own.register is not a register of this program; it was left as it is. Choose another file."
DAMAGED = (
    "The register own.register is damaged; nothing was changed. Keep the file as it is and open your last good copy."
)
SENTENCES: list[tuple[Callable[[Path], None], type[Exception], str]] = [
    (of_text, Unavailable, NOT_OURS),
    (of_another_program, Refused, NOT_OURS),
    (without_a_layout, Refused, NOT_OURS),
    (of_nothing, Refused, "own.register is an empty file, not a register. Choose another file."),
    (
        newer,
        Refused,
        (
            "own.register was written by a newer version of this program; it was left as it is. Update the program to"
            " open it."
        ),
    ),
    (
        of_an_unknown_layout,
        Refused,
        (
            "own.register has the layout 0099, which this version of the program does not know; it was left as it is."
            " Update the program to open it."
        ),
    ),
    (cut_short, Unavailable, DAMAGED),
    (cut_by_a_byte, Unavailable, DAMAGED),
    (a_folder, Refused, "own.register is a folder, not a register. Choose the register file in it."),
    (
        missing,
        Refused,
        "There is no register at {path}. Check the name, or take in a spreadsheet to start one there.",
    ),
]


def content(folder: Path) -> dict[str, str]:
    """Return every file in a folder with a hash of what is in it."""
    return {
        str(each.relative_to(folder)): hashlib.sha256(each.read_bytes()).hexdigest()
        for each in folder.rglob("*")
        if each.is_file()
    }


@pytest.mark.parametrize(("make", "kind", "sentence"), SENTENCES, ids=[each[0].__name__ for each in SENTENCES])
def test_a_wrong_file_is_refused_with_one_sentence_and_left_as_it_is(
    path: Path, make: Callable[[Path], None], kind: type[Exception], sentence: str
) -> None:
    make(path)
    before = content(path.parent)
    with pytest.raises(kind) as told:
        open_register(path)
    assert str(told.value) == sentence.format(path=path)
    assert content(path.parent) == before


@pytest.mark.parametrize("length", [1, 15, 16, 99, 100, 511, 512, 4095, 4096, 4097, 8192, 100_000])
def test_a_register_cut_off_anywhere_is_refused_and_left_as_it_is(path: Path, length: int) -> None:
    path.write_bytes(path.read_bytes()[:length])
    before = content(path.parent)
    with pytest.raises((Refused, Unavailable), match=r"is damaged|not a register"):
        open_register(path)
    assert content(path.parent) == before


@pytest.mark.parametrize(
    "name", ["a b.register", "what?.register", "50%41.register", "no#1.register", "Zoë-2.register"]
)
def test_any_name_that_a_file_can_have_is_a_registers_name(path: Path, name: str) -> None:
    made = path.with_name(name)
    create_register(made).close()
    open_register(made).close()
    assert sorted(each.name for each in path.parent.iterdir()) == sorted(["own.register", name])


@pytest.mark.parametrize(
    ("name", "why"), [("x" * 300, "File name too long"), ("a\0b", "a character that no name can have")]
)
@pytest.mark.parametrize("way", [open_register, create_register])
def test_a_name_that_no_file_can_have_is_said_so(
    tmp_path: Path, way: Callable[[Path], object], name: str, why: str
) -> None:
    with pytest.raises(Unavailable, match=rf"can't be reached: .*{why}\. Check the name"):
        way(tmp_path / name)


def test_a_link_opens_the_register_it_leads_to(path: Path) -> None:
    link = path.with_name("link.register")
    link.symlink_to(path)
    with closing(open_register(link)) as opened:
        assert opened.name == "own.register"


def test_a_new_register_never_takes_the_place_of_a_file(path: Path) -> None:
    before = content(path.parent)
    with pytest.raises(Refused, match="exists already; it was left as it is"):
        create_register(path)
    assert content(path.parent) == before


def test_a_new_register_needs_its_folder(tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"The folder .*nowhere does not exist"):
        create_register(tmp_path / "nowhere" / "new.register")
    assert content(tmp_path) == {}


@pytest.mark.parametrize("step", [1, 10, 30, 60])
def test_a_creation_that_fails_half_way_leaves_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: int
) -> None:
    whole = command.upgrade

    def failing(config: Config, revision: str) -> None:
        left = iter(range(step))
        connection = config.attributes["connection"].connection.driver_connection
        connection.set_authorizer(lambda *_: sqlite3.SQLITE_DENY if next(left, None) is None else sqlite3.SQLITE_OK)
        whole(config, revision)

    monkeypatch.setattr(command, "upgrade", failing)
    with pytest.raises(Exception, match="not authorized"):
        create_register(tmp_path / "new.register")
    assert content(tmp_path) == {}


def test_a_copy_of_a_closed_register_is_whole(path: Path, tmp_path: Path) -> None:
    copy = shutil.copy(path, tmp_path / "copy.register")
    with closing(open_register(copy)) as opened, opened.read() as connection:
        assert upgrade.revision(connection) == upgrade.HEAD

"""Packs, field registers, field work and workbooks that an earlier version made: what a later one does with them."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from openpyxl import load_workbook

from register.errors import Refused
from register.exchange.pack import merge_file, open_pack, write_work
from register.exchange.review import read_returned
from register.services.owners.review import review
from register.services.upgrading import upgrade
from register.store.engine import open_register
from tests.desk import TODAY, Desk
from tests.later import AT, FOUND, later, office
from tests.registers import ACTOR
from tests.released.kept import kept

__all__ = ["later", "office"]


def merged(office: Path, work: Path) -> dict[str, int]:
    with closing(open_register(office)) as register:
        done = merge_file(register, work, actor=ACTOR, at=AT, today=TODAY)
        assert Desk(register).faults() == ()
    return done.added


def test_a_pack_is_brought_up_to_date_as_it_is_opened(tmp_path: Path, office: Path) -> None:
    target = tmp_path / "fresh.register"
    open_pack(kept(FOUND, "pack", tmp_path), target, today=TODAY)
    with closing(open_register(target)) as register:
        desk = Desk(register)
        assert desk.faults() == ()
        assert desk.events() == ["pack:open"]
        desk.test("S-2")
        write_work(register, tmp_path / "fresh.fieldwork", actor=ACTOR, at=AT, today=TODAY)
    assert merged(office, tmp_path / "fresh.fieldwork")["record"] == 1


def test_a_pack_with_more_in_it_than_its_layout_is_refused(tmp_path: Path, office: Path) -> None:
    from register.exchange.pack.container import PACK, open_container, write_container

    pack, part = kept(FOUND, "pack", tmp_path), tmp_path / "part"
    found = open_container(pack, PACK)
    found.unpack(part)
    with closing(sqlite3.connect(part)) as file, file:
        file.execute("CREATE TRIGGER sly AFTER UPDATE ON item BEGIN DELETE FROM record; END")
    write_container(tmp_path / "sly.fieldpack", PACK, found.pack, part)
    with pytest.raises(Refused, match="holds no whole register"):
        open_pack(tmp_path / "sly.fieldpack", tmp_path / "sly.register", today=TODAY)
    assert office.exists()
    assert not (tmp_path / "sly.register").exists()


def test_work_that_an_earlier_version_wrote_is_sent_anew_by_the_laptop_once_it_is_up_to_date(
    tmp_path: Path, office: Path
) -> None:
    before = office.read_bytes()
    told = r"written by an earlier version .* Update the program on the laptop, open its register there, and send"
    with pytest.raises(Refused, match=told):
        merged(office, kept(FOUND, "work", tmp_path))
    assert office.read_bytes() == before

    field = kept(FOUND, "field", tmp_path)
    upgrade(field, actor="Asha Pell", at=AT, today=TODAY)
    with closing(open_register(field)) as register:
        work, done = write_work(register, tmp_path / "again.fieldwork", actor="Asha Pell", at=AT, today=TODAY)
    assert (work.left, done.done) == ({}, 1)
    assert merged(office, tmp_path / "again.fieldwork")["record"] == 1


def test_work_of_the_same_version_is_merged_as_it_is(tmp_path: Path) -> None:
    office = Path(shutil.copy(kept(FOUND, "office", tmp_path), tmp_path / "same.register"))
    assert merged(office, kept(FOUND, "work", tmp_path))["record"] == 1


def test_an_owners_workbook_of_an_earlier_version_is_read_as_one_of_today(tmp_path: Path, office: Path) -> None:
    file = kept(FOUND, "workbook", tmp_path)
    book = load_workbook(file)
    sheet = book["Register"]
    heads = {cell.value: cell.column for cell in sheet[1]}
    sheet.cell(2, heads["Your answer"], "Not found")
    book.save(file)
    returned = read_returned(file)
    with closing(open_register(office)) as register, Desk(register).change() as change:
        done = review(change, returned.sent, list(returned.answers), by=ACTOR)
    assert (done.foreign, [(step.tag, step.answer) for step in done.steps]) == (False, [("L-1", "Not found")])

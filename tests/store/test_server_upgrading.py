"""A register on a server is brought up to date by whoever owns its tables, wholly or not at all."""

import itertools
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.errors import Earlier, Refused, Unavailable
from register.services.check import check
from register.services.moving import move
from register.services.upgrading import Upgraded, upgrade
from register.store import moving, server_copies
from register.store import upgrade as layouts
from register.store.address import Address
from register.store.engine import Register, open_register
from register.store.opening import open_place, open_to_upgrade
from register.store.server import SETTINGS
from register.store.tables import Item
from tests.desk import TODAY, Desk
from tests.later import FOUND, LATER, MORE, later
from tests.registers import ACTOR
from tests.released.kept import LAYOUTS, grow, kept
from tests.released.on_server import put_on_server
from tests.servers import CHIEF, Server

__all__ = ["later"]

REWRITING = """
REWRITTEN = {"area": frozenset({"name"})}

def upgrade():
    op.alter_column("item", "description", type_=sa.String(2000))
    op.add_column("item", sa.Column("made_up", sa.Text(), nullable=False, server_default=""))
    op.execute("UPDATE area SET name = upper(name)")
    make_table("ladder", {"id": TEXT})
"""
STEP = 150
NOW = datetime(2026, 11, 24, 9, tzinfo=UTC)
WRONG = {
    "the column remarks of item": 'op.drop_column("item", "remarks")',
    "what is kept in site": "op.execute(\"UPDATE site SET name = 'Depot'\")",
    "the number of rows of tag": "op.execute(\"DELETE FROM tag WHERE number = 'S-1'\")",
    "the table mark": 'op.drop_table("mark")',
    "the trigger record_no_delete": 'op.execute("DROP TRIGGER record_no_delete ON record")',
}


@pytest.fixture(scope="module")
def full(server: Server, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The name of a database with the kept register, which no test changes; `rae` may work in it."""
    server.run("CREATE DATABASE full_one TEMPLATE template0")
    put_on_server(kept(FOUND, "office", tmp_path_factory.mktemp("kept")), FOUND, server, "full_one")
    server.run("CREATE ROLE rae LOGIN IN ROLE retest_contractor")
    server.run("INSERT INTO access VALUES ('rae', 'contractor', NULL, gen_random_uuid())", "full_one")
    return "full_one"


@pytest.fixture
def own(server: Server, full: str) -> Iterator[str]:
    """The name of a database of the test's own with the kept register."""
    with server.database(full) as name:
        yield name


def upgraded(place: Address, folder: Path | None = None) -> Upgraded:
    """Bring a register up to date, with a copy where a folder for it is given."""
    copied = folder is None
    return upgrade(place, actor=ACTOR, at=NOW, today=TODAY, copies_of_server=folder, copied=copied)


def dump(server: Server, database: str) -> str:
    """Return all that a database is and holds, as statements that would make it anew."""
    command = [server.programs / "pg_dump", "-h", server.folder, "-U", CHIEF, database]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return "".join(line for line in said.splitlines(keepends=True) if "restrict" not in line)  # differs each time


def content(register: Register) -> dict[str, moving.Held]:
    with register.read() as connection:
        return {name: held for name, held in moving.held(connection).items() if name not in {"event", "seal"}}


def test_it_is_brought_up_to_date_by_the_owner_of_its_tables_alone(
    own: str, server: Server, later: Callable[[str], Path]
) -> None:
    later(MORE)
    with pytest.raises(Refused, match=r"Ask whoever keeps the server to bring it up to date, with the command upgrade"):
        open_place(server.address(own, "rae"))
    with pytest.raises(Earlier, match=r"Bring it up to date first, here or with the command upgrade"):
        open_place(server.address(own))
    with pytest.raises(Refused, match="by the login that owns its tables, and yours does not"):
        upgraded(server.address(own, "rae"))

    done = upgraded(server.address(own))

    assert (done.found, done.layout, done.copy) == (FOUND, LATER, None)
    with closing(open_place(server.address(own, "rae"))) as register:
        desk = Desk(register)
        assert desk.events()[-1] == "register:upgrade"
        assert desk.faults() == ()
        desk.site("NEW")
        assert desk.faults() == ()
    assert upgraded(server.address(own)).found == LATER


def test_the_login_that_owns_the_tables_needs_no_more_than_that(
    server: Server, tmp_path: Path, later: Callable[[str], Path]
) -> None:
    server.run("CREATE ROLE keep LOGIN CREATEROLE")
    server.run("CREATE DATABASE kept_by OWNER keep TEMPLATE template0")
    place = server.address("kept_by", "keep")
    with closing(open_register(kept(FOUND, "office", tmp_path))) as register:
        move(register, place)
    later(MORE)
    assert upgraded(place).layout == LATER
    with closing(open_to_upgrade(place)) as register:
        assert Desk(register).faults() == ()
    server.run("DROP DATABASE kept_by WITH (FORCE)")


def test_what_a_script_rewrites_takes_along_all_that_was_built_on_it(
    own: str, server: Server, later: Callable[[str], Path]
) -> None:
    later(REWRITING)
    policies = "SELECT count(*) FROM pg_policies"
    before = server.run(policies, own)
    assert upgraded(server.address(own)).layout == LATER
    assert server.run("SELECT DISTINCT made_up FROM item", own) == ""
    assert server.run("SELECT count(*) FROM item", own) == "1011"
    assert server.run(policies, own) == before


def rows(path: Path) -> dict[str, list[object]]:
    """Return every row of every table of a file, words to be found included, but not how they are kept."""
    with closing(sqlite3.connect(path)) as file:
        names = file.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'item!_search!_%' ESCAPE '!'"
        )
        return {name: sorted(file.execute(f'SELECT * FROM "{name}"'), key=repr) for (name,) in names.fetchall()}


def test_it_is_copied_as_it_was_into_a_file_that_the_earlier_version_opens(
    own: str, server: Server, tmp_path: Path, later: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    server.run("DELETE FROM access WHERE login = 'rae'", own)  # who was let in past the program
    later(REWRITING)
    copy = upgraded(server.address(own), tmp_path).copy
    assert copy == tmp_path / f"{own}-2026-11-24-090000Z-before-upgrade.register"
    assert rows(copy) == rows(kept(FOUND, "office", tmp_path))
    facts = "SELECT data::json ->> 'copy' FROM event WHERE name = 'register:upgrade'"
    assert server.run(facts, own) == copy.name
    monkeypatch.undo()
    with closing(open_register(copy)) as register:
        assert Desk(register).faults() == ()


def test_a_second_attempt_goes_by_the_copy_of_the_first(
    own: str, server: Server, tmp_path: Path, later: Callable[[str], Path]
) -> None:
    later('\ndef upgrade():\n    op.drop_table("mark")\n')
    with pytest.raises(Unavailable, match="the table mark"):
        upgraded(server.address(own), tmp_path)
    (first,) = tmp_path.glob("*.register")
    later(MORE)
    assert upgraded(server.address(own), tmp_path).copy == first
    assert list(tmp_path.glob(f"{own}*")) == [first]


def test_where_it_can_not_be_copied_nothing_is_done(
    own: str, server: Server, tmp_path: Path, later: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    later(MORE)
    before = dump(server, own)
    with pytest.raises(
        Unavailable, match=r"was not brought up to date, because it could not be copied\. The folder .*not there"
    ):
        upgraded(server.address(own), tmp_path / "nowhere")
    monkeypatch.setattr(server_copies, "_as_in_a_file", lambda row: (*row[:-1], None))
    with pytest.raises(Unavailable, match="could not be copied"):
        upgraded(server.address(own), tmp_path)
    assert dump(server, own) == before
    assert not list(tmp_path.glob(f"{own}*"))


def test_nobody_changes_it_while_it_is_copied_and_it_goes_home_where_nothing_else_is_said(
    own: str, server: Server, tmp_path: Path, later: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(SETTINGS, "lock_timeout", "50ms")
    monkeypatch.setenv("HOME", str(tmp_path))
    steps: list[int] = []
    with closing(open_place(server.address(own, "rae"))) as register:

        def step(number: int) -> None:
            steps.append(number)
            with pytest.raises(Unavailable, match="Somebody else is changing"):
                Desk(register).site("NEW")

        later(MORE)
        monkeypatch.setattr("register.store.opening._check_still_known", lambda *_given: None)
        done = upgrade(server.address(own), actor=ACTOR, at=NOW, today=TODAY, step=step)
    assert steps == [0, 1, 2]
    assert done.copy is not None
    assert done.copy.parent == tmp_path / f"Copies of {own}"


@pytest.mark.parametrize("what", WRONG)
def test_what_would_be_lost_stops_it_and_nothing_of_it_stays(
    own: str, server: Server, later: Callable[[str], Path], what: str
) -> None:
    later(f"\ndef upgrade():\n    {WRONG[what]}\n")
    before = dump(server, own)
    with pytest.raises(Unavailable, match=what):
        upgraded(server.address(own))
    assert dump(server, own) == before


@pytest.mark.timeout(0)
@pytest.mark.parametrize("step", [STEP, pytest.param(1, marks=pytest.mark.long)])
def test_a_failure_at_any_statement_leaves_all_as_it_was(
    own: str, server: Server, later: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch, step: int,
    record_property: Callable[[str, object], None],
) -> None:  # fmt: skip
    later(REWRITING)
    before, failures = dump(server, own), 0
    while not _survives(server.address(own), 1 + failures * step, monkeypatch):
        failures += 1
        assert failures * step % STEP or dump(server, own) == before
    assert failures * step > 300
    monkeypatch.undo()
    later(REWRITING)
    assert server.run("SELECT version_num FROM alembic_version", own) == LATER
    record_property("failures", failures)


def _survives(place: Address, number: int, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Whether an upgrade is done before its statement of a number, at which it fails."""
    left = itertools.count(1)

    def fail(*_statement: object) -> None:
        if next(left) == number:
            raise OSError("pulled out")

    def opened(place: Address) -> Register:
        register = open_to_upgrade(place)
        sa.event.listen(register.engine, "before_cursor_execute", fail)
        return register

    monkeypatch.setattr("register.store.server_upgrading.open_to_upgrade", opened)
    try:
        upgraded(place)
    except OSError:
        return False
    return True


def test_two_at_once_copy_it_and_bring_it_up_to_date_once_and_both_go_on(
    own: str, server: Server, tmp_path: Path, later: Callable[[str], Path]
) -> None:
    later(REWRITING)
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda _: upgraded(server.address(own), tmp_path), range(2)))
    assert sorted(each.found for each in found) == [FOUND, LATER]
    assert len(list(tmp_path.glob(f"{own}*"))) == sum(each.copy is not None for each in found) == 1
    assert server.run("SELECT count(*) FROM event WHERE name = 'register:upgrade'", own) == "1"


def test_it_waits_for_whoever_is_at_work(own: str, server: Server, later: Callable[[str], Path]) -> None:
    with closing(open_place(server.address(own, "rae"))) as register, ThreadPoolExecutor(1) as pool:
        later(REWRITING)
        with register.engine.connect() as reader, reader.begin():
            reader.execute(sa.select(Item.id).limit(1)).all()
            waiting = pool.submit(upgraded, server.address(own))
            while server.run("SELECT count(*) FROM pg_stat_activity WHERE wait_event_type = 'Lock'") == "0":
                assert not waiting.done()
        assert waiting.result().found == FOUND


def test_a_program_that_has_it_open_is_told_that_it_was_brought_up_to_date(
    own: str, server: Server, later: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(open_place(server.address(own, "rae"))) as register:
        later(REWRITING)
        upgraded(server.address(own))
        monkeypatch.setattr(layouts, "HEAD", FOUND)
        monkeypatch.setattr(layouts, "EARLIER", frozenset())
        told = r"brought up to date by a newer version .* nothing was changed\. Update the program here"
        with pytest.raises(Refused, match=told):
            Desk(register).site("NEW")
        with pytest.raises(Refused, match=told), register.read() as connection:
            connection.exec_driver_sql("SELECT what_is_gone FROM item")
        with pytest.raises(Refused, match=told):
            open_place(server.address(own, "rae"))
        with pytest.raises(Refused, match=told):
            open_to_upgrade(server.address(own))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_released_layout_holds_the_same_on_a_server_as_in_a_file(
    server: Server, layout: str, tmp_path: Path, later: Callable[[str], Path]
) -> None:
    path = kept(layout, "office", tmp_path)
    if layout == FOUND:
        grow(path)
    later(MORE)
    with server.database() as database:
        put_on_server(path, layout, server, database)
        upgraded(server.address(database), tmp_path)
        upgrade(path, actor=ACTOR, at=NOW, today=TODAY)
        with closing(open_to_upgrade(server.address(database))) as there, closing(open_register(path)) as here:
            assert content(there) == content(here)
            assert content(here)["item"].rows > 1_000
            assert len(Desk(there).events()) == len(Desk(here).events()) > (10_000 if layout == FOUND else 0)
            with there.read() as connection:
                assert check(connection).faults == ()

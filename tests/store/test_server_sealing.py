"""Seals on a server: what is written is sealed as in a file, and whatever is changed past the program is found."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.domain.words import Kind, WithdrawalReason
from register.errors import Damaged
from register.services.check import check
from register.services.moving import move
from register.services.places import owner_named
from register.services.sealed import sealed_faults
from register.store import chain
from register.store.bulk import insert_rows
from register.store.engine import Register, open_register
from register.store.opening import open_as_keeper
from register.store.sealing import differing, seal_all
from register.store.seals import Seal
from register.store.server_rows import FEW
from register.store.tables import Owner
from register.store.types import new_key
from tests.desk import INSPECTION, SOUND, Desk
from tests.servers import Server


@pytest.fixture
def yard(on_server: Register) -> Desk:
    desk = Desk(on_server)
    desk.site()
    desk.item("L1", Kind.EXTENSION_LEAD, description="It's „neu“ \\ 二口")
    desk.test("L1", duties=(INSPECTION,), readings=SOUND)
    desk.item("W1", Kind.EXTENSION_LEAD)
    desk.withdraw("W1", WithdrawalReason.DAMAGED)
    return desk


@pytest.fixture
def keeper(server: Server, database: str) -> Iterator[Register]:
    with closing(open_as_keeper(server.address(database))) as register:
        yield register


def faults(register: Register) -> list[str]:
    with register.read() as connection:
        assert chain.broken_at(connection) is None
        return list(sealed_faults(connection))


def test_what_the_program_wrote_is_what_the_history_says(yard: Desk) -> None:
    assert faults(yard.register) == []
    with yard.read() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(Seal)).scalar_one() > 5
        assert check(connection).faults == ()


BEHIND = {
    "UPDATE site SET address = 'Elsewhere'": "YARD, the site: not as the history says; it was changed from outside.",
    "UPDATE reading SET value = value || '0' WHERE number = 1": "L1, a reading of a record: not as",
    "UPDATE record SET tested_on = tested_on + 30": "L1, a test record: not as the history says",
    "DELETE FROM reading WHERE number = 1": "L1, a reading of a record: gone, though the history tells of it",
    "INSERT INTO tester (id, version, name, licence) VALUES (gen_random_uuid(), 1, 'Nobody', '')": (
        "Nobody, the tester: kept, though the history does not tell of it; it was put in from outside."
    ),
    "INSERT INTO access (id, login, role) VALUES (gen_random_uuid(), 'eve', 'contractor')": "who may see it: kept,",
}


@pytest.mark.parametrize("deed", BEHIND)
def test_what_the_owner_of_the_tables_changes_past_all_guards_is_named(
    yard: Desk, server: Server, database: str, deed: str
) -> None:
    server.run(f"SET session_replication_role = replica; {deed}", database)
    found = faults(yard.register)
    server.run("DELETE FROM access WHERE login = 'eve'", database)
    assert found
    assert all(BEHIND[deed] in each for each in found)


def test_what_a_member_of_the_team_writes_past_the_program_is_named(yard: Desk) -> None:
    with yard.register.engine.execution_options(writes=True).begin() as connection:
        connection.exec_driver_sql("UPDATE owner SET contact = 'x'")
    assert any("the owner: not as the history says" in each for each in faults(yard.register))


def test_a_changed_seal_breaks_the_chain(yard: Desk, server: Server, database: str) -> None:
    changed = "UPDATE seal SET hash = translate(hash, 'ab', 'ba') WHERE seq = 2"
    server.run(f"SET session_replication_role = replica; {changed}", database)
    with yard.read() as connection:
        assert chain.broken_at(connection) is not None


@pytest.mark.parametrize("deed", ["UPDATE seal SET part = 9", "DELETE FROM seal", "TRUNCATE seal"])
def test_seals_are_only_ever_added_to(yard: Desk, keeper: Register, deed: str) -> None:
    assert faults(yard.register) == []
    with (
        pytest.raises(sa.exc.IntegrityError, match="only ever added to"),
        keeper.engine.execution_options(writes=True).begin() as connection,
    ):
        connection.exec_driver_sql(deed)


def test_what_was_turned_back_or_gone_again_is_sealed_as_it_stands(yard: Desk) -> None:
    with yard.change() as change:
        first, second = owner_named(change, "First"), owner_named(change, "Second")
        change.session.flush()
        save = change.session.begin_nested()
        change.session.execute(sa.update(Owner).where(Owner.id == first).values(contact="Turned back"))
        save.rollback()
        change.session.execute(sa.delete(Owner).where(Owner.id == second))
        change.session.execute(sa.update(Owner).where(Owner.id == first).values(contact="Jo"))
    assert faults(yard.register) == []


def test_rows_that_are_streamed_are_sealed(yard: Desk) -> None:
    with yard.change() as change:
        rows = ((new_key(), 1, f"Owner {number}", "x\ty") for number in range(2 * FEW))
        insert_rows(change.session.connection(), Owner, ("id", "version", "name", "contact"), rows)
    assert faults(yard.register) == []
    with yard.read() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(Owner)).scalar_one() > 2 * FEW


def test_what_was_sealed_on_a_server_holds_in_a_file_and_what_does_not_is_not_moved(
    yard: Desk, server: Server, database: str, tmp_path: Path
) -> None:
    with closing(open_as_keeper(server.address(database))) as keeper:
        moved = move(keeper, tmp_path / "back.register")
        with yard.read() as connection:
            assert chain.head(connection).hash == moved.head
        with closing(open_register(tmp_path / "back.register")) as back:
            assert faults(back) == []
        server.run("SET session_replication_role = replica; UPDATE site SET name = 'x'", database)
        with pytest.raises(Damaged, match="not what its history says"):
            move(keeper, tmp_path / "again.register")


def test_all_rows_can_be_sealed_as_they_stand(yard: Desk, keeper: Register, server: Server, database: str) -> None:
    server.run("SET session_replication_role = replica; UPDATE site SET name = 'x'", database)
    with keeper.engine.execution_options(writes=True).begin() as connection:
        seal_all(connection)
    with yard.read() as connection:
        assert list(differing(connection)) == []

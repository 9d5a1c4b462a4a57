"""Moving a register to a server and back: nothing lost, nothing doubled, and nothing half-done."""

from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Kind
from register.errors import Damaged, Refused
from register.services.corrections import void_record
from register.services.moving import move
from register.services.replacing import replace_item
from register.store import chain
from register.store.access import Access
from register.store.address import Address
from register.store.engine import Register, open_register
from register.store.layout import HISTORY, tables
from register.store.moving import held, models
from register.store.opening import open_as_keeper
from register.store.rows import table_of
from register.store.search import words_of
from register.store.types import Day, Flag, Instant, Key, Structure, new_key
from tests.content import content_hash
from tests.desk import SLOW, SOUND, Desk
from tests.registers import TODAY
from tests.servers import Server


@pytest.fixture
def yard(path: Path) -> Iterator[Desk]:
    """A register in a file with a row in every table, in all scripts."""
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        desk.item("A-1", description="Zwei­fach „Verteiler“ 二口 \\ \t ½", remarks="x\ny")
        desk.item("A-2", kind=Kind.EXTENSION_LEAD)
        desk.test("A-1", date(2026, 11, 2))
        wrong = desk.test("A-1", date(2026, 11, 3), readings=(*SOUND, *SLOW)).id
        with desk.change() as change:
            replace_item(change, desk.id("A-2"), tag="A-3")
            void_record(change, wrong, "Another item was meant.")
        with desk.change() as change:
            fill(change.session.connection())
        yield desk


def fill(connection: Connection) -> None:
    """Put a row into every table that has none."""
    for model in models():
        table = table_of(model)
        if connection.execute(sa.select(sa.literal(1)).select_from(table)).first() is None:
            row = {column.name: value(connection, column) for column in table.columns}
            connection.execute(sa.insert(table).values(row))


def value(connection: Connection, column: Any) -> Any:  # noqa: ANN401 - a column, and what it holds
    for key in column.foreign_keys:
        return connection.execute(sa.select(key.column)).scalars().first()
    kinds = {
        Key: new_key(), Day: TODAY, Flag: True, Instant: datetime(2026, 11, 20, 1, 2, 3, 450, tzinfo=UTC),
        Structure: {"b": [1, "ü"], "a": None}, sa.LargeBinary: b"\x00\xff\n", sa.Integer: 7,
    }  # fmt: skip
    return next((made for kind, made in kinds.items() if isinstance(column.type, kind)), "what “is” said: ½")


def facts(register: Register) -> tuple[Any, ...]:
    with register.read() as connection:
        return held(connection), chain.head(connection), chain.broken_at(connection), content_hash(connection)


@pytest.fixture
def target(server: Server) -> Iterator[Address]:
    """An empty database."""
    with server.database() as name:
        yield server.address(name)


def test_a_register_is_the_same_on_a_server_and_back_in_a_file(yard: Desk, target: Address, tmp_path: Path) -> None:
    before = facts(yard.register)
    moved = move(yard.register, target)
    with closing(open_as_keeper(target)) as on_server:
        assert facts(on_server) == before
        assert Desk(on_server).faults() == yard.faults()
        move(on_server, tmp_path / "back.register")
    with closing(open_register(tmp_path / "back.register")) as back:
        assert facts(back) == before
    assert moved.events == before[1].count
    assert moved.head == before[1].hash
    assert moved.rows["item"] == 3


def test_every_table_is_moved(yard: Desk, target: Address) -> None:
    move(yard.register, target)
    with closing(open_as_keeper(target)) as on_server, yard.read() as before, on_server.read() as after:
        wanted = {table.name for table in tables(before)} - {"alembic_version"}
        assert {name for name, each in held(after).items() if each.rows} == wanted
        assert HISTORY - {"alembic_version"} <= wanted


def test_work_goes_on_after_a_move(yard: Desk, target: Address, tmp_path: Path) -> None:
    with yard.change() as change:
        change.session.execute(sa.delete(Access))  # a team would ask who is at work
    move(yard.register, target)
    with closing(open_as_keeper(target)) as on_server:
        desk = Desk(on_server)
        desk.item("A-9", description="Entered on the server")
        move(on_server, tmp_path / "back.register")
    with closing(open_register(tmp_path / "back.register")) as back:
        desk = Desk(back)
        desk.item("A-10", description="Entered in the file")
        assert found_by(desk, "verteiler") == 1
        assert found_by(desk, "entered") == 2


def found_by(desk: Desk, text: str) -> int:
    from register.store.lists import ItemFilter, count_items

    assert words_of(text).long
    with desk.read() as connection:
        return count_items(connection, ItemFilter(TODAY, text))


def test_a_place_that_is_not_empty_is_left_as_it_is(
    yard: Desk, target: Address, tmp_path: Path, server: Server
) -> None:
    assert target.url.database is not None
    server.run("CREATE TABLE somebodys (own int)", target.url.database)
    with pytest.raises(Refused, match="not empty"):
        move(yard.register, target)
    assert server.run("SELECT tablename FROM pg_tables WHERE schemaname = 'public'", target.url.database) == "somebodys"
    (tmp_path / "there.register").write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match="exists already"):
        move(yard.register, tmp_path / "there.register")
    assert (tmp_path / "there.register").read_text(encoding="utf-8") == "mine"


def test_a_history_that_was_changed_is_not_moved_and_nothing_is_left_behind(
    yard: Desk, target: Address, tmp_path: Path, server: Server
) -> None:
    with yard.change() as change:
        connection = change.session.connection()
        connection.exec_driver_sql("DROP TRIGGER event_no_update")
        connection.exec_driver_sql("UPDATE event SET actor = 'Somebody' WHERE seq = 2")
    for place in (target, tmp_path / "new.register"):
        with pytest.raises(Damaged, match="event 2"):
            move(yard.register, place)
    assert target.url.database is not None
    assert server.run("SELECT tablename FROM pg_tables WHERE schemaname = 'public'", target.url.database) == ""
    assert not (tmp_path / "new.register").exists()

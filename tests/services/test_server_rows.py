"""Every row of every table of a register with something in each, by who may see and write it: held against its owner.

Whose a row is is worked out here from what it points to, and not by the rules of the server.
"""

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

import psycopg
import pytest
from psycopg import sql
from psycopg.rows import dict_row

from register.services.team import let_in
from register.store.access import Role
from register.store.opening import open_as_keeper
from tests.desk import Desk
from tests.later import FOUND
from tests.released.kept import kept
from tests.released.on_server import put_on_server
from tests.servers import CHIEF, Server

Row = dict[str, Any]

OWN = "Owner of HALL"
TEAM = {"ina": Role.CONTRACTOR, "jo": Role.ASSISTANT, "kit": Role.REVIEWER}
EVERYBODYS = frozenset({
    "alembic_version", "held_limit", "instrument", "intake", "pack", "pack_base", "setting", "tag_range", "tester",
    "van",
})  # fmt: skip
"""Tables without any owner."""
ADDED_BY_ANYBODY = frozenset({"event", "seal", "photo"})
"""Rows that are there before what says whose they are."""
POINTED_AT = ("site", "area", "item", "record", "withdrawal")


@dataclass(frozen=True)
class Held:
    """All that a register holds, and its owners' keys by name."""

    database: str
    rows: dict[str, list[Row]]

    @property
    def own(self) -> UUID:
        return next(row["id"] for row in self.rows["owner"] if row["name"] == OWN)

    def owner_of(self, table: str, row: Row) -> UUID | None:
        """Return whose a row is; None where it is nobody's."""
        if table == "owner":
            return UUID(str(row["id"]))
        if "owner_id" in row:
            return row["owner_id"]
        if table == "photo":
            shown = (each for each in self.rows["withdrawal_photo"] if each["photo_id"] == row["id"])
            return next((self.owner_of("withdrawal_photo", each) for each in shown), None)
        for column, pointed in (("site_id", "site"), ("item_id", "item"), ("record_id", "record")):
            if column in row:
                return self._of(pointed, row[column])
        return next(
            filter(None, (self._of(each, row.get("target_id", row.get("subject"))) for each in POINTED_AT)), None
        )

    def _of(self, table: str, key: UUID | None) -> UUID | None:
        return next((self.owner_of(table, row) for row in self.rows[table] if row["id"] == key), None)

    def is_seen(self, table: str, row: Row) -> bool:
        """Whether somebody sees a row who sees the one owner."""
        if table == "code_aside" and row["site_id"] is None:
            return True
        return table in EVERYBODYS or self.owner_of(table, row) == self.own


@pytest.fixture(scope="module")
def held(server: Server, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Held]:
    """The kept register, and a team that sees one owner of three."""
    server.run("CREATE DATABASE rows_of TEMPLATE template0")
    put_on_server(kept(FOUND, "office", tmp_path_factory.mktemp("kept")), FOUND, server, "rows_of")
    with closing(open_as_keeper(server.address("rows_of"))) as keeper:
        for login, role in TEAM.items():
            server.run(f"CREATE ROLE {login} LOGIN")
            with Desk(keeper).change() as change:
                let_in(change, login, role, [OWN])
    names = server.run("SELECT tablename FROM pg_tables WHERE schemaname = 'public'", "rows_of").split()
    with as_login(server, CHIEF) as connection:
        yield Held("rows_of", {name: all_of(connection, name) for name in names if name != "access"})
    server.run("DROP DATABASE rows_of WITH (FORCE)")
    for login in TEAM:
        server.run(f"DROP ROLE {login}")


def as_login(server: Server, login: str) -> "psycopg.Connection[Row]":
    return psycopg.connect(host=str(server.folder), user=login, dbname="rows_of", row_factory=dict_row)


def all_of(connection: "psycopg.Connection[Row]", table: str) -> list[Row]:
    return connection.execute(sql.SQL("SELECT * FROM {}").format(sql.Identifier(table))).fetchall()


def told(rows: list[Row]) -> list[str]:
    return sorted(map(repr, rows))


def test_every_table_has_rows_of_the_owner_and_of_others_to_tell_apart(held: Held) -> None:
    assert [name for name, rows in held.rows.items() if not rows] == ["pack_base"]  # of field registers alone
    of_both = [name for name, rows in held.rows.items() if len({held.is_seen(name, row) for row in rows}) == 2]
    assert {"owner", "site", "area", "item", "tag", "record", "reading", "event"} <= set(of_both)


@pytest.mark.parametrize("login", TEAM)
def test_each_sees_the_rows_of_his_owner_in_every_table_and_no_others(held: Held, server: Server, login: str) -> None:
    with as_login(server, login) as connection:
        for name, rows in held.rows.items():
            wanted = [row for row in rows if held.is_seen(name, row)]
            assert told(all_of(connection, name)) == told(wanted), name


@pytest.mark.parametrize("login", TEAM)
def test_the_view_shows_each_the_items_of_his_owner_and_can_not_be_written_through(
    held: Held, server: Server, login: str
) -> None:
    wanted = sorted(row["tag_number"] for row in held.rows["item"] if held.is_seen("item", row))
    with as_login(server, login) as connection:
        found = connection.execute("SELECT owner, tag_number FROM item_overview").fetchall()
        assert sorted(row["tag_number"] for row in found) == wanted
        assert {row["owner"] for row in found} == {OWN}
    for written in ("UPDATE item_overview SET kind = 'x'", "DELETE FROM item_overview"):
        with as_login(server, login) as connection, pytest.raises(psycopg.Error):
            connection.execute(written.encode())


@pytest.mark.parametrize("login", TEAM)
def test_nobody_writes_a_row_of_another_owner_in_any_table(held: Held, server: Server, login: str) -> None:
    for name, rows in held.rows.items():
        foreign = next((row for row in rows if not held.is_seen(name, row)), None)
        if foreign is None:
            continue
        key = {each: value for each, value in foreign.items() if value is not None and each.endswith(("id", "seq"))}
        for statement in (_unchanged(name, key), _deleted(name, key)):
            assert changed(server, login, statement, key) == 0, name
        if name not in ADDED_BY_ANYBODY:
            again = {each: uuid4() if each == "id" else value for each, value in foreign.items()}
            assert changed(server, login, _added(name, again), again) == 0, name


def _unchanged(table: str, key: Row) -> sql.Composed:
    """Return the statement that writes what stands there already."""
    first = sql.Identifier(next(iter(key)))
    return sql.SQL("UPDATE {0} SET {1} = {1} WHERE {2}").format(sql.Identifier(table), first, _is(key))


def _deleted(table: str, key: Row) -> sql.Composed:
    return sql.SQL("DELETE FROM {} WHERE {}").format(sql.Identifier(table), _is(key))


def _is(key: Row) -> sql.Composed:
    same = (sql.SQL("{} = {}").format(sql.Identifier(each), sql.Placeholder(each)) for each in key)
    return sql.SQL(" AND ").join(same)


def _added(table: str, row: Row) -> sql.Composed:
    names = sql.SQL(", ").join(map(sql.Identifier, row))
    return sql.SQL("INSERT INTO {} ({}) VALUES ({})").format(
        sql.Identifier(table), names, sql.SQL(", ").join(map(sql.Placeholder, row))
    )


def changed(server: Server, login: str, statement: sql.Composed, values: Row) -> int:
    """Return how many rows a statement would change; none where the server says that it is not allowed."""
    with closing(as_login(server, login)) as connection:
        try:
            return connection.execute(statement, values).rowcount
        except psycopg.errors.InsufficientPrivilege:
            return 0

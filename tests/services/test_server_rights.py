"""What a server itself holds everybody to, whatever program he comes with: as its own catalogue tells it, and tried."""

from collections.abc import Iterator
from contextlib import closing
from datetime import time
from typing import Any

import psycopg
import pytest
import sqlalchemy as sa

from register.store import few_owners
from register.store.access import Role
from register.store.engine import Register
from register.store.opening import open_as_keeper, open_place
from register.store.rights import GROUPS
from register.store.timings import latest_timings
from tests.desk import Desk
from tests.servers import CHIEF, Server

TEAM = {"ada": Role.CONTRACTOR, "ben": Role.ASSISTANT, "cy": Role.REVIEWER}


@pytest.fixture
def yard(server: Server, database: str, on_server: Register) -> Iterator[Server]:
    """A server with two owners' items, and a team that sees one of the two."""
    from register.services.team import let_in, let_out

    desk = Desk(on_server)
    for code in ("OWN", "ALIEN"):
        desk.site(code)
        desk.item(f"{code}-1", site=code)
        desk.test(f"{code}-1", at=time(9))
    with closing(open_as_keeper(server.address(database))) as keeper:
        for login, role in TEAM.items():
            server.run(f"CREATE ROLE {login} LOGIN")
            with Desk(keeper).change() as change:
                let_in(change, login, role, ["Owner of OWN"])
        yield server
        for login in TEAM:
            with Desk(keeper).change() as change:
                let_out(change, login)
            server.run(f"DROP ROLE {login}")


def as_login(server: Server, login: str, database: str = "built") -> "psycopg.Connection[tuple[object, ...]]":
    """Return a connection of any program's, for a login."""
    return psycopg.connect(host=str(server.folder), user=login, dbname=database)


def asked(server: Server, question: str) -> set[str]:
    return set(filter(None, server.run(question, "built").splitlines()))


@pytest.mark.usefixtures("database")
def test_the_catalogue_says_that_nobody_else_may_do_anything(server: Server) -> None:
    ours = {CHIEF, *GROUPS.values()}
    on_database = "SELECT DISTINCT grantee::regrole FROM pg_database, aclexplode(datacl) WHERE datname = 'built'"
    assert asked(server, on_database) <= ours
    on_schema = "SELECT DISTINCT grantee::regrole FROM pg_namespace, aclexplode(nspacl) WHERE nspname = 'public'"
    assert asked(server, on_schema) <= ours | {"pg_database_owner"}
    on_tables = (
        "SELECT DISTINCT grantee::regrole FROM pg_class, aclexplode(relacl) WHERE relnamespace = 'public'::regnamespace"
    )
    assert asked(server, on_tables) <= ours


@pytest.mark.usefixtures("database")
def test_the_catalogue_says_that_no_role_of_the_team_owns_anything_or_stands_above_the_rules(server: Server) -> None:
    owned = "SELECT DISTINCT pg_get_userbyid({0}owner) FROM pg_{1} WHERE {0}namespace = 'public'::regnamespace"
    assert asked(server, owned.format("rel", "class")) == {CHIEF}
    assert asked(server, owned.format("pro", "proc")) == {CHIEF}
    above = (
        "SELECT rolname FROM pg_roles WHERE (rolsuper OR rolbypassrls OR rolcreaterole OR rolcreatedb OR rolcanlogin)"
        " AND rolname LIKE 'retest%'"
    )
    assert asked(server, above) == set()


@pytest.mark.usefixtures("database")
def test_the_catalogue_says_that_every_view_asks_who_looks_and_every_table_of_an_owners_has_rules(
    server: Server,
) -> None:
    views = "SELECT relname FROM pg_class WHERE relkind IN ('v', 'm') AND relnamespace = 'public'::regnamespace"
    assert asked(server, views) == {"item_overview"}
    assert asked(server, f"{views} AND 'security_invoker=true' = ANY (reloptions)") == {"item_overview"}
    without = (
        "SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace"
        " AND NOT (relrowsecurity AND EXISTS (SELECT FROM pg_policy WHERE polrelid = pg_class.oid))"
    )
    of_the_firm = {
        "alembic_version", "held_limit", "instrument", "intake", "pack", "pack_base", "setting", "tag_range", "tester",
        "van",
    }  # fmt: skip
    assert asked(server, without) == of_the_firm


@pytest.mark.usefixtures("database")
def test_the_catalogue_says_that_functions_look_for_tables_where_nobody_can_put_his_own(server: Server) -> None:
    ours = (
        "SELECT proname FROM pg_proc WHERE pronamespace = 'public'::regnamespace"
        " AND (prosecdef OR prorettype = 'trigger'::regtype)"
    )
    last = "'search_path=public, pg_temp' = ANY (proconfig)"
    assert len(asked(server, f"{ours} AND {last}")) > 5
    assert asked(server, f"{ours} AND NOT coalesce({last}, false)") == set()


SHADOWS = {
    "who sees what": (
        "CREATE TEMP TABLE access AS SELECT session_user::text AS login, NULL::uuid AS owner_id",
        "SELECT count(*) FROM item",
        1,
    ),
    "what may be taken out": (
        (
            "CREATE TEMP TABLE taken_back AS SELECT id AS record_id FROM record;"
            " CREATE TEMP TABLE let_go AS SELECT id FROM record"
        ),
        "DELETE FROM reading RETURNING 1",
        None,
    ),
    "in which order events are": (
        "CREATE TEMP TABLE event AS SELECT 98 AS seq",
        "INSERT INTO public.event VALUES (99, gen_random_uuid(), '', '', '', gen_random_uuid(), '', '') RETURNING 1",
        None,
    ),
}


@pytest.mark.parametrize("login", TEAM)
@pytest.mark.parametrize("what", SHADOWS)
def test_a_table_of_ones_own_does_not_stand_in_the_place_of_the_registers(yard: Server, login: str, what: str) -> None:
    made, tried, found = SHADOWS[what]
    with closing(as_login(yard, login)) as connection:
        for statement in made.split(";"):
            connection.execute(statement.encode())
        if found is not None:
            assert connection.execute(tried.encode()).fetchone() == (found,)
            return
        with pytest.raises((psycopg.errors.InsufficientPrivilege, psycopg.errors.IntegrityError)):
            connection.execute(tried.encode())


def test_whoever_takes_another_role_stays_who_he_is(yard: Server) -> None:
    with closing(as_login(yard, "ben")) as connection, pytest.raises(psycopg.errors.InsufficientPrivilege):
        connection.execute(f"SET ROLE {GROUPS[Role.CONTRACTOR]}".encode())
    with closing(as_login(yard, "ada")) as connection:
        connection.execute(f"SET ROLE {GROUPS[Role.CONTRACTOR]}".encode())
        assert connection.execute(b"SELECT count(*) FROM item").fetchone() == (1,)


def test_a_reviewer_only_looks_and_is_told_so_from_the_beginning(yard: Server) -> None:
    for login, looks in (("ben", False), ("cy", True)):
        with closing(open_place(yard.address("built", login))) as register:
            assert bool(register.only_looking) is looks


def test_the_latest_records_of_few_owners_are_found_by_their_items_and_are_the_same(
    yard: Server, database: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[str, Any]] = []

    def note(_connection: object, _cursor: object, statement: str, values: object, *_rest: object) -> None:
        asked.append((statement, values))

    with closing(open_place(yard.address(database, "ada"))) as register:
        sa.event.listen(register.engine, "before_cursor_execute", note)
        with register.read() as connection:
            connection.exec_driver_sql("SET LOCAL enable_seqscan = off")
            found = latest_timings(connection)
            (statement, values) = next(each for each in asked if "tested_on DESC" in each[0])
            plan = "\n".join(connection.exec_driver_sql(f"EXPLAIN {statement}", values).scalars())
            monkeypatch.setattr(few_owners, "FEW", -1)
            assert latest_timings(connection) == found
    assert "Index Cond: (item_id = ANY" in plan
    assert len(found) == 2, "two duties of one record, which is of the owner whom she sees"

"""A register on a server: who is let in, how it is told what goes wrong, and what becomes of a save that is cut off."""

import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing
from datetime import UTC, datetime, time
from typing import Any

import psycopg
import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused, Unavailable
from register.services.check import check
from register.services.places import NewSite, add_site
from register.services.saving import save
from register.services.undo import Steps
from register.stopping import Stopped, stopped_by
from register.store import chain
from register.store.engine import Change, Register
from register.store.opening import open_as_keeper, open_place
from register.store.server_faults import KeptAfterAll, Lost, Unsure
from register.store.tables import CodeAside, Site, Withdrawal
from tests.desk import Desk
from tests.registers import ACTOR, TODAY, changing
from tests.servers import CHIEF, Server, running

NOON = datetime.combine(TODAY, time(12), UTC)


def enter(code: str) -> Callable[[Change], str]:
    return lambda change: add_site(
        change, NewSite(code=code, name=code, owner="Tern", rulebook="au-in-service", environment="workshop")
    )


def written(register: Register) -> AbstractContextManager[Connection]:
    """Return a transaction that writes, past the services."""
    return register.engine.execution_options(writes=True).begin()


def codes(register: Register) -> list[str]:
    with register.read() as connection:
        assert chain.broken_at(connection) is None
        return list(connection.execute(sa.select(Site.code).order_by(Site.code)).scalars())


def cut(connection: Connection, server: Server) -> None:
    """Let the server end a connection, as it does when it restarts or the network gives up on it."""
    number = connection.exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
    server.run(f"SELECT pg_terminate_backend({number}, 5000)")


def test_a_save_that_is_cut_off_before_it_is_kept_is_made_once_more(on_server: Register, server: Server) -> None:
    tries: list[int] = []

    def deed(change: Change) -> str:
        key = enter("YARD")(change)
        tries.append(1)
        if len(tries) == 1:
            cut(change.session.connection(), server)
        return key

    assert save(on_server, deed, actor=ACTOR, at=NOON, today=TODAY)
    assert len(tries) == 2
    assert codes(on_server) == ["YARD"]


def test_a_save_that_is_cut_off_every_time_is_told_and_nothing_is_kept(on_server: Register, server: Server) -> None:
    def deed(change: Change) -> None:
        enter("YARD")(change)
        cut(change.session.connection(), server)

    with pytest.raises(Lost, match="nothing of this change was kept"):
        save(on_server, deed, actor=ACTOR, at=NOON, today=TODAY)
    assert codes(on_server) == []


@pytest.mark.parametrize("kept", [True, False])
def test_whether_a_save_was_kept_is_found_out_where_the_answer_is_lost(
    on_server: Register, server: Server, monkeypatch: pytest.MonkeyPatch, *, kept: bool
) -> None:
    dialect, tries = on_server.engine.dialect, []
    commit = dialect.do_commit

    def lose_the_answer(driver: Any) -> None:  # noqa: ANN401 - the pool's
        tries.append(1)
        if len(tries) == 1:
            number = driver.dbapi_connection.info.backend_pid
            if kept:
                commit(driver)
            server.run(f"SELECT pg_terminate_backend({number}, 5000)")
            raise psycopg.OperationalError("server closed the connection unexpectedly")
        commit(driver)

    enter_once, steps = [], Steps()
    on_server.watch(steps)

    def deed(change: Change) -> str:
        enter_once.append(1)
        return enter("YARD")(change)

    monkeypatch.setattr(dialect, "do_commit", lose_the_answer)
    assert save(on_server, deed, actor=ACTOR, at=NOON, today=TODAY)
    assert len(enter_once) == (1 if kept else 2)
    assert codes(on_server) == ["YARD"]
    assert steps.to_undo == "Site entered, YARD"


def test_a_save_is_made_once_wherever_it_is_cut_off(on_server: Register, server: Server) -> None:
    """Before each statement of a save the server ends its connection; it does so once."""
    number = 0
    while cut_before(on_server, server, f"S{number:02}", number=number) > number:
        number += 1
    assert number > 10
    assert codes(on_server) == [f"S{each:02}" for each in range(number + 1)]
    with on_server.read() as connection:
        assert chain.broken_at(connection) is None
        assert check(connection).faults == ()


def cut_before(register: Register, server: Server, code: str, *, number: int) -> int:
    """Save a site, its connection cut off before so many statements; return how many there were in all."""
    count = 0

    def cut_off(connection: Connection, _cursor: object, _statement: str, *_rest: object) -> None:
        nonlocal count
        if count == number:
            count += 1
            driver = connection.connection.driver_connection
            assert isinstance(driver, psycopg.Connection)
            server.run(f"SELECT pg_terminate_backend({driver.info.backend_pid}, 5000)")
            return
        count += 1

    sa.event.listen(register.engine, "before_cursor_execute", cut_off)
    try:
        save(register, enter(code), actor=ACTOR, at=NOON, today=TODAY)
    finally:
        sa.event.remove(register.engine, "before_cursor_execute", cut_off)
    return count


def test_a_server_that_stops_in_mid_save_is_told_within_seconds_and_saves_once_when_it_is_back() -> None:
    with running() as server:
        server.run("CREATE DATABASE own TEMPLATE template0")
        with closing(server.build("own")) as register:
            begun = datetime.now(UTC)
            with pytest.raises(Lost):
                stop_in_mid_save(register, server)
            assert (datetime.now(UTC) - begun).total_seconds() < 30
            with pytest.raises(Unavailable, match="can't be reached"), register.read():
                pass
            server.start()
            save(register, enter("YARD"), actor=ACTOR, at=NOON, today=TODAY)
            assert codes(register) == ["YARD"]


def test_a_save_of_which_nobody_knows_yet_whether_it_was_kept_is_never_made_twice(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The server keeps it, stops before it says so, and is away until later."""
    with running() as server:
        server.run("CREATE DATABASE own TEMPLATE template0")
        server.build("own").close()
        server.run("CREATE ROLE kim LOGIN IN ROLE retest_contractor")
        server.run("INSERT INTO access VALUES ('kim', 'contractor', NULL, gen_random_uuid())", "own")
        with closing(open_place(server.address("own", "kim"))) as register:
            with monkeypatch.context() as patched:
                commit = register.engine.dialect.do_commit

                def keep_and_stop(driver: Any) -> None:  # noqa: ANN401 - the pool's
                    commit(driver)
                    server.stop()
                    raise psycopg.OperationalError("server closed the connection unexpectedly")

                patched.setattr(register.engine.dialect, "do_commit", keep_and_stop)
                with pytest.raises(Unsure, match="whether it was is not known yet"):
                    save(register, enter("YARD"), actor=ACTOR, at=NOON, today=TODAY)
            with pytest.raises(Unsure):
                save(register, enter("YARD"), actor=ACTOR, at=NOON, today=TODAY)
            server.start()
            with pytest.raises(KeptAfterAll, match="was kept after all"):
                save(register, enter("YARD"), actor=ACTOR, at=NOON, today=TODAY)
            save(register, enter("SLIP"), actor=ACTOR, at=NOON, today=TODAY)
            assert codes(register) == ["SLIP", "YARD"]


def stop_in_mid_save(register: Register, server: Server) -> None:
    with changing(register) as change:
        enter("YARD")(change)
        server.stop()
        enter("SLIP")(change)


def test_writers_take_turns_and_readers_see_one_state(on_server: Register) -> None:
    Desk(on_server).site("YARD")
    started, done = threading.Event(), threading.Event()

    def second() -> None:
        started.set()
        with changing(on_server) as change:
            enter("THIRD")(change)
        done.set()

    with on_server.read() as before:
        seen = before.execute(sa.select(sa.func.count()).select_from(Site)).scalar_one()
        with changing(on_server) as change:
            enter("SECOND")(change)
            thread = threading.Thread(target=second)
            thread.start()
            started.wait()
            assert not done.is_set()
        thread.join()
        assert before.execute(sa.select(sa.func.count()).select_from(Site)).scalar_one() == seen
    assert codes(on_server) == ["SECOND", "THIRD", "YARD"]


def test_a_writer_who_waits_too_long_is_told_so(on_server: Register) -> None:
    @sa.event.listens_for(on_server.engine, "connect")
    def impatient(connection: psycopg.Connection[Any], _record: object) -> None:
        connection.execute("SET lock_timeout = '50ms'")
        connection.commit()

    on_server.engine.dispose()
    with (
        changing(on_server),
        pytest.raises(Unavailable, match="Somebody else is changing built on this computer"),
        changing(on_server),
    ):
        pass


def test_a_single_long_statement_ends_when_its_work_is_told_to_stop(on_server: Register, server: Server) -> None:
    stop, asks = threading.Event(), "SELECT count(*) FROM pg_stat_activity WHERE query LIKE 'SELECT pg_sleep%'"

    def stop_once_it_runs() -> None:
        while server.run(asks) == "0":
            pass
        stop.set()

    thread = threading.Thread(target=stop_once_it_runs)
    thread.start()
    with pytest.raises(Stopped), stopped_by(stop), on_server.read() as connection:
        connection.exec_driver_sql("SELECT pg_sleep(25)")
    thread.join()
    assert server.run(asks) == "0"
    assert codes(on_server) == []


@pytest.mark.parametrize("patient", [True, False])
def test_a_copy_of_all_rows_may_take_its_time_and_nothing_else(on_server: Register, *, patient: bool) -> None:
    limits = ("idle_in_transaction_session_timeout", "statement_timeout")
    with on_server.read(patient=patient) as connection:
        found = [connection.exec_driver_sql(f"SHOW {name}").scalar_one() for name in limits]
    assert found == (["0", "0"] if patient else ["1min", "30s"])


@pytest.mark.parametrize(("made", "said"), [
    ("TEMPLATE template0 ENCODING 'SQL_ASCII' LOCALE 'C'", "sorts text by C in SQL_ASCII"),
    ("TEMPLATE template0", "is not a register"),
])  # fmt: skip
def test_a_database_that_will_not_do_is_refused(server: Server, made: str, said: str) -> None:
    server.run(f"CREATE DATABASE poor {made}")
    try:
        with pytest.raises(Refused, match=said):
            open_place(server.address("poor"))
    finally:
        server.run("DROP DATABASE poor")


def test_a_missing_database_and_a_refused_login_are_told(server: Server) -> None:
    with pytest.raises(Refused, match="no database nowhere"):
        open_place(server.address("nowhere"))
    with pytest.raises(Unavailable, match="does not let you in"):
        open_place(server.address("postgres", "stranger"))


def test_a_newer_layout_is_left_as_it_is(server: Server, database: str) -> None:
    server.run("UPDATE alembic_version SET version_num = '9999'", database)
    try:
        with pytest.raises(Refused, match="brought up to date by a newer version"):
            open_as_keeper(server.address(database))
    finally:
        server.run("UPDATE alembic_version SET version_num = '0001'", database)


def test_who_owns_the_tables_does_not_work_with_them(server: Server, database: str) -> None:
    with pytest.raises(Refused, match="owns the tables"):
        open_place(server.address(database, CHIEF))


@pytest.fixture
def keeper(server: Server, database: str) -> Iterator[Register]:
    """The same register, for the login that owns its tables and may do anything but change what is recorded."""
    opened = open_as_keeper(server.address(database))
    yield opened
    opened.close()


@pytest.mark.parametrize("table", ["event", "held_limit", "let_go"])
@pytest.mark.parametrize("deed", ["UPDATE {} SET {} = {}", "DELETE FROM {}", "TRUNCATE {} CASCADE"])
def test_what_is_recorded_can_only_be_added_to(keeper: Register, table: str, deed: str) -> None:
    rows = {
        "event": "(1, gen_random_uuid(), '', '', '', gen_random_uuid(), '', '')",
        "held_limit": "(gen_random_uuid(), '', NULL, NULL, '')",
        "let_go": "(gen_random_uuid(), '', gen_random_uuid(), '2026-01-01', '', now())",
    }
    with written(keeper) as connection:
        connection.exec_driver_sql(f"INSERT INTO {table} VALUES {rows[table]}")
    with pytest.raises(sa.exc.IntegrityError, match="only ever added to"), written(keeper) as connection:
        connection.exec_driver_sql(deed.format(table, "id", "id"))


def test_events_out_of_order_are_refused(keeper: Register) -> None:
    with pytest.raises(sa.exc.IntegrityError, match="in order"), written(keeper) as connection:
        connection.exec_driver_sql(
            "INSERT INTO event VALUES (2, gen_random_uuid(), '', '', '', gen_random_uuid(), '', '')"
        )


def test_an_event_is_not_put_in_the_place_of_another(keeper: Register) -> None:
    values = "(1, gen_random_uuid(), '', '{}', '', gen_random_uuid(), '', '')"
    with written(keeper) as connection:
        connection.exec_driver_sql(f"INSERT INTO event VALUES {values.format('Kim')}")
    with pytest.raises(sa.exc.IntegrityError, match=r"in order|only ever added to"), written(keeper) as connection:
        connection.exec_driver_sql(
            f"INSERT INTO event VALUES {values.format('Eve')} ON CONFLICT (seq) DO UPDATE SET actor = excluded.actor"
        )
    with keeper.read() as connection:
        assert connection.exec_driver_sql("SELECT actor FROM event").scalars().all() == ["Kim"]


@pytest.mark.parametrize(("column", "value"), [
    (CodeAside.scanned_at, datetime(2026, 11, 20, 10, 0)),  # noqa: DTZ001 - the case
    (Withdrawal.withdrawn_on, NOON),
])  # fmt: skip
def test_a_moment_without_zone_and_a_moment_for_a_day_are_refused_by_their_types(
    on_server: Register,
    column: sa.orm.InstrumentedAttribute[Any],
    value: datetime,
) -> None:
    asked = sa.select(sa.func.count()).where(column == value)
    with on_server.read() as connection, pytest.raises(sa.exc.StatementError, match=r"without zone|not an instant"):
        connection.execute(asked)

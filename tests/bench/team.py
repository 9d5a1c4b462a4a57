"""`python3 -m tests.bench.team`: the same large register on a PostgreSQL server and in a file, measured side by side.

A small register is made by the program's own services, moved to the server, and multiplied within both databases.
"""

import argparse
import shutil
import signal
import sqlite3
import sys
from contextlib import closing
from functools import partial
from pathlib import Path
from time import perf_counter
from typing import Final

import sqlalchemy as sa

from register.services.moving import move
from register.services.team import let_in
from register.store.access import Role
from register.store.engine import Register, open_register
from register.store.opening import open_as_keeper, open_place
from register.store.types import SQLITE
from tests.bench.build import ACTOR, AT, Size, kept_register
from tests.bench.made_up import TODAY
from tests.bench.multiply import multiply
from tests.bench.side_by_side import TIMES, WRITERS, WRITING, asked, kept_at_once, kept_one, leads, table
from tests.servers import Server, made_in

SEED: Final = 10_000
DATABASE: Final = "large"
LOGINS: Final = {"all owners": "boss", "one owner": "branch"}


def built(folder: Path, times: int) -> tuple[Server, Path]:
    """Return a server that runs and a file, with the same register of so many times the seed, made where not there."""
    large = folder / f"{times * SEED}.register"
    if not large.exists():
        _say(f"Making a file of {times * SEED:,} items")
        half_made = large.with_suffix(".unfinished")
        shutil.copyfile(kept_register(Size(SEED), folder), half_made)
        with closing(open_register(half_made)) as register:
            _multiply(register, times)
        half_made.rename(large)
    place = folder / f"server-{times * SEED}"
    if not place.exists():
        _say(f"Making a server with {times * SEED:,} items")
        half_made = folder / "unfinished-server"
        shutil.rmtree(half_made, ignore_errors=True)
        half_made.mkdir()
        _fill(made_in(half_made), kept_register(Size(SEED), folder), times)
        half_made.rename(place)
    server = made_in(place, "shared_buffers=1GB", "max_wal_size=4GB")
    server.start()
    return server, large


def _fill(server: Server, seed: Path, times: int) -> None:
    server.settings = (*server.settings, "maintenance_work_mem=512MB", "max_wal_size=8GB", "shared_buffers=1GB")
    server.start()
    try:
        server.run(f"CREATE DATABASE {DATABASE} TEMPLATE template0")
        with closing(open_register(seed)) as register:
            move(register, server.address(DATABASE))
        with closing(open_as_keeper(server.address(DATABASE))) as register:
            _multiply(register, times)
            with register.read() as connection:
                owner = connection.exec_driver_sql("SELECT name FROM owner ORDER BY name LIMIT 1").scalar_one()
            for login, owners in zip(LOGINS.values(), ([], [owner]), strict=True):
                server.run(f"CREATE ROLE {login} LOGIN")
                with register.change(actor=ACTOR, at=AT, today=TODAY) as change:
                    let_in(change, login, Role.CONTRACTOR, owners)
        server.run("VACUUM ANALYZE", DATABASE)
    finally:
        server.stop(signal.SIGINT)


def _multiply(register: Register, times: int) -> None:
    start, in_a_file = perf_counter(), register.engine.dialect.name == SQLITE
    if in_a_file:
        sa.event.listen(register.engine, "connect", _without_care)
    with register.engine.connect().execution_options(writes=True) as connection:
        if not in_a_file:
            connection.exec_driver_sql("SET statement_timeout = 0")
        for number in multiply(connection, times):
            if number % 10 == 0:
                connection.commit()
                _say(f"{number} of {times} after {perf_counter() - start:,.0f} s")
        connection.commit()
        if in_a_file:
            connection.exec_driver_sql("ANALYZE")
            connection.commit()
    _say(f"made in {perf_counter() - start:,.0f} s")


def _without_care(connection: sqlite3.Connection, _record: object) -> None:
    """Let a file that can be made again be written as quickly as can be."""
    for setting in ("foreign_keys=0", "synchronous=0", "journal_mode=off"):
        connection.execute(f"PRAGMA {setting}")


def _say(what: str) -> None:
    print(f"{what} ...", file=sys.stderr, flush=True)


def _measured(server: Server, large: Path) -> str:
    """Return what was measured, as it stands in the docs."""
    places = {"a file": large, **{f"a server, {who}": server.address(DATABASE, login) for who, login in LOGINS.items()}}
    columns = {}
    for what, place in places.items():
        _say(f"Asking {what}")
        with closing(open_place(place)) as register:
            columns[what] = asked(register)
            columns[what]["one test recorded"] = kept_one(register, iter(leads(register, 2 * TIMES)))
    _say(f"{WRITERS} write at once")
    with closing(open_place(places["a server, all owners"])) as register:
        tags = leads(register, 40_000)[100:]
    at_once = partial(open_place, server.address(DATABASE, LOGINS["all owners"]))
    kept, longest = kept_at_once(at_once, {number: tags[number::WRITERS] for number in range(WRITERS)})
    rows = "SELECT format('%s: %s', relname, n_live_tup) FROM pg_stat_user_tables ORDER BY relname"
    size = server.run(f"SELECT pg_size_pretty(pg_database_size('{DATABASE}'))")
    rate = f"{WRITERS} at once: {kept / WRITING:.0f} tests a second kept, the longest after {longest:.2f} s."
    sizes = f"{size} on the server, {large.stat().st_size / 1e9:.1f} GB in the file."
    return "\n\n".join([table(columns), rate, sizes, server.run(rows, DATABASE)])


def main(arguments: list[str]) -> int:
    """Build, measure, print; return the exit code."""
    parser = argparse.ArgumentParser(prog="python3 -m tests.bench.team", description=__doc__)
    parser.add_argument("--items", type=int, default=1_000_000, help="how many items, in ten thousands (1,000,000)")
    parser.add_argument("--dir", type=Path, required=True, help="where both are kept for the next run: some 25 GB")
    chosen = parser.parse_args(arguments)
    chosen.dir.mkdir(parents=True, exist_ok=True)
    server, large = built(chosen.dir, chosen.items // SEED)
    try:
        print(_measured(server, large))
    finally:
        server.stop(signal.SIGINT)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

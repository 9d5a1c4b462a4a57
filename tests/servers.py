"""A PostgreSQL server of the tests' own: started in a temporary folder, on a socket, as a user who isn't root."""

import inspect
import itertools
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

import psycopg
import pytest
from psycopg import sql

from register.store.access import Access
from register.store.address import Address, place_of
from register.store.engine import Register
from register.store.opening import building, open_as_keeper, open_place

ON_A_SERVER: Final = os.environ.get("RETEST_ENGINE", "") == "postgresql"
"""Whether the tests that can are to work on registers on a server, instead of in files."""

_OF_FILES: Final = frozenset({
    "test_copies.py", "test_copying.py", "test_types.py", "test_identity.py",
    "test_read_whole.py",
})  # fmt: skip
"""The tests of what is so of files alone."""

_FILES: Final = frozenset({"path", "empty_file", "stick", "without_triggers"})
"""What a test is given that works on a file."""

_ASKS_A_FILE: Final = (
    "sqlite_", "_indexes(", "PRAGMA", "open_register(", "busy_timeout", "count_for_ever(",
)  # fmt: skip
"""What a test says that looks into a file."""


def leave_out_files(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the tests of files where the tests work on a server."""
    if not ON_A_SERVER:
        return
    of_files = [item for item in items if _is_of_files(item)]
    config.hook.pytest_deselected(items=of_files)
    items[:] = [item for item in items if item not in of_files]


def _is_of_files(item: pytest.Item) -> bool:
    if item.path.name in _OF_FILES or _FILES & set(getattr(item, "fixturenames", ())):
        return True
    said = inspect.getsource(item.function) if isinstance(item, pytest.Function) else ""
    return any(each in said for each in _ASKS_A_FILE)


CHIEF: Final = "chief"
"""The login that may do everything on the server."""

FOR_SPEED: Final = ("fsync=off", "full_page_writes=off", "max_wal_senders=0", "wal_level=minimal")
"""What a server whose data nobody will miss need not do."""


def programs() -> Path | None:
    """Return the folder of the newest server that is installed, if any."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    on_path = shutil.which("initdb")
    return found[-1].parent if found else Path(on_path).parent if on_path else None


@dataclass
class Server:
    """A server that runs: where its programs and its socket are."""

    programs: Path
    folder: Path
    settings: tuple[str, ...] = FOR_SPEED
    port: int = 5432
    numbers: "itertools.count[int]" = field(default_factory=lambda: itertools.count(1))
    process: "subprocess.Popen[bytes] | None" = None

    def address(self, database: str, login: str = CHIEF) -> Address:
        """Return the address of a database."""
        made = place_of(f"postgresql+psycopg://{login}@/{database}?host={self.folder}&port={self.port}")
        assert isinstance(made, Address)
        return made

    def build(self, database: str) -> Register:
        """Make an empty register in an empty database, and open it as the one who owns its tables."""
        with building(self.address(database)):
            pass
        return open_as_keeper(self.address(database))

    def run(self, statement: str, database: str = "postgres") -> str:
        """Run statements as the one who may do everything, and return what they say."""
        psql = [
            self.programs / "psql",
            "-h",
            self.folder,
            "-p",
            str(self.port),
            "-U",
            CHIEF,
            "-d",
            database,
            "-v",
            "ON_ERROR_STOP=1",
            "-AtqX",
        ]
        done = subprocess.run([*psql, "-c", statement], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    @contextmanager
    def database(self, template: str = "template0") -> Iterator[str]:
        """Give a database of the caller's own, a copy of another."""
        name = f"own_{next(self.numbers)}"
        self.run(f"CREATE DATABASE {name} TEMPLATE {template}")
        yield name
        self.run(f"DROP DATABASE {name} WITH (FORCE)")

    def empty(self, database: str) -> None:
        """Take every row out of a register but its team's, guards or no guards: quicker than to make another."""
        with psycopg.connect(host=str(self.folder), user=CHIEF, dbname=database) as connection:
            connection.execute("SET session_replication_role = replica")
            names = "SELECT tablename FROM pg_tables WHERE schemaname = 'public'"
            for (name,) in connection.execute(names).fetchall():
                if name not in {"alembic_version", "access"}:
                    but_the_teams = sql.SQL("WHERE (seq, part) > (0, 1)" if name == "seal" else "")
                    connection.execute(sql.SQL("DELETE FROM {} {}").format(sql.Identifier(name), but_the_teams))

    def start(self) -> None:
        """Start it; it ends with the tests, however they end."""
        usual = (
            "listen_addresses=",
            f"port={self.port}",
            f"unix_socket_directories={self.folder}",
            "max_connections=40",
        )
        settings = (f"--{each}" for each in (*usual, *self.settings))
        postgres = [self.programs / "postgres", "-D", self.folder / "data", *settings]
        command = [*self.as_itself(), *postgres]
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(command, cwd=self.folder, stdout=subprocess.DEVNULL, stderr=log)
        ready = [self.programs / "pg_isready", "-q", "-h", self.folder, "-p", str(self.port), "-t", "1"]
        while subprocess.run(ready, check=False).returncode != 0:
            assert self.process.poll() is None, (self.folder / "log").read_text()

    def as_itself(self) -> list[str]:
        """Return how to run a program of the server's as the server's user, to end with the tests however they end."""
        return ["setpriv", "--pdeathsig", "INT", *_as_nobody_special()]

    def stop(self, how: signal.Signals = signal.SIGQUIT) -> None:
        """Stop it, unless told otherwise at once, as a failing machine would."""
        assert self.process is not None
        self.process.send_signal(how)
        self.process.wait()


def _as_nobody_special() -> list[str]:
    """Return how to run the server as another user: it refuses to be root."""
    if os.geteuid() != 0:
        return []
    return ["--reuid", str(_who().pw_uid), "--regid", str(_who().pw_gid), "--clear-groups"]


def _who() -> pwd.struct_passwd:
    try:
        return pwd.getpwnam("postgres")
    except KeyError:
        return pwd.getpwnam("nobody")


@contextmanager
def running(*settings: str) -> Iterator[Server]:
    """Run a server for as long as the block lasts, with settings of its own where some are given."""
    with tempfile.TemporaryDirectory(prefix="retest-server-") as name:  # a socket's path must be short
        server = made_in(Path(name), *settings)
        server.start()
        try:
            yield server
        finally:
            server.stop()


def made_in(folder: Path, *settings: str) -> Server:
    """Return the server whose data are in a folder, made there where there are none yet. It does not run yet."""
    found = programs()
    if found is None:
        pytest.skip("not run: needs PostgreSQL")
    server = Server(found, folder, settings or FOR_SPEED)
    if (folder / "data").exists():
        return server
    if os.geteuid() == 0:
        os.chown(folder, _who().pw_uid, _who().pw_gid)
    initdb = [found / "initdb", "-D", folder / "data", "-A", "trust", "-U", CHIEF, "--encoding=UTF8", "--no-sync"]
    made = ["setpriv", *(_as_nobody_special() or ["--no-new-privs"]), *initdb, "--locale=C.UTF-8"]
    subprocess.run(made, check=True, stdout=subprocess.DEVNULL, cwd=folder)
    return server


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A server that runs for all tests together."""
    with running() as made:
        yield made


@pytest.fixture(scope="session")
def built(server: Server) -> str:
    """The name of the database that holds a register for one test after the other."""
    server.run("CREATE DATABASE built TEMPLATE template0")
    with closing(server.build("built")) as register:
        server.run("CREATE ROLE kim LOGIN IN ROLE retest_contractor")
        with register.change(actor=CHIEF, at=datetime(2026, 11, 2, tzinfo=UTC), today=date(2026, 11, 2)) as change:
            change.session.add(Access(login="kim", role="contractor"))  # without an event: tests begin with none
    return "built"


@pytest.fixture
def database(server: Server, built: str) -> Iterator[str]:
    """The name of a database with an empty register, for this test."""
    yield built
    server.empty(built)


@pytest.fixture
def on_server(server: Server, database: str) -> Iterator[Register]:
    """An empty register of the test's own on the server, open."""
    opened = open_place(server.address(database, "kim"))
    yield opened
    opened.close()

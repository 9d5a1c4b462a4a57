"""A register on a PostgreSQL server: connections that keep the same promises as those to a file.

Who reads sees one state throughout. Who writes waits for whoever writes before him, so that the events stay one chain;
the server lets go of that turn with the transaction, however it ends.
"""

import os
from collections.abc import Callable, Generator
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from register.errors import Refused, Unavailable
from register.stopping import is_stopped
from register.store.address import Address

OLDEST: Final = 150_000
"""The least version of the server: before it, views could not be held to the rights of whoever looks."""

TURN: Final = 0x52745267
"""The number of the advisory lock that writers take in turn."""

SETTINGS: Final = {
    "timezone": "UTC",
    "datestyle": "ISO, YMD",
    "statement_timeout": "30s",
    "lock_timeout": "5s",
    "idle_in_transaction_session_timeout": "1min",
    "synchronous_commit": "on",
    "jit": "off",  # compiling a question takes longer than answering what the program asks
    "search_path": "public",
}
"""What every connection asks of the server and reads back."""

_LONG_WORK: Final = {"lock_timeout": "10min", "statement_timeout": "0", "idle_in_transaction_session_timeout": "0"}
"""What is asked of the server for work on all rows at once, which waits for whoever is at work."""

_PATIENCE: Final = {"connect_timeout": 5, "keepalives_idle": 5, "keepalives_interval": 2, "keepalives_count": 2,
                    "tcp_user_timeout": 8000, "application_name": "retest-register",
                    "client_encoding": "utf8"}  # fmt: skip
"""A server that has gone is missed within ten seconds."""

_SECONDS_TO_ASK: Final = 5.0
"""So long the server is asked to end a statement that nobody waits for any more."""

_AUTHORITY: Final = Path("~/.postgresql/root.crt")
"""Where the driver's library looks by itself for who vouches for servers."""

_ASKS_THE_SYSTEM: Final = 160_000
"""The least version of that library that can ask the system."""

NO_DRIVER: Final = (
    "{name} is on a server, and the driver for it is missing. Install it: pip install 'retest-register[team]'"
)


COPY: Final = "{name} is a copy of a register that can only be read. Open the register itself to change anything."
LOOKS: Final = (
    "Your login to {name} may look at it and change nothing. Ask the contractor for another role, or open the register"
    " itself where this is a copy for reports."
)


def server_engine(address: Address) -> Engine:
    """Return the engine of a register on a server. Nothing is connected yet."""
    try:
        import psycopg  # noqa: F401 - optional: asked for before SQLAlchemy does, to say what to do
    except ImportError:
        raise Unavailable(NO_DRIVER.format(name=address.name)) from None
    secret = {} if address.password is None else {"password": address.password}
    engine = sa.create_engine(
        address.url,
        connect_args={**_PATIENCE, **_vouchers(address), **secret},
        pool_size=2,
        max_overflow=4,
        pool_pre_ping=True,
        pool_recycle=1_800,
    )
    sa.event.listen(engine, "connect", _settle)
    sa.event.listen(engine, "begin", _begin)
    return engine


def _vouchers(address: Address) -> dict[str, str]:
    """Let those vouch for the server whom the computer trusts, where neither the address nor a file names others."""
    from psycopg import pq

    named = "sslrootcert" in address.url.query or "PGSSLROOTCERT" in os.environ or _AUTHORITY.expanduser().exists()
    if address.url.query.get("sslmode") != "verify-full" or named or pq.version() < _ASKS_THE_SYSTEM:
        return {}
    return {"sslrootcert": "system"}


def _settle(connection: Any, _record: object) -> None:  # noqa: ANN401 - the driver's connection
    """Set up one connection and read every setting back; keys come as the text they are everywhere else."""
    from psycopg.types.string import TextLoader

    connection.adapters.register_loader("uuid", TextLoader)
    for name, wanted in SETTINGS.items():
        (found,) = connection.execute("SELECT set_config(%s, %s, false)", (name, wanted)).fetchone()
        if found != wanted:
            raise Unavailable(
                f"The server keeps {name} at {found} where the register needs {wanted}, so the register was not opened."
                " Ask whoever keeps the server."
            )
    connection.commit()
    connection.wait = partial(_heeding, connection, connection.wait)


def _heeding(connection: Any, wait: Callable[..., Any], working: Any, *more: Any, **named: Any) -> Any:  # noqa: ANN401 - the driver's
    """Wait for a statement as the driver does, and have the server end it where its work is told to stop meanwhile."""
    return wait(_until_stopped(connection, working), *more, **named)


def _until_stopped(connection: Any, working: Any) -> Generator[Any, Any, Any]:  # noqa: ANN401 - the driver's
    """Pass on what a statement waits for; the driver looks in ten times a second where nothing comes."""
    from psycopg import Error

    told = False
    try:
        waits_for = next(working)
        while True:
            ready = yield waits_for
            if not told and is_stopped():
                told = True
                with suppress(Error):  # the server can't be asked: then the statement ends by itself
                    connection.cancel_safe(timeout=_SECONDS_TO_ASK)
            waits_for = working.send(ready)
    except StopIteration as done:
        return done.value


def _begin(connection: Connection) -> None:
    """Begin as a reader of one state, or as the one writer whose turn it is; a `patient` one waits for it.

    A patient one also rests between two statements for as long as the other side of a copy takes.
    """
    options = connection.get_execution_options()
    writes = options.get("writes", False)  # and sees all that was kept before its turn
    connection.exec_driver_sql(
        f"SET TRANSACTION ISOLATION LEVEL {'READ COMMITTED' if writes else 'REPEATABLE READ, READ ONLY'}"
    )
    for name, limit in _LONG_WORK.items() if options.get("patient", False) else ():
        connection.exec_driver_sql(f"SET LOCAL {name} = '{limit}'")
    if writes:
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({TURN})")


def check_server(connection: Connection, name: str) -> None:
    """Refuse a server or a database on which a register would not mean the same as in a file."""
    version, encoding, order = connection.exec_driver_sql(
        "SELECT current_setting('server_version_num')::int, pg_encoding_to_char(encoding), datcollate FROM pg_database"
        " WHERE datname = current_database()"
    ).one()
    if version < OLDEST:
        raise Refused(
            f"{name} is on PostgreSQL {version // 10_000}; registers need PostgreSQL {OLDEST // 10_000} or newer."
            " Ask whoever keeps the server."
        )
    if encoding != "UTF8" or order.upper().replace("-", "") not in {"C", "POSIX", "C.UTF8"}:
        raise Refused(
            f"The database {name} sorts text by {order} in {encoding}, so lists would differ from those of a file. Make"
            " it anew with createdb --template=template0 --encoding=UTF8 --locale=C.UTF-8."
        )


def is_keeper(connection: Connection) -> bool:
    """Whether the login may do everything, past all rules: it owns the tables, or rules don't hold for it at all."""
    return bool(
        connection.exec_driver_sql(
            "SELECT rolsuper OR rolbypassrls OR coalesce((SELECT pg_has_role(relowner, 'MEMBER') FROM pg_class"
            " WHERE oid = to_regclass('public.event')), false) FROM pg_roles WHERE rolname = current_user"
        ).scalar_one()
    )


def only_looking(connection: Connection, name: str) -> str:
    """Return why nothing can be changed: the server only follows another, or the login may only look; else nothing."""
    follows, may = connection.exec_driver_sql(
        "SELECT pg_is_in_recovery(), has_table_privilege('public.event', 'INSERT')"
    ).one()
    return COPY.format(name=name) if follows else "" if may else LOOKS.format(name=name)


def is_empty(connection: Connection) -> bool:
    """Whether a database holds no table of anybody's."""
    return not sa.inspect(connection).get_table_names()

"""Bringing a register on a server up to date: by the login that owns its tables, one at a time, in one transaction.

Whoever comes second waits, and finds it done. It is copied into a file first. What is kept is counted and digested
before and after by the server itself; whatever a script does not say that it rewrites or drops stops the upgrade, and
nothing of it stays.
"""

from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final

import sqlalchemy as sa
from alembic import command
from sqlalchemy.engine import Connection

from register.store import upgrade as layouts
from register.store.address import Address
from register.store.faults import told
from register.store.opening import open_to_upgrade
from register.store.rights import set_rights
from register.store.sealing import seal_all
from register.store.upgrading import Meant, Tell, meant_by, stop_at

_TABLES: Final = (
    "SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename <> 'alembic_version' ORDER BY tablename"
)
_COLUMNS: Final = (
    "SELECT column_name FROM information_schema.columns WHERE table_schema = 'public' AND table_name = %s"
    " ORDER BY column_name"
)
_MADE_ANEW: Final = "pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid WHERE proname LIKE 'note!_%' ESCAPE '!'"
_TRIGGERS: Final = f"SELECT tgname FROM pg_trigger WHERE NOT tgisinternal EXCEPT SELECT tgname FROM {_MADE_ANEW}"  # noqa: S608
_BUILT_ON_COLUMNS: Final = f"""
SELECT format('DROP VIEW %I', viewname) FROM pg_views WHERE schemaname = 'public'
UNION SELECT format('DROP POLICY %I ON %I', policyname, tablename) FROM pg_policies WHERE schemaname = 'public'
UNION SELECT format('DROP TRIGGER %I ON %s', tgname, tgrelid::regclass) FROM {_MADE_ANEW}
"""  # noqa: S608 - our own words
"""What is made anew with the rights, and would hold on to columns that a script changes."""


@dataclass(frozen=True, slots=True)
class _Table:
    """What a table holds: its columns, how many rows, and what all rows add up to."""

    columns: tuple[str, ...]
    rows: int
    sum: str


Copying = Callable[[Connection, str], Path]
"""Copies the register that a connection sees into a file; it is given the layout there is."""


def bring_server_up_to_date(
    place: Address, copying: Copying | None, tell: Callable[..., None], step: Callable[[int], None]
) -> tuple[str, Path | None]:
    """Bring a register on a server up to date; return which layout it had, and the copy that was made, if any was.

    It is copied while nobody else writes, so that the copy is the register as it was. `step` is told what is under way:
    0 the copy, 1 the new layout, 2 holding it against what was there. `tell` gets the copy's name as `copy`.
    Refused for a login that does not own the tables; Unavailable, with nothing changed, where something would be lost.
    """
    with (
        closing(open_to_upgrade(place)) as register,
        told(place.name),
        register.engine.connect().execution_options(writes=True, patient=True) as connection,
        connection.begin(),
    ):
        found, copy = str(layouts.revision(connection)), None
        if found != layouts.HEAD:
            if copying is not None:
                step(0)
                with register.read(patient=True) as as_it_is:
                    copy = copying(as_it_is, found)
            named = partial(tell, copy=copy.name) if copy is not None else tell
            _bring_up_to_date(connection, place.name, found, named, step)
        return found, copy


def _bring_up_to_date(connection: Connection, name: str, found: str, tell: Tell, step: Callable[[int], None]) -> None:
    step(1)
    meant = meant_by(connection)
    triggers, tables = _triggers(connection), dict(_kept(connection, meant))
    for statement in connection.execute(sa.text(_BUILT_ON_COLUMNS)).scalars().all():
        connection.execute(sa.text(statement))
    command.upgrade(layouts.config(connection), "head")
    step(2)
    stop_at(name, _losses(connection, meant, triggers, tables))
    set_rights(connection)
    tell(connection, found)
    seal_all(connection)


def _kept(connection: Connection, meant: Meant) -> Iterator[tuple[str, _Table]]:
    """Yield what each table holds that is meant to stay, without the columns that are rewritten."""
    for name in connection.exec_driver_sql(_TABLES).scalars().all():
        if name not in meant.dropped:
            columns = _columns(connection, name) - meant.rewritten.get(name, set())
            yield name, _held(connection, name, tuple(sorted(columns)))


def _losses(connection: Connection, meant: Meant, triggers: set[str], tables: dict[str, _Table]) -> Iterator[str]:
    there = set(connection.exec_driver_sql(_TABLES).scalars())
    yield from (f"the table {name}" for name in tables if name not in there)
    yield from (f"the trigger {name}" for name in sorted(triggers - _triggers(connection) - meant.dropped))
    for name, before in tables.items():
        gone = set(before.columns) - _columns(connection, name)
        yield from (f"the column {column} of {name}" for column in sorted(gone))
        after = _held(connection, name, before.columns)
        if before.rows != after.rows:
            yield f"the number of rows of {name}, {before.rows:,}, but {after.rows:,},"
        if before.sum != after.sum:
            yield f"what is kept in {name}"


def _triggers(connection: Connection) -> set[str]:
    return set(connection.execute(sa.text(_TRIGGERS)).scalars())


def _columns(connection: Connection, table: str) -> set[str]:
    return set(connection.exec_driver_sql(_COLUMNS, (table,)).scalars())


def _held(connection: Connection, table: str, columns: tuple[str, ...]) -> _Table:
    listed = ", ".join(f'"{each}"' for each in columns)
    total = f"coalesce(sum(hashtextextended(ROW({listed})::text, 0)::numeric), 0)::text"
    rows, said = connection.exec_driver_sql(f'SELECT count(*), {total} FROM "{table}"').one()  # noqa: S608 - our own names
    return _Table(columns, rows, said)

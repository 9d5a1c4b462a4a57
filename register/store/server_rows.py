"""Many rows at once on a server: streamed to it, by whichever way the rights of the login allow."""

from collections.abc import Iterable, Sequence
from itertools import chain, islice
from typing import Any, Final

from sqlalchemy.engine import Connection

from register.stopping import go_on

FEW: Final = 200
"""So many rows, or fewer, are handed over one by one: a stream takes longer to begin."""

AT_ONCE: Final = 5_000
"""So many rows are streamed in one piece."""

PATIENCE: Final = "SET LOCAL statement_timeout = '10min'"
"""Lets the statements of a change that writes many rows take longer than others may."""

Row = Sequence[Any]


def insert(connection: Connection, table: str, names: Sequence[str], rows: Iterable[Row]) -> int:
    """Insert rows that are ready for the driver, and return how many. `table` and `names` are quoted already."""
    remaining = iter(rows)
    first = list(islice(remaining, FEW + 1))
    listed = ", ".join(names)
    if len(first) <= FEW:
        if first:
            marks = ", ".join(["%s"] * len(names))
            statement = f"INSERT INTO {table} ({listed}) VALUES ({marks})"  # noqa: S608 - our own names
            connection.exec_driver_sql(statement, first)
        return len(first)
    connection.exec_driver_sql(PATIENCE)
    every = chain(first, remaining)
    if not _is_held_to_rules(connection, table):
        return stream(connection, table, listed, every)
    # what rows a login may add is asked of each row of a statement, never of a stream: so it goes by a table of its own
    connection.exec_driver_sql(f"CREATE TEMP TABLE incoming AS SELECT {listed} FROM {table} WITH NO DATA")  # noqa: S608
    count = stream(connection, "incoming", listed, every)
    connection.exec_driver_sql(f"INSERT INTO {table} ({listed}) SELECT {listed} FROM incoming")  # noqa: S608
    connection.exec_driver_sql("DROP TABLE incoming")
    return count


def stream(connection: Connection, table: str, listed: str, rows: Iterable[Row]) -> int:
    """Stream rows into a table and return how many there were; whatever makes them may ask the register in between."""
    import psycopg

    driver = connection.connection.driver_connection
    assert isinstance(driver, psycopg.Connection)
    statement = f"COPY {table} ({listed}) FROM STDIN"
    count, remaining = 0, iter(rows)
    while some := list(islice(remaining, AT_ONCE)):
        go_on()
        with driver.cursor() as cursor, cursor.copy(statement.encode()) as copy:
            for row in some:
                copy.write_row(row)
        count += len(some)
    return count


def _is_held_to_rules(connection: Connection, table: str) -> bool:
    """Whether the server asks of each row of a table if this login may see or add it."""
    return bool(connection.exec_driver_sql("SELECT row_security_active(%s)", (table,)).scalar_one())

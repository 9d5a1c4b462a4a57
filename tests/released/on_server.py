"""A kept register on a server of the tests' own, in the layout that it was kept in."""

import sqlite3
from contextlib import closing
from pathlib import Path

import sqlalchemy as sa
from alembic import command
from sqlalchemy.engine import Connection

from register.store.rights import set_rights
from register.store.server import server_engine
from register.store.upgrade import HEAD, config
from tests.servers import Server


def put_on_server(path: Path, layout: str, server: Server, database: str) -> None:
    """Make a layout in an empty database and put every row of a file into it, whatever its tables are."""
    engine = server_engine(server.address(database))
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        command.upgrade(config(connection), layout)
        connection.exec_driver_sql("SET LOCAL session_replication_role = replica")  # rows in whatever order
        found = sa.MetaData()
        found.reflect(connection)
        with closing(sqlite3.connect(path)) as file:
            for table in found.sorted_tables:
                if table.name != "alembic_version":
                    _copy(file, connection, table)
        if layout == HEAD:
            set_rights(connection)
    engine.dispose()


def _copy(file: sqlite3.Connection, connection: Connection, table: sa.Table) -> None:
    names = list(table.columns.keys())
    flags = {place for place, each in enumerate(table.columns) if isinstance(each.type, sa.Boolean)}
    listed = ", ".join(f'"{name}"' for name in names)
    rows = [
        tuple(bool(value) if place in flags and value is not None else value for place, value in enumerate(row))
        for row in file.execute(f'SELECT {listed} FROM "{table.name}"')
    ]
    if rows:
        places = ", ".join(["%s"] * len(names))
        connection.exec_driver_sql(f'INSERT INTO "{table.name}" ({listed}) VALUES ({places})', rows)

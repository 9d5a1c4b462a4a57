"""A layout as the migrations make it, on a server or in a file, bare of everything else."""

from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa
from alembic import command
from sqlalchemy.engine import Connection, Engine

from register.store.server import server_engine
from register.store.upgrade import config
from tests.released.layouts import layout_text
from tests.servers import Server


def made_in_a_file(layout: str) -> str:
    """Return what the migrations up to a layout make in an empty file."""
    with _bare(sa.create_engine("sqlite://")) as connection:
        return _made(connection, layout)


def made_on_a_server(layout: str, server: Server) -> str:
    """Return what they make in an empty database."""
    with server.database() as database, _bare(server_engine(server.address(database))) as connection:
        return _made(connection, layout)


@contextmanager
def _bare(engine: Engine) -> Iterator[Connection]:
    try:
        with engine.connect().execution_options(writes=True) as connection, connection.begin():
            yield connection
    finally:
        engine.dispose()


def _made(connection: Connection, layout: str) -> str:
    command.upgrade(config(connection), layout)
    return layout_text(connection)

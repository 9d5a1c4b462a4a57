"""What tests of the services and of the store work on: a register, in a file or on a server, and somebody at work."""

from collections.abc import Iterator

import pytest
import sqlalchemy as sa

from register.store.engine import Register
from tests.desk import Desk
from tests.registers import empty_file, path
from tests.servers import ON_A_SERVER, built, database, leave_out_files, on_server, server

if ON_A_SERVER:
    register = on_server
else:
    from tests.registers import register

pytest_collection_modifyitems = leave_out_files

__all__ = [
    "built", "database", "desk", "empty_file", "on_server", "path", "pytest_collection_modifyitems", "register",
    "server", "statements",
]  # fmt: skip


@pytest.fixture
def desk(register: Register) -> Desk:
    """Somebody at work on an empty register."""
    return Desk(register)


@pytest.fixture
def statements(register: Register) -> Iterator[list[str]]:
    """Every statement that the database is asked to run from now on."""
    run: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        run.append(statement)

    sa.event.listen(register.engine, "before_cursor_execute", note)
    yield run
    sa.event.remove(register.engine, "before_cursor_execute", note)

"""Making the tables and bringing older registers up to date, by Alembic, configured here."""

from pathlib import Path
from typing import TYPE_CHECKING, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

if TYPE_CHECKING:
    from alembic.config import Config

HEAD: Final = "0001"
"""The newest revision, kept here so that opening a register need not load Alembic."""

EARLIER: Final = frozenset(f"{number:04}" for number in range(1, int(HEAD)))
"""The revisions of registers out in the world that can be brought to the newest one."""

_SCRIPTS: Final = Path(__file__).parent / "migrations"


def build(connection: Connection, layout: str = "head") -> None:
    """Make the newest layout, or an earlier one, in an empty database, within the connection's transaction."""
    from alembic import command

    command.upgrade(config(connection), layout)


def revision(connection: Connection) -> str | None:
    """Return the layout that a register says it has; None where it doesn't say."""
    if not sa.inspect(connection).has_table("alembic_version"):
        return None
    return connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()


def config(connection: Connection) -> "Config":
    """Return Alembic's configuration for one connection; no ini file is involved."""
    from alembic.config import Config

    made = Config()
    made.set_main_option("script_location", str(_SCRIPTS).replace("%", "%%"))  # "%" begins a reference
    made.attributes["connection"] = connection
    return made

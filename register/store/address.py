"""Where a register is: in a file, or on a PostgreSQL server. An address never holds a password."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final
from urllib.parse import urlsplit

import sqlalchemy as sa

from register.errors import Refused
from register.store.types import SQLITE

SERVER: Final = "postgresql+psycopg"
_EXAMPLE: Final = f"{SERVER}://LOGIN@HOST/DATABASE"
_IN_FILES: Final = {"", "sqlite"}
_OF_A_SERVER: Final = {"postgresql", "postgres", SERVER}
_SOCKET: Final = "/"


@dataclass(frozen=True, slots=True)
class Address:
    """A database on a server, and the login; the password, where one is needed, is kept apart and never shown."""

    url: sa.URL
    password: str | None = field(default=None, repr=False, compare=False)

    @property
    def name(self) -> str:
        """What it is called in sentences: the database and where it is."""
        return f"{self.url.database} on {self.host}"

    @property
    def host(self) -> str:
        """The server's name; this computer where none is given, or a socket's folder."""
        host = self.url.host or _text(self.url.query.get("host"))
        return host if host and not host.startswith(_SOCKET) else "this computer"

    @property
    def login(self) -> str:
        """The login; empty where the server takes that of the computer's user."""
        return self.url.username or ""

    def __str__(self) -> str:
        return self.url.render_as_string(hide_password=True)


Place = Path | Address
"""Where a register is."""


def place_of(named: str) -> Place:
    """Return the place that somebody wrote: a path, or the address of a server's database."""
    if not named.strip():
        raise Refused(f"No register is named. Give a file, or {_EXAMPLE}.")
    scheme = named.partition("://")[0] if "://" in named else ""
    if scheme in _IN_FILES:
        return Path(named.removeprefix("sqlite:///") if scheme else named)
    if scheme not in _OF_A_SERVER:
        raise Refused(f"Registers are in files or on a PostgreSQL server, not at {scheme}. Give a file, or {_EXAMPLE}.")
    return _address(named)


def _address(named: str) -> Address:
    try:
        url = sa.make_url(named).set(drivername=SERVER)
        urlsplit(named)
    except (ValueError, sa.exc.ArgumentError):
        raise Refused(f"That is no address of a server's database. Write it as {_EXAMPLE}.") from None
    if url.password is not None or {"password", "sslpassword"} & url.query.keys():
        raise Refused(
            "The address holds a password, which others could read there. Leave it out: it is asked for, and the"
            " system's keyring can keep it."
        )
    if not url.database:
        raise Refused(f"The address names no database. Write it as {_EXAMPLE}.")
    return Address(url.update_query_dict({"sslmode": "verify-full"}) if _goes_out(url.host, url.query) else url)


def _goes_out(host: str | None, query: Mapping[str, object]) -> bool:
    """Whether the connection goes over a network without its safety having been chosen."""
    named = host or _text(query.get("host"))
    return bool(named) and not named.startswith(_SOCKET) and "sslmode" not in query


def _text(value: object) -> str:
    return value if isinstance(value, str) else ""


def file_of(engine: sa.Engine) -> Path | None:
    """Return the file that the register of an engine is in; None where it is on a server."""
    url = engine.url
    return Path(url.database) if url.get_backend_name() == SQLITE and url.database else None

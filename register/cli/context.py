"""What every command needs: the register, who is at work, and what day it is."""

import getpass
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from register.cli.reaching import reached
from register.domain.text import clean_text
from register.errors import Refused
from register.exchange.json_fields import LONGEST_TEXT
from register.store.address import Address, Place, place_of
from register.store.engine import Change, Register
from register.store.opening import open_place

LARGEST = 50_000_000
"""So many bytes a document of readings has at most: tens of thousands of records."""


@dataclass(frozen=True, slots=True)
class Context:
    """One call of the command line: its options, the day, and the moment it was made."""

    options: Namespace
    today: date
    now: datetime

    @property
    def json(self) -> bool:
        """Whether the answer is wanted as JSON."""
        return bool(getattr(self.options, "json", False))

    @property
    def place(self) -> Place:
        """The file or the server's database that --db names."""
        named = getattr(self.options, "db", None)
        if not named:
            raise Refused("No register is named. Give --db and the register's file.")
        return place_of(named)

    @property
    def path(self) -> Path:
        """The file that --db names, for what can be done with files alone."""
        place = self.place
        if isinstance(place, Address):
            raise Refused(f"This is done with registers in files alone, and {place.name} is on a server. Name a file.")
        return place

    @contextmanager
    def register(self) -> Iterator[Register]:
        """Open the register that --db names."""
        with self.opened(reached(self.place, open_place)) as register:
            yield register

    @contextmanager
    def opened(self, register: Register) -> Iterator[Register]:
        """Give a register and close it afterwards."""
        try:
            yield register
        finally:
            register.close()

    @contextmanager
    def change(self, register: Register) -> Iterator[Change]:
        """Give a transaction in the name of whoever is at work."""
        with register.change(actor=self.actor, at=self.now, today=self.today) as change:
            yield change

    @property
    def actor(self) -> str:
        """Who is at work: as named by --by, else the computer's user."""
        named = clean_text(getattr(self.options, "by", None) or "")
        if named:
            return named
        try:
            return getpass.getuser()
        except (OSError, KeyError):
            return "unknown"


def context(options: Namespace) -> Context:
    """Return the context of a call; the only place of the command line that reads the clock.

    Refused where a text is longer than anybody types.
    """
    for name, value in vars(options).items():
        if isinstance(value, str) and len(value) > LONGEST_TEXT:
            raise Refused(
                f"What is given for {name.replace('_', ' ')} has {len(value):,} characters; {LONGEST_TEXT:,} are the"
                " most. Shorten it."
            )
    now = datetime.now(UTC)
    today = getattr(options, "today", None) or date.today()  # noqa: DTZ011 - the user's own calendar day
    return Context(options, today, now)


def read_document(name: str) -> bytes:
    """Return the content of a file, or of standard input for `-`; refused where there is more than anybody wrote."""
    import sys

    path = Path(name)
    if name == "-" and sys.stdin is None:
        raise Refused("Standard input is closed. Give a file, or write the readings to standard input.")
    try:
        if name != "-" and path.is_dir():
            raise Refused(f"{name} is a folder. Give a file, or - for standard input.")
        with nullcontext(sys.stdin.buffer) if name == "-" else path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise Refused(f"There is no file {name}. Check the name, or give - for standard input.") from None
    except OSError as error:
        raise Refused(f"The file {name} can't be read: {error.strerror}. Check that you may read it.") from None
    if len(content) > LARGEST:
        called = "What stands on standard input" if name == "-" else name
        raise Refused(f"{called} has more than {LARGEST // 1_000_000} MB. Check the file, or split it.")
    return content

"""Several laptops in the field, each at work on its pack, and the office that merges what comes back."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from register.exchange.pack import merge_file, open_pack, write_pack, write_work
from register.services.packs.merging import Merged
from register.store.engine import Change, Register, open_register
from tests.content import content_hash
from tests.desk import Desk

MADE = date(2026, 11, 20)
EXPIRES = date(2026, 12, 4)
MERGED = date(2026, 11, 27)
START = datetime(2026, 11, 20, 15, tzinfo=UTC)


@dataclass(frozen=True)
class Laptop(Desk):
    """Somebody in the field, at a moment."""

    at: datetime = START

    def later(self, minutes: int) -> "Laptop":
        """Return the same so many minutes after the packs were made."""
        moment = START + timedelta(minutes=minutes)
        return Laptop(self.register, moment.date(), moment)

    @contextmanager
    def change(self, *, keep: bool = True) -> Iterator[Change]:
        with self.register.change(actor="Asha Pell", at=self.at, today=self.today, keep=keep) as change:
            yield change

    @property
    def clock(self) -> time:
        return self.at.time()


def pack_for(office: Register, path: Path, *sites: str, holder: str = "Asha Pell") -> Path:
    """Write a field pack."""
    write_pack(office, path, sites=sites, holder=holder, expires_on=EXPIRES, actor="Office", at=START, today=MADE)
    return path


def unpacked(pack: Path, target: Path) -> Laptop:
    """Open a field pack on a laptop."""
    open_pack(pack, target, today=MADE)
    return Laptop(open_register(target), MADE)


def sent_back(laptop: Desk, path: Path) -> Path:
    """Write what was done on a laptop."""
    write_work(laptop.register, path, actor="Asha Pell", at=START + timedelta(days=6), today=MERGED)
    return path


def merged(office: Register, path: Path, *, today: date = MERGED, late: bool = False, dry_run: bool = False) -> Merged:
    """Merge field work in the office."""
    at = datetime.combine(today, time(16), UTC)
    return merge_file(office, path, actor="Office", at=at, today=today, late=late, dry_run=dry_run)


def content(register: Register) -> str:
    with register.read() as connection:
        return content_hash(connection)


def copied(path: Path, target: Path) -> Register:
    """Open a copy of a register."""
    return open_register(Path(shutil.copy(path, target)))

"""Writing a field pack in the office, and opening it on a laptop as a register of its own."""

import shutil
import sqlite3
import tempfile
from collections.abc import Sequence
from contextlib import closing
from datetime import date, datetime
from pathlib import Path
from typing import Final

from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.errors import Refused, Unavailable
from register.exchange.pack.container import PACK, PACK_ENDING, open_container, write_container
from register.services.packs.identity import FieldPack, field_pack
from register.services.packs.packing import begin_pack, fill_pack
from register.services.rulebooks import rulebook, rulebook_ids
from register.store import upgrade as layouts
from register.store.engine import Register, create_register, open_known, open_register

_NOT_WHOLE: Final = "The field pack holds no whole register, so it was not opened. Ask the office for it again."
_SCHEMA: Final = "SELECT type, name, sql FROM sqlite_schema ORDER BY type, name"


def write_pack(
    register: Register,
    path: Path,
    *,
    sites: Sequence[str],
    holder: str,
    expires_on: date,
    actor: str,
    at: datetime,
    today: date,
) -> FieldPack:
    """Write a field pack of some sites, by their codes, for somebody; the register remembers it once it is written.

    Refused where it can't be made, Unavailable where the file can't be written; either way nothing is kept.
    """
    if path.suffix != PACK_ENDING:
        raise Refused(f"{path.name} is not the name of a field pack. Give one that ends in {PACK_ENDING}.")
    with register.change(actor=actor, at=at, today=today) as change, tempfile.TemporaryDirectory() as folder:
        pack = begin_pack(change, sites, holder, expires_on)
        part = Path(folder) / PACK.part
        field = create_register(part)
        try:
            with field.change(actor=actor, at=at, today=today) as filling:
                fill_pack(change.session.connection(), filling, pack)
        finally:
            field.close()
        write_container(path, PACK, pack, part)
    return pack


def open_pack(path: Path, target: Path, *, today: date) -> FieldPack:
    """Make the register of a field pack at `target`, and return what the pack says of itself.

    One that an earlier version made is brought up to date first. Refused, with nothing made, for one that was altered,
    expired, is a newer program's or not one at all.
    """
    found = open_container(path, PACK)
    found.check_seal(found.pack.key)
    _check_pack(found.pack, today)
    if target.exists():
        raise Refused(f"{target} exists already; it was left as it is. Choose another name for the field register.")
    if not target.parent.is_dir():
        raise Refused(f"The folder {target.parent} does not exist. Make it first, or choose another.")
    part = target.with_name(f"{target.name}.tmp")
    try:
        found.unpack(part)
        _check_schema(part, found.layout)
        if found.layout != layouts.HEAD:
            _bring_up_to_date(part)
        _check_register(part, found.pack)
        part.replace(target)
    except OSError as error:
        raise Unavailable(
            f"{target} can't be written: {error.strerror}. Make room, or choose another folder."
        ) from error
    finally:
        part.unlink(missing_ok=True)
    return found.pack


def _check_pack(pack: FieldPack, today: date) -> None:
    if pack.expires_on < today:
        raise Refused(
            f"The field pack for {pack.holder} expired on {day_words(pack.expires_on)}. Ask the office for a new one."
        )
    for key, version in pack.rulebooks.items():
        if key not in rulebook_ids() or rulebook(key).version != version:
            raise Refused(
                f"The field pack goes by the rulebook {key}, version {version}, which this program does not have. Use"
                " the same version of the program as the office."
            )


def _check_schema(part: Path, layout: str) -> None:
    """Refuse what is no register of a layout, or holds more than that does, such as a trigger that somebody added."""
    with tempfile.TemporaryDirectory() as folder:
        model = Path(folder) / PACK.part
        create_register(model, layout).close()
        try:
            if _schema(part) != _schema(model):
                raise Refused(_NOT_WHOLE)
        except sqlite3.Error:
            raise Refused(_NOT_WHOLE) from None


def _bring_up_to_date(part: Path) -> None:
    """Bring the register of a pack to this version's layout before anybody works in it."""
    from register.store.upgrading import bring_up_to_date

    with tempfile.TemporaryDirectory() as folder, closing(open_known(part)[0]) as register:
        bring_up_to_date(register, Path(shutil.copy(part, folder)), _not_told)


def _not_told(_connection: Connection, _found: str) -> None:
    """Leave it out of the history, which begins when somebody works in the register."""


def _check_register(part: Path, pack: FieldPack) -> None:
    """Refuse a register that is not the pack's."""
    with closing(open_register(part)) as register, register.read() as connection:
        if field_pack(connection) != pack:
            raise Refused(_NOT_WHOLE)


def _schema(path: Path) -> list[tuple[str, str, str]]:
    with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
        return connection.execute(_SCHEMA).fetchall()

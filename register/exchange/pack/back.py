"""Sending field work back from the laptop, and merging it in the office."""

import json
import tempfile
from datetime import date, datetime
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError

from register.errors import Refused
from register.exchange.pack.container import WORK, WORK_ENDING, Container, open_container, write_container
from register.exchange.pack.work_json import work_from, work_json
from register.services.packs.identity import key_of
from register.services.packs.merging import Merged, merge_work
from register.services.packs.work import FieldWork, Progress, field_work, progress
from register.services.settings import setting
from register.store import audit
from register.store import upgrade as layouts
from register.store.audit import Name
from register.store.engine import Register
from register.store.packs import Pack


def write_work(register: Register, path: Path, *, actor: str, at: datetime, today: date) -> tuple[FieldWork, Progress]:
    """Write what was done in a field register since its pack was made; it can be written as often as one likes.

    Refused in a register that is no field pack, Unavailable where the file can't be written.
    """
    if path.suffix != WORK_ENDING:
        raise Refused(f"{path.name} is not the name of field work. Give one that ends in {WORK_ENDING}.")
    with register.change(actor=actor, at=at, today=today) as change, tempfile.TemporaryDirectory() as folder:
        work = field_work(change.session.connection())
        found = progress(work)
        part = Path(folder) / WORK.part
        part.write_text(json.dumps(work_json(work), ensure_ascii=False), encoding="utf-8")
        write_container(path, WORK, work.pack, part)
        audit.log(change, Name.PACK_BACK, work.pack.id, sent=found.sent, done=found.done)
    return work, found


def merge_file(
    register: Register,
    path: Path,
    *,
    actor: str,
    at: datetime,
    today: date,
    late: bool = False,
    dry_run: bool = False,
) -> Merged:
    """Merge field work into the register that made its pack, in one transaction; the same file twice adds nothing.

    A dry run tells exactly what would happen and keeps nothing. Refused, with the register as it was, for a file that
    was altered, is of another register, expired (unless `late`), or another version's.
    """
    found = open_container(path, WORK)
    _check_ours(register, found)
    work = _read(found)
    try:
        with register.change(actor=actor, at=at, today=today, keep=not dry_run) as change:
            return merge_work(change, work, late=late)
    except IntegrityError:
        raise Refused(
            f"“{path.name}” speaks of something that this register doesn't have, so nothing of it was merged. Check"
            " that the register is not an older copy."
        ) from None


def _check_ours(register: Register, found: Container) -> None:
    """Refuse field work of another register, and of which any byte was changed."""
    pack = found.pack
    with register.read() as connection:
        mine = setting(connection, "register_id", "")
        made = connection.execute(sa.select(Pack.id).where(Pack.id == pack.id)).first()
        key = key_of(connection, pack.id)
    if pack.register != mine:
        raise Refused(
            f"“{found.path.name}” is field work for another register{_firm(pack.firm)}. Merge it into the register that"
            " made its pack."
        )
    if made is None:
        raise Refused(
            f"“{found.path.name}” is of a pack that this register does not remember: it may be an older copy. Open the"
            " register that made the pack."
        )
    found.check_seal(key)
    if found.layout != layouts.HEAD:
        raise Refused(
            f"“{found.path.name}” was written by an earlier version of this program, so nothing of it was merged."
            " Update the program on the laptop, open its register there, and send the work back again."
        )


def _firm(name: str) -> str:
    return f", of {name}" if name else ""


def _read(found: Container) -> FieldWork:
    with tempfile.TemporaryDirectory() as folder:
        part = Path(folder) / WORK.part
        found.unpack(part)
        return work_from(part.read_bytes(), found.pack, found.path.name)

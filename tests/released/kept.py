"""What is kept of released layouts: registers, packs and workbooks of their versions, and what those answered."""

import lzma
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.services.questions import item_answer
from register.store import audit, chain
from register.store.engine import open_register
from register.store.tables import Item
from register.store.types import new_key
from tests.desk import Desk
from tests.registers import TODAY
from tests.released.layouts import HERE

LAYOUTS: Final = sorted(path.name.partition(".")[0] for path in HERE.glob("*.file.sql"))
PARTS: Final = {
    "office": "office.register.xz", "field": "field.register.xz", "pack": "fieldpack", "work": "fieldwork",
    "workbook": "xlsx",
}  # fmt: skip
"""What is kept beside a layout, and how its file ends."""

_ONE_IN: Final = 25
"""Of the items in the store, which are alike, so many are passed over for each that is asked about."""


def kept(layout: str, part: str, folder: Path) -> Path:
    """Put a kept file into a folder, as its version made it, and return its path."""
    ending = PARTS[part]
    content = (HERE / f"{layout}.{ending}").read_bytes()
    target = folder / f"{part}.{ending.removesuffix('.xz').rpartition('.')[2]}"
    target.write_bytes(lzma.decompress(content) if ending.endswith(".xz") else content)
    return target


def grow(path: Path) -> None:
    """Let a register of today's layout have more than ten thousand events."""
    with closing(open_register(path)) as register, Desk(register).change() as change:
        said = audit.Entry(audit.Name.SETTING_CHANGE, new_key(), {"setting": "state", "after": "VIC"})
        audit.log_all(change, [said] * 9_000)


def keep(layout: str, part: str, made: Path) -> None:
    """Keep a file that the present version made."""
    ending, content = PARTS[part], made.read_bytes()
    packed = lzma.compress(content, preset=9 | lzma.PRESET_EXTREME) if ending.endswith(".xz") else content
    (HERE / f"{layout}.{ending}").write_bytes(packed)


def answers(connection: Connection) -> str:
    """Return what a register says of its items on the day it was made for, one line each, and of its history."""
    return "".join(f"{line}\n" for line in _answers(connection))


def kept_answers(layout: str, part: str) -> str:
    """Return what a kept register said when it was made."""
    return (HERE / f"{layout}.{part}.txt").read_text(encoding="utf-8")


def _answers(connection: Connection) -> Iterator[str]:
    end = chain.head(connection)
    yield f"{end.count} events, head {end.hash}"
    rows = connection.execute(sa.select(Item.id, Item.tag_number).order_by(Item.tag_number, Item.id)).all()
    for place, (key, tag) in enumerate(rows):
        if not tag.startswith("ST-") or place % _ONE_IN == 0:
            yield _answer(connection, key)


def _answer(connection: Connection, key: str) -> str:
    found = item_answer(connection, key, TODAY)
    out = f"out since {found.withdrawn.since} ({found.withdrawn.reason})" if found.withdrawn else found.removed or "in"
    last = f"{found.last.tested_on} {found.last.verdict}" if found.last else "no test"
    duties = (f"{each.duty} {each.interval} {each.last_done} {each.due} {each.standing}" for each in found.duties)
    plate = (found.tag, *found.earlier_tags, found.kind, found.site, found.area, found.environment, found.rulebook)
    return "; ".join((*plate, found.standing, str(found.next_due), out, last, *duties))

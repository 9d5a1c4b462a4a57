"""All that a register holds at present, row for row, as one hash: a register and its copy are alike where it is."""

import hashlib
from typing import Final

from sqlalchemy.engine import Connection

from register.store.bulk import CHUNK
from register.store.layout import HISTORY, VERSION, tables

_SEPARATE: Final = {"item_text": {"row"}, "photo": {"picture"}}
"""Columns that only number rows, and pictures, which their digests stand for."""

_ONLY: Final = {
    "held_limit": "id IN (SELECT limit_id FROM reading UNION SELECT look_limit_id FROM record)",
    "photo": "id IN (SELECT photo_id FROM withdrawal_photo)",
}
"""Of limits, those that a record was held against; of photos, those that show something."""


def state_hash(connection: Connection) -> str:
    """Return a hash of all that the register holds, without its history, versions of rows, and what was undone."""
    found = hashlib.sha256()
    for table in sorted(tables(connection), key=lambda each: each.name):
        if table.name in HISTORY:
            continue
        left_out = {VERSION, *_SEPARATE.get(table.name, ())}
        columns = [name for name in table.columns if name not in left_out]
        order = [name for name in table.key if name not in left_out] or columns
        where = f" WHERE {_ONLY[table.name]}" if table.name in _ONLY else ""
        listed, ordered = (", ".join(f'"{name}"' for name in names) for names in (columns, order))
        statement = f'SELECT {listed} FROM "{table.name}"{where} ORDER BY {ordered}'
        found.update(repr((table.name, columns)).encode())
        result = connection.exec_driver_sql(statement)
        while rows := result.fetchmany(CHUNK):
            found.update("\n".join(map(repr, map(tuple, rows))).encode())
    return found.hexdigest()

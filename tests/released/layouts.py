"""What a layout is, as the database itself tells it: a text to keep, and to hold against what the migrations make."""

from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.types import SQLITE

HERE: Final = Path(__file__).parent

_IN_A_FILE: Final = """
SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'item!_search!_%' ESCAPE '!'
    ORDER BY tbl_name, type <> 'table', type, name
"""
_ON_A_SERVER: Final = """
SELECT format('%s.%s %s%s%s', table_name, column_name, data_type, CASE is_nullable WHEN 'NO' THEN ' NOT NULL' END,
        ' DEFAULT ' || column_default) FROM information_schema.columns WHERE table_schema = 'public'
    ORDER BY table_name, ordinal_position;
SELECT format('%s: %s %s', conrelid::regclass, conname, pg_get_constraintdef(oid)) FROM pg_constraint
    WHERE connamespace = 'public'::regnamespace AND contype IN ('p', 'u', 'f', 'c')
    ORDER BY conrelid::regclass::text, conname;
SELECT indexdef FROM pg_indexes WHERE schemaname = 'public' AND indexname <> 'ix_item_text_words' ORDER BY indexname;
SELECT pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal ORDER BY tgrelid::regclass::text, tgname;
SELECT format('%s%s: %s', proname, CASE WHEN prosecdef THEN ' as its owner' END, prosrc) FROM pg_proc
    WHERE pronamespace = 'public'::regnamespace AND prorettype = 'trigger'::regtype ORDER BY proname
"""
"""Without the index of words, which not every server has what it takes for."""


def layout_text(connection: Connection) -> str:
    """Return the tables, indexes and triggers of a database, one statement or fact after the other."""
    asked = _IN_A_FILE if connection.dialect.name == SQLITE else _ON_A_SERVER
    said = [each for statement in asked.split(";") for each in connection.execute(sa.text(statement)).scalars()]
    return "".join(f"{_tidy(each)}\n" for each in said)


def kept_text(layout: str, database: str) -> str:
    """Return what was kept of a released layout, in a `file` or on a `server`."""
    return (HERE / f"{layout}.{database}.sql").read_text(encoding="utf-8")


def _tidy(statement: str) -> str:
    """Return a statement without what only sets it out: empty lines, and blanks at the ends of the others."""
    return "\n".join(line.rstrip() for line in statement.expandtabs(4).splitlines() if line.strip())

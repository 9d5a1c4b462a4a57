"""What keeps the history as it was written, and finds items by their words: a part of the first layout.

Each database has its own way to it. On a server the guards hold for whoever is no owner of the tables.
"""

from collections.abc import Mapping, Sequence
from typing import Final

import sqlalchemy as sa
from alembic import op

SQLITE: Final = "sqlite"
LetGo = Mapping[str, tuple[str, Sequence[tuple[str, str]]]]
"""By table: the column that says whose a row is, and the tables and columns where that must stand for it to go."""

_SEARCH: Final = (
    "CREATE VIRTUAL TABLE item_search USING fts5(text, content='item_text', content_rowid='row', tokenize='trigram')"
)
_TRIGRAMS: Final = "SELECT 1 FROM pg_available_extensions WHERE name = 'pg_trgm'"


def make(append_only: Sequence[str], let_go: LetGo) -> None:
    """Make the index of words, and the triggers of the tables that are only ever added to."""
    if op.get_bind().dialect.name == SQLITE:
        _in_a_file(append_only, let_go)
    else:
        _on_a_server(append_only, let_go)


def _in_a_file(append_only: Sequence[str], let_go: LetGo) -> None:
    op.execute(_SEARCH)
    for table in append_only:
        for deed in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table}{_unless_kept(table, deed, let_go)}"
                f" BEGIN SELECT RAISE(ABORT, '{_only_added_to(table)}'); END"
            )
    op.execute(
        "CREATE TRIGGER event_in_order BEFORE INSERT ON event"
        " WHEN new.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM event)"
        " BEGIN SELECT RAISE(ABORT, 'events are added in order'); END"
    )


def _only_added_to(table: str) -> str:
    return f"{table} is only ever added to"


def _unless_kept(table: str, deed: str, let_go: LetGo) -> str:
    return f" WHEN {_not_kept(table, let_go)}" if deed == "DELETE" and table in let_go else ""


def _not_kept(table: str, let_go: LetGo) -> str:
    column, elsewhere = let_go[table]
    kept = (f"NOT EXISTS (SELECT 1 FROM {there} WHERE {key} = old.{column})" for there, key in elsewhere)  # noqa: S608
    return " AND ".join(kept)


_BROKEN_RULE: Final = " USING ERRCODE = 'integrity_constraint_violation'"

_IN_ORDER: Final = (
    "IF new.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM event) THEN RAISE 'events are added in order'"
    " USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN new;"
)

_NONE_FIRST: Final = {
    "ix_item_next_due": "next_due NULLS FIRST, id, state",
    "ix_item_state_next_due": "state, next_due NULLS FIRST, id, untested",
    "ix_item_site_id_state_next_due": "site_id, state, next_due NULLS FIRST, id, untested",
}
"""The indexes in whose order lists are read: items without a date stand first, as they do in a file."""


def _on_a_server(append_only: Sequence[str], let_go: LetGo) -> None:
    _index_words()
    for name, columns in _NONE_FIRST.items():
        op.execute(f"DROP INDEX {name}")
        op.execute(f"CREATE INDEX {name} ON item ({columns})")
    for table in append_only:
        _function(
            f"{table}_only_added_to", f"{_let_through(table, let_go)} RAISE '{_only_added_to(table)}'{_BROKEN_RULE};"
        )
        for deed, each in (("UPDATE", "ROW"), ("DELETE", "ROW"), ("TRUNCATE", "STATEMENT")):
            op.execute(
                f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} FOR EACH {each}"
                f" EXECUTE FUNCTION {table}_only_added_to()"
            )
    _function("event_in_order", _IN_ORDER, definer=True)
    op.execute("CREATE TRIGGER event_in_order BEFORE INSERT ON event FOR EACH ROW EXECUTE FUNCTION event_in_order()")


def _let_through(table: str, let_go: LetGo) -> str:
    if table not in let_go:
        return ""
    return f"IF tg_op = 'DELETE' THEN IF NOT ({_not_kept(table, let_go)}) THEN RETURN old; END IF; END IF;"


def _function(name: str, body: str, *, definer: bool = False) -> None:
    """Make the function of a trigger; one that must see all rows runs with the rights of the tables' owner."""
    rights = " SECURITY DEFINER SET search_path = public" if definer else ""
    op.execute(f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql{rights} AS $$ BEGIN {body} END $$")


def _index_words() -> None:
    """Index the words by runs of three letters, where the server has what that takes; else they are read through."""
    bind = op.get_bind()
    if bind.execute(sa.text(_TRIGRAMS)).first() is None:
        return
    try:
        with bind.begin_nested():
            op.execute("CREATE EXTENSION IF NOT EXISTS pg_trgm")
    except sa.exc.ProgrammingError:  # the login may not: whoever keeps the server can add the index later
        return
    op.execute("CREATE INDEX ix_item_text_words ON item_text USING gin (text gin_trgm_ops)")

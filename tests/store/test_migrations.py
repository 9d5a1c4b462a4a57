"""The tables as the program describes them are the tables that the migrations make."""

from pathlib import Path
from typing import Any

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from register.store import amended, let_go, owner_queries, packs, photos, tag_ranges, upgrade, visits  # noqa: F401 - its tables belong to the layout
from register.store.engine import APPLICATION_ID, READER, Register
from register.store.tables import Table
from tests.servers import ON_A_SERVER

SEARCH_INDEX = "item_search"
OF_A_SERVER = frozenset({
    "ix_item_text_words", "ix_item_next_due", "ix_item_state_next_due", "ix_item_site_id_state_next_due",
})  # fmt: skip
"""Indexes that only a server needs, or has with empty dates first, as they lie in a file by themselves."""


def ours(_object: Any, name: str | None, kind: str, *_rest: object) -> bool:  # noqa: ANN401 - Alembic's
    """Whether a table is one that the models describe; SQLite keeps the search index in tables of its own."""
    return kind != "table" or not str(name).startswith(SEARCH_INDEX)


def test_the_migrations_make_what_the_models_describe(register: Register) -> None:
    with register.read() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "include_object": ours, "render_as_batch": True}
        )
        found = compare_metadata(context, Table.metadata)
    assert [each for each in found if not (ON_A_SERVER and each[1].name in OF_A_SERVER)] == []


def test_the_migrations_have_one_head_and_the_program_knows_it(register: Register) -> None:
    with register.read() as connection:
        scripts = ScriptDirectory.from_config(upgrade.config(connection))
    assert scripts.get_heads() == [upgrade.HEAD]


def test_a_new_register_carries_its_marks(register: Register) -> None:
    with register.read() as connection:
        marks = [connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in ("application_id", "user_version")]
        assert marks == [APPLICATION_ID, READER]
        assert upgrade.revision(connection) == upgrade.HEAD


def test_every_constraint_and_index_has_a_name_so_that_it_can_be_changed_later() -> None:
    nameless = [
        f"{table.name}: {constraint}"
        for table in Table.metadata.tables.values()
        for constraint in (*table.constraints, *table.indexes)
        if constraint.name is None
    ]
    assert nameless == []


def test_the_program_finds_its_migrations_wherever_it_is_installed(
    register: Register,
    tmp_path: Path,
    monkeypatch: Any,  # noqa: ANN401 - pytest's
) -> None:
    folder = tmp_path / "100% own" / "migrations"
    folder.parent.mkdir()
    folder.symlink_to(Path(upgrade.__file__).parent / "migrations")
    monkeypatch.setattr(upgrade, "_SCRIPTS", folder)
    with register.read() as connection:
        assert ScriptDirectory.from_config(upgrade.config(connection)).get_heads() == [upgrade.HEAD]

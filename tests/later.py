"""A later version of the program, whose layout a script makes on top of today's: made up for the tests of upgrading."""

import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from register.services.upgrading import upgrade
from register.store import upgrade as layouts
from tests.registers import ACTOR, TODAY
from tests.released.kept import kept

SCRIPTS = Path(layouts.__file__).parent / "migrations"
FOUND, LATER = layouts.HEAD, "9001"
SCRIPT = f"""
import sqlalchemy as sa
from alembic import op
from register.store.migrations.making import TEXT, make_table

revision = "{LATER}"
down_revision = "{FOUND}"
"""
GOOD = """
REWRITTEN = {"item": frozenset({"remarks"}), "area": frozenset({"name"})}

def upgrade():
    with op.batch_alter_table("item") as item:
        item.drop_column("remarks")
        item.add_column(sa.Column("made_up", sa.Text(), nullable=False, server_default=""))
    op.execute("UPDATE area SET name = upper(name)")
    make_table("ladder", {"id": TEXT})
"""
MORE = """
def upgrade():
    op.add_column("item", sa.Column("made_up", sa.Text(), nullable=False, server_default=""))
    make_table("ladder", {"id": TEXT})
"""
"""A script that only adds, so that whatever the program of today reads is there afterwards."""


AT = datetime(2026, 11, 24, 9, tzinfo=UTC)
"""When `office` is brought up to date."""


@pytest.fixture
def later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Path]:
    """Lets the program be of a later version, whose layout a script makes."""

    def made(script: str) -> Path:
        scripts = tmp_path / "later"
        shutil.copytree(SCRIPTS, scripts, ignore=shutil.ignore_patterns("__pycache__"), dirs_exist_ok=True)
        (scripts / "versions" / "v9001_later.py").write_text(SCRIPT + script, encoding="utf-8")
        monkeypatch.setattr(layouts, "_SCRIPTS", scripts)
        monkeypatch.setattr(layouts, "EARLIER", frozenset({*layouts.EARLIER, FOUND}))
        monkeypatch.setattr(layouts, "HEAD", LATER)
        return scripts

    return made


@pytest.fixture
def office(tmp_path: Path, later: Callable[[str], Path]) -> Path:
    """An office's register that was brought up to date; a copy of it as it was lies beside it."""
    path = kept(FOUND, "office", tmp_path)
    later(MORE)
    upgrade(path, actor=ACTOR, at=AT, today=TODAY)
    return path

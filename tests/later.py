"""A later version of the program, whose layout a script makes on top of today's: made up for the tests of upgrading."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from register.store import upgrade as layouts

SCRIPTS = Path(layouts.__file__).parent / "migrations"
FOUND = layouts.HEAD
SCRIPT = f"""
import sqlalchemy as sa
from alembic import op

revision = "9001"
down_revision = "{FOUND}"
branch_labels = depends_on = None
"""
GOOD = """
REWRITTEN = {"item": frozenset({"remarks"}), "area": frozenset({"name"})}

def upgrade():
    with op.batch_alter_table("item") as item:
        item.drop_column("remarks")
        item.add_column(sa.Column("colour", sa.Text(), nullable=False, server_default=""))
    op.execute("UPDATE area SET name = upper(name)")
    op.create_table("ladder", sa.Column("id", sa.Text(), primary_key=True), sqlite_strict=True)
"""


@pytest.fixture
def later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Path]:
    """Lets the program be of a later version, whose layout a script makes."""

    def made(script: str) -> Path:
        scripts = tmp_path / "later"
        shutil.copytree(SCRIPTS, scripts, ignore=shutil.ignore_patterns("__pycache__"), dirs_exist_ok=True)
        (scripts / "versions" / "v9001_later.py").write_text(SCRIPT + script, encoding="utf-8")
        monkeypatch.setattr(layouts, "_SCRIPTS", scripts)
        monkeypatch.setattr(layouts, "EARLIER", frozenset({FOUND}))
        monkeypatch.setattr(layouts, "HEAD", "9001")
        return scripts

    return made

"""Closing while work is under way asks first, ends the process as it should, and leaves the register whole."""

import os
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.services.check import check
from register.store.engine import open_register
from register.store.tables import Item
from resources import RESOURCES
from tests.desk import Desk

CHECKOUT = RESOURCES.parent
LONGEST_S = 60


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """The register, free for another program."""
    desk.register.close()
    return desk


def items(path: Path) -> int:
    with closing(open_register(path)) as register, register.read() as connection:
        assert check(connection).faults == ()
        return int(connection.execute(sa.select(sa.func.count(Item.id))).scalar_one())


@pytest.mark.usefixtures("yard")
def test_closing_while_a_file_is_taken_in_asks_and_ends_cleanly(path: Path, tmp_path: Path) -> None:
    before = items(path)
    sheet = CHECKOUT / "sample_sites" / "brackwater-boatyard.xlsx"
    done = subprocess.run(
        [sys.executable, "-m", "tests.ui.closing_run", str(path), str(sheet), str(tmp_path / "memory.toml")],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"}, cwd=CHECKOUT, capture_output=True, text=True,
        timeout=LONGEST_S, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    asked = "Work is under way that changes the register; nothing of it is kept if you close now."
    assert done.stdout.splitlines() == [asked, asked]
    assert "QThread" not in done.stderr
    assert "Traceback" not in done.stderr
    after = items(path)
    assert after == before or after > before + 50, "all of a file is kept or nothing of it"
    assert not list(tmp_path.glob("*.open.json"))

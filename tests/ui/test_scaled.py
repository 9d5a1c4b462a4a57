"""Pages and dialogs in the smallest window have room on screens that draw everything larger, too."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOM = Path(__file__).with_name("test_every_dialog.py")
LONGEST_S = 280


@pytest.mark.parametrize("scale", ["1.5", "2"])
def test_pages_and_dialogs_have_room_at_a_scale(scale: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:randomly", str(ROOM), "-k", "has_room and usual"],
        env={**os.environ, "QT_SCALE_FACTOR": scale, "QT_QPA_PLATFORM": "offscreen"},
        cwd=ROOM.parents[2], capture_output=True, text=True, timeout=LONGEST_S, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-2000:]
    assert " passed" in done.stdout

"""The checks that read the code instead of running it: each tool runs as a developer would run it."""

import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent
BESIDE_PYTHON = Path(sys.executable).parent


@pytest.mark.parametrize(
    "command",
    [
        ["ruff", "check", "."],
        ["ruff", "format", "--check", "."],
        ["mypy"],
        ["lint-imports"],
    ],
    ids=" ".join,
)
def test_the_code_passes(command: list[str]) -> None:
    done = subprocess.run(
        [BESIDE_PYTHON / command[0], *command[1:]], cwd=TOP, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr

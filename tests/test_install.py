"""An ordinary `pip install .` brings everything along: the commands, the rulebooks, the sample sites."""

import os
import subprocess
import sys
from pathlib import Path
from shutil import copytree, ignore_patterns

import pytest

from tests.shape import PROGRAM

TOP = Path(__file__).parent.parent
SHIPPED = (*PROGRAM, "docs")
"""The help shows the manual, so that goes along."""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder into which the program was installed from a copy of the checkout, without a network."""
    folder = tmp_path_factory.mktemp("install")
    checkout, target = folder / "checkout", folder / "installed"
    for name in SHIPPED:
        copytree(TOP / name, checkout / name, ignore=ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        (checkout / name).write_bytes((TOP / name).read_bytes())
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", "--no-build-isolation"]
    subprocess.run([*pip, "--target", target, checkout], check=True)
    return target


def run(installed: Path, command: str, *arguments: str) -> "subprocess.CompletedProcess[str]":
    """Run an installed command from elsewhere, so that nothing of the checkout can be found."""
    return subprocess.run(
        [sys.executable, installed / "bin" / command, *arguments],
        cwd=installed.parent,
        env={**os.environ, "PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_both_commands_start(installed: Path) -> None:
    for command in ("retest-register", "retest-register-cli"):
        done = run(installed, command, "--help")
        assert (done.returncode, done.stderr) == (0, "")
        assert "usage: " in done.stdout


def test_every_file_of_the_program_comes_along(installed: Path) -> None:
    for name in SHIPPED:
        wanted = {path.relative_to(TOP) for path in (TOP / name).rglob("*") if path.is_file()}
        wanted = {path for path in wanted if "__pycache__" not in path.parts}
        assert not {path for path in wanted if not (installed / path).is_file()}

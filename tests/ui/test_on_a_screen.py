"""The runs through the whole window by keyboard once more, on a real X display without a monitor."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
LONGEST_S = 420


@pytest.fixture
def display() -> Iterator[str]:
    """A display of the test's own, under a number that is free."""
    server = shutil.which("Xvfb")
    if server is None:
        pytest.skip("not run: needs Xvfb")
    ours, theirs = os.pipe()
    screen = ["-screen", "0", "1920x1080x24", "-nolisten", "tcp"]
    running = subprocess.Popen(
        [server, "-displayfd", str(theirs), *screen], pass_fds=[theirs], stderr=subprocess.DEVNULL
    )
    os.close(theirs)
    try:
        with os.fdopen(ours) as told:
            number = told.readline().strip()
        assert number, "Xvfb ended before it had a display"
        yield f":{number}"
    finally:
        running.terminate()
        running.wait(30)


@pytest.mark.parametrize("run", ["test_window_run.py", "test_day.py"])
def test_a_run_by_keyboard_goes_the_same_way_on_a_display(display: str, run: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:randomly", str(HERE / run)],
        env={**os.environ, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb"},
        cwd=HERE.parent.parent, capture_output=True, text=True, timeout=LONGEST_S, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-2000:]
    assert "skipped" not in done.stdout

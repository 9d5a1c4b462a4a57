"""`python3 -m tests`: every test, after making a fresh checkout ready. What follows is passed on to pytest.

Without arguments the tests of the domain and of the window run beside the others, which halves the time; after them
some of the others run once more on a PostgreSQL server. `register/domain` is held to full branch coverage by its own
tests; measuring the others as well would slow them all.
"""

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from tempfile import TemporaryFile
from typing import IO

from resources import start

PYTEST = (sys.executable, "-m", "pytest")
WINDOW = ("tests/ui",)
DOMAIN = ("tests/domain", "--cov")
OTHERS = ("tests", "--ignore=tests/domain", "--ignore=tests/ui")

SERVICES = ("recording", "moves", "corrections", "retention", "team", "clashes", "editing", "overrides",
            "tags", "marks", "zones", "projection", "days_out")  # fmt: skip
ON_A_SERVER = (*(f"tests/services/test_{name}.py" for name in SERVICES), "tests/services/bench/test_aside.py",
               "tests/services/withdrawals/test_out_and_back.py", "tests/store/test_lists.py",
               "tests/store/test_search.py", "tests/store/test_bulk.py")  # fmt: skip
"""The tests that run a second time on registers on a server: those of what the two databases could do differently."""


def every() -> int:
    """Run every test; return 0 where all passed. What runs beside prints last."""
    with TemporaryFile("w+", encoding="utf-8") as said, ThreadPoolExecutor(1) as aside:
        beside = aside.submit(_beside, said)
        code = subprocess.run([*PYTEST, *OTHERS], check=False).returncode
        code = max(code, beside.result())
        said.seek(0)
        sys.stdout.write(said.read())
    return code


def _beside(said: IO[str]) -> int:
    """Run the tests of the domain and of the window, then those on a server."""
    team = {**os.environ, "RETEST_ENGINE": "postgresql"}
    runs = ((DOMAIN, dict(os.environ)), (WINDOW, dict(os.environ)), (ON_A_SERVER, team))
    return max(
        subprocess.run([*PYTEST, *part], check=False, env=env, stdout=said, stderr=subprocess.STDOUT).returncode
        for part, env in runs
    )


if __name__ == "__main__":
    start.ensure("tests")
    if not sys.argv[1:]:
        sys.exit(every())
    import pytest

    sys.exit(pytest.main(sys.argv[1:]))

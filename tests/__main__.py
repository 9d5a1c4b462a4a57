"""`python3 -m tests`: every test, after making a fresh checkout ready. What follows is passed on to pytest.

Without arguments the tests of the window run beside the others, which halves the time, and `register/domain` is held to
full branch coverage by its own tests; measuring the others as well would slow them all.
"""

import subprocess
import sys
from tempfile import TemporaryFile

from resources import start

PYTEST = (sys.executable, "-m", "pytest")
WINDOW = ("tests/ui",)
OTHERS = (("tests/domain", "--cov"), ("tests", "--ignore=tests/domain", "--ignore=tests/ui"))


def every() -> int:
    """Run every test; return 0 where all passed. What the window's tests print comes last."""
    with TemporaryFile("w+", encoding="utf-8") as said:
        window = subprocess.Popen([*PYTEST, *WINDOW], stdout=said, stderr=subprocess.STDOUT)
        codes = [subprocess.run([*PYTEST, *part], check=False).returncode for part in OTHERS]
        codes.append(window.wait())
        said.seek(0)
        sys.stdout.write(said.read())
    return max(codes)


if __name__ == "__main__":
    start.ensure("tests")
    if not sys.argv[1:]:
        sys.exit(every())
    import pytest

    sys.exit(pytest.main(sys.argv[1:]))

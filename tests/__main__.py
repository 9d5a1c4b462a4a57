"""`python3 -m tests`: every test, after making a fresh checkout ready. What follows is passed on to pytest.

Without arguments it also holds `register/domain` to full branch coverage, which a part of the tests can't reach.
"""

import sys

from resources import start

if __name__ == "__main__":
    start.ensure("tests")
    import pytest

    sys.exit(pytest.main(sys.argv[1:] or ["--cov"]))

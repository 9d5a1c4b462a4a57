"""A check that could not run says what it needs; in CI, where everything should be there, that is a failure."""

import socket
from contextlib import closing
from pathlib import Path

import pytest

pytest_plugins = ["pytester"]

CASES = """
import pytest

def test_that_runs():
    pass

def test_of_another_system():
    pytest.skip("only on another system")

def test_that_asks_first():
    pytest.skip("not run: needs LibreOffice")

@pytest.mark.skipif(True, reason="not run: needs PostgreSQL")
def test_marked():
    pass
"""


@pytest.fixture
def cases(pytester: pytest.Pytester) -> pytest.Pytester:
    pytester.makeconftest((Path(__file__).parent / "conftest.py").read_text(encoding="utf-8"))
    pytester.makepyfile(CASES)
    pytester.makepyfile(test_module="import pytest\npytest.skip('not run: needs X', allow_module_level=True)\n")
    return pytester


def test_by_hand_a_test_that_lacks_something_is_skipped_with_its_reason(
    cases: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("CI", raising=False)
    result = cases.runpytest_subprocess("-rs", "-p", "no:randomly")
    result.assert_outcomes(passed=1, skipped=4)
    result.stdout.fnmatch_lines_random(["*not run: needs LibreOffice", "*not run: needs PostgreSQL"])


def test_in_ci_it_is_a_failure_but_other_skips_stay(cases: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")
    result = cases.runpytest_subprocess("-p", "no:randomly", "--continue-on-collection-errors")
    result.assert_outcomes(passed=1, skipped=1, failed=1, errors=2)
    result.stdout.fnmatch_lines_random(["*not run: needs LibreOffice; in CI that is a failure"])


def test_no_test_reaches_for_the_network() -> None:
    with pytest.raises(AssertionError, match="reached for the network"):
        socket.create_connection(("192.0.2.1", 80), timeout=1)
    with closing(socket.socket()) as made, pytest.raises(AssertionError, match="reached for the network"):
        made.connect(("127.0.0.1", 80))

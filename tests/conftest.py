"""What holds for every test: Qt draws off screen, and a check that could not run is no pass in CI."""

import gc
import os
import socket
from collections.abc import Generator
from typing import NoReturn, TypeVar

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

NOT_RUN = "not run: needs "
Report = TypeVar("Report", pytest.TestReport, pytest.CollectReport)


def in_ci() -> bool:
    """Whether this is the run that decides, where everything a test needs is there or should be."""
    return os.environ.get("CI", "").lower() in {"1", "true", "yes"}


def fail_what_was_not_run(report: Report) -> Report:
    """Turn a skip for want of something into a failure, in CI. Other skips stay."""
    if report.skipped and isinstance(report.longrepr, tuple) and NOT_RUN in report.longrepr[2] and in_ci():
        report.outcome = "failed"
        report.longrepr = f"{report.longrepr[2]}; in CI that is a failure"
    return report


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    return fail_what_was_not_run((yield))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    return fail_what_was_not_run((yield))


HERE = {"localhost", "127.0.0.1", "::1"}


@pytest.fixture(autouse=True)
def _no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no test reach another computer, nor ask for its address: the program needs no network, nor do its tests.

    A server of the tests' own is reached by a library of its own, which asks for this computer's address alone.
    """
    found = socket.getaddrinfo

    def refuse(*asked: object) -> NoReturn:
        raise AssertionError(f"a test reached for the network: {asked}")

    def find(host: str | None, *rest: object, **more: object) -> object:
        return found(host, *rest, **more) if host in HERE else refuse(host, *rest)  # type: ignore[arg-type]

    for name in ("connect", "connect_ex", "sendto"):
        monkeypatch.setattr(socket.socket, name, refuse)
    monkeypatch.setattr(socket, "getaddrinfo", find)


def pytest_runtest_teardown() -> None:
    """Collect garbage here once a window leaves it to its own thread, in case no window has a moment for long."""
    if not gc.isenabled() and gc.get_count()[0] > MUCH:
        gc.collect()


MUCH = 1_000_000


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say what the long tests counted, which is what docs/safety.md tells."""
    if not terminalreporter.config.getoption("--long"):
        return
    for report in terminalreporter.getreports("passed") + terminalreporter.getreports("failed"):
        said = ", ".join(f"{name} {value}" for name, value in getattr(report, "user_properties", ()))
        if said and report.when == "call":
            terminalreporter.write_line(f"{report.nodeid.rpartition('::')[2]}: {said}")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the long tests, and those alone")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Measure speed without the weight of measuring coverage, and leave the long tests to a run of their own."""
    for item in items:
        if "bench" in item.path.parts:
            item.add_marker("no_cover")
    long = bool(config.getoption("--long"))
    others = [item for item in items if (item.get_closest_marker("long") is not None) is not long]
    if others:
        config.hook.pytest_deselected(items=others)
        items[:] = [item for item in items if item not in others]

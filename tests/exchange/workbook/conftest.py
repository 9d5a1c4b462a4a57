"""The made-up report, written once for all tests that only read it."""

from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.workbook import Workbook

from register.exchange.workbook import write_owner_workbook
from tests.exchange.workbook.made_up import made_up_report
from tests.held_report import HeldReport


@pytest.fixture(scope="module")
def report() -> HeldReport:
    return made_up_report()


@pytest.fixture(scope="module")
def written(report: HeldReport, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("book") / "owner.xlsx"
    write_owner_workbook(report, path)
    return path


@pytest.fixture(scope="module")
def book(written: Path) -> Workbook:
    return load_workbook(written)

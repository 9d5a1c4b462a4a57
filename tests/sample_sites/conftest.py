"""The sample sheets as plain rows, however they were written."""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from sample_sites.make import FIXED_DAY, SampleFile, make

Rows = list[list[Any]]


def read_rows(path: Path) -> dict[str, Rows]:
    """Every row of every sheet from the top, with None for what is empty; the sheet of a CSV file is ''."""
    if path.suffix == ".xlsx":
        book = openpyxl.load_workbook(path)
        return {sheet.title: [list(row) for row in sheet.iter_rows(values_only=True)] for sheet in book.worksheets}
    text = path.read_bytes()
    marked = text.startswith(b"\xef\xbb\xbf")
    lines = text.decode("utf-8-sig" if marked else "cp1252").splitlines()
    rows = csv.reader(lines, delimiter="," if marked else ";")
    return {"": [[cell or None for cell in row] for row in rows]}


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> list[SampleFile]:
    return make(tmp_path_factory.mktemp("fixed-day"), FIXED_DAY)


@pytest.fixture(scope="session")
def sheets(made: list[SampleFile]) -> dict[str, dict[str, Rows]]:
    return {each.path.name: read_rows(each.path) for each in made}


@pytest.fixture(scope="session")
def rows_of() -> Callable[[Path], dict[str, Rows]]:
    return read_rows

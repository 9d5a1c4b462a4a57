"""A workbook is the same in whatever language and form of dates and numbers the user's computer is set to."""

from pathlib import Path
from zipfile import ZipFile

import pytest
from PySide6.QtCore import QLocale

from register.exchange.workbook import write_owner_workbook
from tests.exchange.workbook.made_up import made_up_report


def parts(path: Path) -> dict[str, bytes]:
    """Return what is in the file, but for the moment at which it was written."""
    with ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist() if name != "docProps/core.xml"}


@pytest.mark.parametrize("locale", ["en_US", "en_AU"])
def test_every_part_of_the_file_is_the_same_byte_for_byte(locale: str, tmp_path: Path) -> None:
    before = QLocale()
    try:
        for name in ("de_DE", locale):
            QLocale.setDefault(QLocale(name))
            write_owner_workbook(made_up_report(), tmp_path / f"{name}.xlsx")
    finally:
        QLocale.setDefault(before)
    assert parts(tmp_path / "de_DE.xlsx") == parts(tmp_path / f"{locale}.xlsx")

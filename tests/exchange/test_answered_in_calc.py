"""An owner answers his workbook in LibreOffice Calc, sorts it there by what he sees, saves it, and sends it back."""

import shutil
import subprocess
from datetime import date
from pathlib import Path
from xml.sax.saxutils import escape

import pytest

from register.domain.words import Duty
from register.exchange.review import read_returned
from register.services.owners.review import review
from tests.desk import Desk
from tests.exchange.hotel import desk, sent
from tests.registers import TODAY, empty_file, path, register

__all__ = ["desk", "empty_file", "path", "register", "sent"]

LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false"
 library:passwordprotected="false"><library:element library:name="Owner"/></library:library>"""
MODULE = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Owner" script:language="StarBasic">{}
</script:module>"""

BASIC = """
Function Named(name, value)
  Dim one As New com.sun.star.beans.PropertyValue
  one.Name = name : one.Value = value
  Named = one
End Function

Function Column(sheet, title)
  Dim at
  For at = 0 To 60
    If sheet.getCellByPosition(at, 0).String = title Then Exit For
  Next
  Column = at
End Function

Sub Say(sheet, tag, title, typed)
  Dim row
  For row = 1 To 20
    If sheet.getCellByPosition(1, row).String = tag Then Exit For
  Next
  sheet.getCellByPosition(Column(sheet, title), row).FormulaLocal = typed
End Sub

Sub Answer
  Dim book, sheet, by(0) As New com.sun.star.table.TableSortField
  book = StarDesktop.loadComponentFromURL("{came}", "_blank", 0, Array(Named("Hidden", True)))
  sheet = book.Sheets.getByName("Register")
  Say sheet, "P1", "Your answer", "Not found"
  Say sheet, "P1", "Test button pressed on", "2026-11-18"
  Say sheet, "P2", "Your answer", "Moved to"
  Say sheet, "P2", "Moved to which area", "Bar"
  Say sheet, "L1", "Your answer", "Agree"
  by(0).Field = 1 : by(0).IsAscending = False
  sheet.getCellRangeByPosition(0, 0, Column(sheet, "Your comment"), 4).sort( _
    Array(Named("SortFields", by()), Named("ContainsHeader", True)))
  Say sheet, "P3", "Your comment", "Repair it"
  book.Sheets.getByName("Your duties").getCellByPosition(3, 1).String = "Cellar"
  book.storeToURL("{goes}", Array(Named("FilterName", "Calc MS Excel 2007 XML")))
  book.close(True)
  StarDesktop.terminate()
End Sub
"""


@pytest.fixture
def calc(tmp_path: Path) -> list[str]:
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("not run: needs LibreOffice")
    return [program, f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless", "--norestore"]


def run(*call: str | Path) -> None:
    subprocess.run(call, capture_output=True, timeout=180, check=True)


def answered(calc: list[str], sent: Path, folder: Path) -> Path:
    """Return the workbook that comes back; on its way it was saved as OpenDocument, and as a workbook again."""
    run(*calc, "--convert-to", "ods", "--outdir", folder, sent)
    came, goes = sent.with_suffix(".ods").as_uri(), (folder / "back.xlsx").as_uri()
    standard = folder / "profile/user/basic/Standard"
    standard.mkdir(parents=True, exist_ok=True)
    (standard / "script.xlb").write_text(LIBRARY, encoding="utf-8")
    basic = BASIC.replace("{came}", came).replace("{goes}", goes)
    (standard / "Owner.xba").write_text(MODULE.format(escape(basic)), encoding="utf-8")
    run(*calc, "macro:///Standard.Owner.Answer")
    return folder / "back.xlsx"


def test_what_an_owner_answers_in_another_program_is_done_and_what_he_alters_is_listed(
    calc: list[str], desk: Desk, sent: Path, tmp_path: Path
) -> None:
    returned = read_returned(answered(calc, sent, tmp_path))

    assert [(each.sheet, each.column, each.after) for each in returned.changes] == [("Your duties", "Area", "Cellar")]
    assert len(returned.notes) == 1
    assert "were sorted or copied without their hidden columns" in returned.notes[0]
    with desk.change() as change:
        done = review(change, returned.sent, returned.answers)

    assert (done.done, done.agreed, done.by) == (4, 1, "Owner of HOTEL")
    assert desk.answer("P1").not_found_on == TODAY
    (press,) = [each for each in desk.answer("P1").duties if each.duty is Duty.BUTTON_PRESS]
    assert press.last_done == date(2026, 11, 18)
    assert desk.answer("P2").area == "Bar"
    assert desk.faults() == ()

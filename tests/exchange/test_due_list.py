"""What falls due by the end of a week, as a workbook."""

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest

from register.domain.words import Duty, Kind, Standing
from register.errors import Refused
from register.exchange.due_list import write_due_list
from register.services.due_list import DueList
from register.services.questions import DueDuty

ROW = DueDuty(
    site="YARD", site_name="Boat yard", area="Slipway", item_id="1", tag="0017", kind=Kind.EXTENSION_LEAD,
    description="Lead of 10 m", environment="workshop", duty=Duty.INSPECTION_AND_TEST, contractors=True,
    last_done=date(2026, 6, 3), interval="P6M", due=date(2026, 12, 3), standing=Standing.DUE_SOON,
    why=("Last done 3 Jun 2026, every 6 months (Workshop): due 3 Dec 2026.", "Guidance: every 6 months."),
)  # fmt: skip
LATE = replace(ROW, tag="0018", due=date(2026, 11, 1), standing=Standing.OVERDUE)
NEVER = replace(ROW, tag="0019", due=None, last_done=None, standing=Standing.UNTESTED)


def due(*rows: DueDuty) -> DueList:
    return DueList("Harn & Tolliver", "Boat yard", date(2026, 11, 24), date(2026, 12, 6), rows)


def table(path: Path) -> list[dict[object, object]]:
    heads, *rows = openpyxl.load_workbook(path).worksheets[0].values
    return [dict(zip(heads, row, strict=True)) for row in rows]


def test_each_duty_is_a_row_with_real_dates_and_its_reasons(tmp_path: Path) -> None:
    path = tmp_path / "due.xlsx"

    written = write_due_list(due(ROW, LATE, NEVER), path)

    assert (written.path, written.duties) == (path, 3)
    soon, late, never = table(path)
    assert soon["Tag"] == "0017"
    assert soon["Standing"] == "Due soon"
    assert soon["Due"] == datetime(2026, 12, 3)  # noqa: DTZ001 - a cell's day has no zone
    assert soon["Days left or over"] == 9
    assert soon["Interval"] == "6 months"
    assert soon["Why this date"] == " ".join(ROW.why)
    assert (late["Standing"], late["Days left or over"]) == ("Overdue", -23)
    assert (never["Standing"], never["Due"], never["Last done"]) == ("Untested", None, None)
    assert soon["Done on"] is None


def test_a_list_without_duties_holds_one_sentence(tmp_path: Path) -> None:
    write_due_list(due(), tmp_path / "due.xlsx")
    (sentence,) = openpyxl.load_workbook(tmp_path / "due.xlsx").worksheets[0].values
    assert sentence[0] == "Nothing is overdue, and nothing falls due by 6 Dec 2026."


def test_an_item_without_a_description_is_told_by_its_kind(tmp_path: Path) -> None:
    write_due_list(due(replace(ROW, description="")), tmp_path / "due.xlsx")
    assert table(tmp_path / "due.xlsx")[0]["Item"] == "Extension lead"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(1)", '=HYPERLINK("x")'])
def test_no_text_becomes_a_formula(tmp_path: Path, text: str) -> None:
    write_due_list(due(replace(ROW, tag=text, description=text, area=text, site_name=text)), tmp_path / "due.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "due.xlsx").worksheets[0]
    typed = [cell for cell in sheet[2] if cell.value == text]
    assert [cell.data_type for cell in typed] == ["s"] * 4


def test_the_same_list_is_the_same_bytes(tmp_path: Path) -> None:
    for name in ("a.xlsx", "b.xlsx"):
        write_due_list(due(ROW, LATE), tmp_path / name)
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_a_name_that_is_no_workbooks_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"does not end in \.xlsx"):
        write_due_list(due(ROW), tmp_path / "due.txt")
    assert list(tmp_path.iterdir()) == []

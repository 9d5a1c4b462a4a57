"""Sheets of drives: rows or a square, in km or minutes, with holes and slips that are named by their lines."""

from pathlib import Path

import pytest

from register.errors import Refused
from register.exchange.week.distances import read_drives
from register.planning.travel import Leg, Pace

CODES = ("BOAT", "MILL", "YARD")


def written(folder: Path, text: str) -> Path:
    path = folder / "drives.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_rows_give_drives_by_their_codes(tmp_path: Path) -> None:
    found = read_drives(written(tmp_path, 'To,From,Minutes,km\nboat,BASE,12,"9,5"\nMILL,boat,30,22.1\n'), CODES)
    assert found.legs == {("", "BOAT"): Leg(9.5, 12), ("BOAT", "MILL"): Leg(22.1, 30)}
    assert (found.wrong, found.places, found.holes) == ((), 4, 4)
    assert found.lines[0] == "2 drives between 4 places, the base included."
    assert found.lines[1].startswith("4 pairs of places have no drive, the first BASE to MILL: those are worked out")


def test_a_single_pair_without_a_drive_and_a_single_wrong_line_are_told_as_one(tmp_path: Path) -> None:
    text = "from,to,km\nBASE,BOAT,9\nBASE,MILL,20\nBASE,YARD,4\nBOAT,MILL,7\nBOAT,YARD,8\nBOAT,MILL,far\n"
    assert read_drives(written(tmp_path, text), CODES).lines[1:] == [
        (
            "1 pair of places has no drive, the first MILL to YARD: it is worked out over the globe, times the road"
            " factor."
        ),
        "1 line holds something that was not taken.",
    ]


def test_a_square_gives_a_drive_for_each_cell_that_is_filled(tmp_path: Path) -> None:
    text = "km;BASE;BOAT;MILL\nBASE;0;9;20\nBOAT;10;0;\nMILL;20;7;0\n"
    found = read_drives(written(tmp_path, text), CODES)
    assert found.legs == {
        ("", "BOAT"): Leg(9), ("", "MILL"): Leg(20), ("BOAT", ""): Leg(10), ("MILL", ""): Leg(20),
        ("MILL", "BOAT"): Leg(7),
    }  # fmt: skip
    assert found.holes == 3
    assert found.first_hole == "BASE to YARD"


def test_a_square_of_minutes_gives_kilometres_at_the_speed_of_the_vans(tmp_path: Path) -> None:
    found = read_drives(written(tmp_path, "minutes,BOAT,MILL\nBOAT,,30\nMILL,40,\n"), CODES, Pace(speed_kmh=60))
    assert found.legs == {("BOAT", "MILL"): Leg(30, 30), ("MILL", "BOAT"): Leg(40, 40)}
    assert "Kilometres were not given; they follow from the minutes at the speed of your vans." in found.lines


def test_what_is_wrong_is_named_by_its_line_and_the_rest_is_taken(tmp_path: Path) -> None:
    text = (
        "from,to,km,minutes\nBOAT,MILX,3,4\nBOAT,MILL,far,12\nBOAT,YARD,-1,\nBOAT,BASE,5,6\nBOAT,BASE,7,6\n,MILL,3,4\n"
    )
    found = read_drives(written(tmp_path, text), CODES)
    assert found.legs[("BOAT", "")] == Leg(5, 6)
    assert found.legs[("BOAT", "MILL")].minutes == 12
    assert ("BOAT", "YARD") not in found.legs
    assert list(map(str, found.wrong)) == [
        "Line 2: “MILX” is no site of this register. Write a site's code, or BASE.",
        "Line 3: “far” is no number of km. Give one from 0 to 2000.",
        "Line 4: “-1” is no number of km. Give one from 0 to 2000.",
        "Line 6: BOAT to BASE stands there twice with other numbers; the first were taken.",
        "Line 7: A code is missing.",
    ]
    assert found.lines[-1] == "5 lines hold something that was not taken."


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("from,to,colour\nBOAT,MILL,red\n", "neither km nor minutes"),
        ("tag,kind\nR-1,lead\n", "is no table of drives"),
        ("from,to,km\nHERE,THERE,3\n", "Line 2: “HERE” is no site"),
        ("\n\n", "holds nothing"),
    ],
)
def test_a_sheet_without_a_drive_is_refused(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(Refused, match=said):
        read_drives(written(tmp_path, text), CODES)

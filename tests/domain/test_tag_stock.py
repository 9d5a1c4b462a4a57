"""Label stock: where each label is on its sheet, and measures that can't be."""

from dataclasses import replace
from pathlib import Path

import pytest

from register.domain.tag_stock import Stock, checked, read_stocks, stock_of
from register.errors import Refused
from resources import RESOURCES

SHEET = Stock("s", "Sheet of six", 62, 38, 210, 297, 3, 2, left=9, top=9.5, gap_x=3, gap_y=2)
ROLL = stock_of("r", "Roll", {"width": 50, "height": 25})


def test_labels_stand_row_by_row_and_go_on_with_the_next_sheet() -> None:
    spots = SHEET.spots(8)
    assert spots[0] == (0, 9, 9.5)
    assert spots[1] == (0, 74, 9.5)
    assert spots[3] == (0, 9, 49.5)
    assert spots[6] == (1, 9, 9.5)


def test_a_half_used_sheet_begins_where_labels_are_left_and_all_can_be_nudged() -> None:
    assert SHEET.spots(2, start=6, nudge=(0.5, -0.25)) == ((0, 139.5, 49.25), (1, 9.5, 9.25))


def test_a_roll_has_a_label_a_page() -> None:
    assert ROLL.a_roll
    assert ROLL.spots(2) == ((0, 0, 0), (1, 0, 0))
    assert (ROLL.words, SHEET.words) == ("50 × 25 mm, on a roll", "62 × 38 mm, 6 on a sheet")


@pytest.mark.parametrize("start", [0, 7])
def test_a_start_beyond_the_sheet_is_refused(start: int) -> None:
    with pytest.raises(Refused, match=rf"Place {start} is not on the sheet: Sheet of six has 6 places\."):
        SHEET.spots(1, start=start)
    with pytest.raises(Refused, match=r"has 1 place\. Give a number from 1 to 1"):
        ROLL.spots(1, start=2)


def test_a_nudge_too_far_is_refused() -> None:
    with pytest.raises(Refused, match="nudged by at most 10 mm"):
        SHEET.spots(1, nudge=(0, -11))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"width": 5}, "A label of 5 × 38 mm can't be used"),
        ({"height": 900}, "can't be used"),
        ({"across": 4}, "The labels take 266 × 87.5 mm, and the page has only 210 × 297"),
        ({"down": 8}, "and the page has only"),
        ({"across": 0}, "1 to 500 labels"),
        ({"down": -1}, "1 to 500 labels"),
        ({"across": 100, "down": 100}, "1 to 500 labels"),
        ({"gap_x": -1}, "less than nothing"),
    ],
)
def test_measures_that_cannot_be_are_refused(wrong: dict[str, float], said: str) -> None:
    with pytest.raises(Refused, match=said):
        checked(replace(SHEET, **wrong))


def test_the_formats_that_come_with_the_program_are_sound() -> None:
    stocks, problems = read_stocks(Path(RESOURCES / "tag_stock.toml").read_text(encoding="utf-8"), "tag_stock.toml")
    assert problems == []
    assert len({stock.id for stock in stocks}) == len(stocks) >= 5
    assert any(stock.a_roll for stock in stocks)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("x = ", "can't be read as TOML"),
        ('[[stock]]\nid = "a"\ntitle = "A"\nwidth = 40', "The height of a label in mm is missing."),
        ('[[stock]]\nid = "a"\ntitle = "A"\nwidth = 40.5\nheight = 20', "in quotes"),
        ('[[stock]]\nid = "a"\ntitle = "A"\nwidth = 400\nheight = 20\npage_width = 210', "the page has only"),
        ('[[stock]]\nid = "a"\ntitle = "A"\nwidth = 40\nheight = 20\ncolour = "red"', "is not a key of this table"),
    ],
)
def test_what_is_wrong_in_a_file_of_formats_is_said(text: str, said: str) -> None:
    stocks, problems = read_stocks(text, "own.toml")
    assert stocks == ()
    assert said in str(problems[0])

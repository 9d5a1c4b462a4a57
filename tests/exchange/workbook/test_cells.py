"""Text in cells: what is dropped, what is cut, and that nothing else is changed."""

import string
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from register.exchange.workbook.cells import LONGEST, cell_at, clean, put
from register.exchange.workbook.heights import LINE_POINTS, MOST_LINES, line_count, row_height


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("plain", "plain"),
        ("a\r\nb\rc\nd", "a\nb\nc\nd"),
        ("a\tb", "a\tb"),
        ("NUL\x00 VT\x0b ESC\x1b DEL\x7f", "NUL VT ESC DEL"),
        ("half \ud83d a pair", "half  a pair"),
        ("not a letter \ufffe\uffff", "not a letter "),
        ("next line\x85end", "next line\nend"),
        ("قاطع حماية 30", "قاطع حماية 30"),
        ("👩\u200d🔧 drill", "👩\u200d🔧 drill"),
    ],
)
def test_control_characters_are_dropped_and_all_else_is_kept(text: str, kept: str) -> None:
    assert clean(text) == kept


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("x" * LONGEST, LONGEST),
        ("x" * (LONGEST + 1), LONGEST),
        ("🔧" * 20_000, LONGEST),
    ],
)
def test_text_is_cut_where_a_cell_ends_and_says_so(text: str, length: int) -> None:
    kept = clean(text)

    assert len(kept.encode("utf-16-le")) // 2 == length
    assert kept == text or kept.endswith("…")
    assert text.startswith(kept.removesuffix("…"))


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=200))
def test_cleaning_twice_is_cleaning_once_and_visible_text_survives(text: str) -> None:
    once = clean(text)

    assert clean(once) == once
    assert [letter for letter in once if letter.isalnum()] == [letter for letter in text if letter.isalnum()]


@given(st.text(min_size=1, max_size=60))
def test_text_is_never_a_formula_an_error_or_a_number(text: str) -> None:
    cell = cell_at(Workbook().worksheets[0], 1, 1)

    put(cell, text, "Normal")

    assert cell.value is None or cell.data_type == "s"


@pytest.mark.parametrize("text", ["", "   ", "\n", "\x00"])
def test_text_with_nothing_to_see_leaves_the_cell_empty(text: str) -> None:
    cell = cell_at(Workbook().worksheets[0], 1, 1)

    put(cell, text, "Normal")

    assert cell.value is None


@pytest.mark.parametrize(
    ("value", "shown"), [("28.4", "0.0"), ("28.40", "0.00"), ("300", "0"), ("0.125", "0.000"), ("3E+2", "0")]
)
def test_a_number_is_shown_with_the_decimals_it_came_with(value: str, shown: str) -> None:
    cell = cell_at(Workbook().worksheets[0], 1, 1)

    put(cell, Decimal(value), "Normal")

    assert (cell.value, cell.number_format) == (Decimal(value), shown)


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("", 20, 1),
        ("Slipway shed", 20, 1),
        ("Slipway shed", 8, 2),
        ("one\ntwo\nthree", 20, 3),
        ("operating-time", 9, 2),
        ("W" * 40, 20, 4),
        ("漢" * 20, 20, 3),
        ("word " * 4000, 20, MOST_LINES),
    ],
)
def test_lines_are_counted_as_a_column_breaks_them(text: str, width: float, lines: int) -> None:
    assert line_count(text, width) == lines


@given(st.text(string.ascii_letters + "  -", max_size=300), st.floats(6, 60))
def test_a_wider_column_never_takes_more_lines(text: str, width: float) -> None:
    assert line_count(text, width + 5) <= line_count(text, width) <= line_count(text, width, bold=True)


def test_a_row_grows_by_one_line_at_a_time() -> None:
    assert row_height(3) - row_height(2) == LINE_POINTS

"""Dates: real cells and chosen styles are read, everything else is refused or asked about, nothing is guessed."""

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.errors import Refused
from register.exchange.sheets.cells import Value
from register.exchange.sheets.dates import EPOCH_1904, DateRules, detect, looks_like_date, read_date
from register.exchange.sheets.fields import DateStyle

TODAY = date(2026, 11, 20)
RULES = DateRules(TODAY)
THIRD_OF_APRIL = date(2026, 4, 3)
DMY, MDY, YMD = DateStyle.DAY_MONTH_YEAR, DateStyle.MONTH_DAY_YEAR, DateStyle.YEAR_MONTH_DAY
NAMED, NAME_FIRST, SERIAL = DateStyle.DAY_NAME_YEAR, DateStyle.NAME_DAY_YEAR, DateStyle.SERIAL
ALL_BUT_MDY = (DMY, YMD, NAMED, NAME_FIRST, SERIAL)


@pytest.mark.parametrize(
    ("value", "styles"),
    [
        ("3/4/2026", [DMY]),
        ("03.04.2026", [DMY]),
        ("3-4-26", [DMY]),
        ("4/3/2026", [MDY]),
        ("2026-04-03", [YMD]),
        ("2026/4/3", [YMD]),
        ("20260403", [YMD]),
        (20260403, [YMD]),
        ("03-Apr-26", [NAMED]),
        ("3 April 2026", [NAMED]),
        ("Fri 3 Apr 2026", [NAMED]),
        ("3rd Apr. 2026", [NAMED]),
        ("Apr 3, 2026", [NAME_FIRST]),
        (46115, [SERIAL]),
        (46115.0, [SERIAL]),
        ("46115", [SERIAL]),
        (datetime(2026, 4, 3), []),  # noqa: DTZ001 - as spreadsheets have it
        (date(2026, 4, 3), []),
        ("2026-04-03T00:00:00", [YMD]),
        (" 3/4/2026 ", [DMY, YMD]),
    ],
)
def test_the_same_day_is_read_in_the_style_chosen(value: Value, styles: list[DateStyle]) -> None:
    assert read_date(value, styles, RULES) == (THIRD_OF_APRIL, None)


def test_five_ways_of_one_day_are_read_together_when_so_chosen() -> None:
    ways = ["3/4/2026", "2026-04-03", "03-Apr-26", datetime(2026, 4, 3), 46115]  # noqa: DTZ001 - as spreadsheets have it
    assert {read_date(way, ALL_BUT_MDY, RULES)[0] for way in ways} == {THIRD_OF_APRIL}


@pytest.mark.parametrize(
    ("value", "why"),
    [
        ("31/4/2026", "April 2026 has 30 days"),
        ("29/2/2026", "February 2026 has 28 days"),
        ("2026-13-01", "there is no month 13"),
        ("0000-01-01", "not in the calendar"),
        ("4", "not a date with day, month and year"),
        (4, "not a date with day, month and year"),
        ("May", "not a date"),
        ("May 2026", "not a date"),
        ("2026", "not a date"),
        ("10:30", "not a date"),
        (True, "not a date"),
        (time(10, 30), "not a date"),
        (timedelta(days=3), "not a date"),
        ("13/13/2026", "not a date"),
        ("today", "not a date"),
        ("3/4/2026 25:00", "not a date"),
        ("29/2/2027", "February 2027 has 28 days"),
        ("21/11/2026", "Sat 21 Nov 2026 lies in the future"),
        ("12/3/1926", "Fri 12 Mar 1926 lies before 1990"),
        ("31/12/89", "Sun 31 Dec 1989 lies before 1990"),
    ],
)
def test_what_is_no_day_is_refused_with_the_reason(value: Value, why: str) -> None:
    with pytest.raises(Refused, match=why):
        read_date(value, ALL_BUT_MDY, RULES)


@pytest.mark.parametrize(
    ("value", "styles", "why"),
    [
        ("3/4/2026", [], "Say its date_style"),
        ("2026-04-03", [DMY], r"not written as the column's other dates are \(d/m/y\)"),
        ("3/13/2026", [DMY], "not written as the column's other dates"),
        (46115, [DMY], 'add "serial" to the column\'s date_style'),
        ("46115", [], 'add "serial"'),
    ],
)
def test_a_style_that_was_not_chosen_is_not_read(value: Value, styles: list[DateStyle], why: str) -> None:
    with pytest.raises(Refused, match=why):
        read_date(value, styles, RULES)


def test_today_is_not_the_future_and_old_dates_stand_where_they_are_allowed() -> None:
    assert read_date("20/11/2026", [DMY], RULES)[0] == TODAY
    assert read_date("1/1/1990", [DMY], RULES)[0] == date(1990, 1, 1)
    assert read_date("12/3/1926", [DMY], DateRules(TODAY, allow_old=True))[0] == date(1926, 3, 12)


@pytest.mark.parametrize(
    ("value", "at"),
    [
        ("3/4/2026 14:05", time(14, 5)),
        ("3/4/2026 2:05 pm", time(14, 5)),
        ("3/4/2026 12:05 a.m.", time(0, 5)),
        ("3/4/2026, 14:05:59", time(14, 5)),
        ("3/4/2026 00:00", None),
        (datetime(2026, 4, 3, 14, 5, 30), time(14, 5)),  # noqa: DTZ001 - as spreadsheets have it
    ],
)
def test_the_time_of_day_is_kept_where_there_is_one(value: Value, at: time | None) -> None:
    assert read_date(value, [DMY], RULES) == (THIRD_OF_APRIL, at)


def test_serial_numbers_count_from_the_epoch_of_the_file() -> None:
    assert read_date(44653, [SERIAL], DateRules(TODAY, EPOCH_1904))[0] == THIRD_OF_APRIL


@pytest.mark.parametrize(
    ("values", "styles"),
    [
        ([], ()),
        ([datetime(2026, 4, 3), datetime(2026, 4, 4)], ()),  # noqa: DTZ001 - as spreadsheets have it
        (["3/4/2026", "25/4/2026"], (DMY,)),
        (["4/3/2026", "4/25/2026"], (MDY,)),
        (["31/4/2026"], (DMY,)),
        (["2026-04-03"], (YMD,)),
        (["03-Apr-26", "2026-04-03"], (NAMED, YMD)),
        (["25/4/2026", "2026-04-03", "4", "May", "soon"], (DMY, YMD)),
        (["45/4/2026", "25/4/2026"], (DMY,)),
        ([*[date(2026, 4, 3)] * 9, *["31/4/2026"] * 9], (DMY,)),
        (["3/4/2026", datetime(2026, 4, 3), "25/4/2026"], (DMY,)),  # noqa: DTZ001 - as spreadsheets have it
    ],
)
def test_a_style_is_taken_where_every_date_fits_it_alone(values: list[Value], styles: tuple[DateStyle, ...]) -> None:
    found = detect(values)
    assert not found.question
    assert set(found.styles) == set(styles)


@pytest.mark.parametrize(
    ("values", "asked"),
    [
        (["3/4/2026", "5/6/2026"], "such as 3/4/2026, fit both day/month and month/day"),
        (["25/4/2026", "4/25/2026"], "fit neither day/month nor month/day throughout"),
        ([46115, 46116, "3 Apr 2026"], "bare numbers"),
        (
            [*[datetime(2026, month, 4) for month in (1, 2, 3)], "25/4/2026", "26/4/2026", "27/4/2026"],  # noqa: DTZ001
            "as when a program swaps day and month",
        ),
    ],
)
def test_what_can_be_read_two_ways_is_asked_about(values: list[Value], asked: str) -> None:
    found = detect(values)
    assert found.styles == ()
    assert asked in found.question
    assert "date_style" in found.question


@pytest.mark.parametrize(
    ("value", "does"), [("3/4/26", True), ("Apr 2026", False), ("46115", True), (5, False), (date(2026, 1, 1), True)]
)
def test_the_shape_of_a_date_is_told_without_its_style(value: Value, does: object) -> None:
    assert looks_like_date(value) is does


@given(st.dates(date(1990, 1, 1), TODAY))
def test_every_day_written_in_a_style_comes_back(day: date) -> None:
    month = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")[day.month - 1]
    written = {
        DMY: f"{day.day}/{day.month}/{day.year}",
        MDY: f"{day.month:02d}/{day.day:02d}/{day.year}",
        YMD: day.isoformat(),
        NAMED: f"{day.day:02d}-{month}-{day.year % 100:02d}",
        NAME_FIRST: f"{month} {day.day}, {day.year}",
        SERIAL: str((day - date(1899, 12, 30)).days),
    }
    for style, text in written.items():
        assert read_date(text, [style], RULES)[0] == day


@given(st.one_of(st.text(max_size=20), st.integers(), st.floats(), st.booleans(), st.times(), st.none()))
def test_any_value_is_a_day_or_refused(value: Value) -> None:
    try:
        day, _ = read_date(value, ALL_BUT_MDY, RULES)
    except Refused:
        return
    assert date(1990, 1, 1) <= day <= TODAY


@given(st.lists(st.from_regex(r"\A\d{1,2}/\d{1,2}/20\d\d\Z"), max_size=8))
def test_a_style_is_never_taken_where_the_other_order_fits_as_well(texts: list[str]) -> None:
    found = detect(texts)
    if DMY in found.styles:
        assert any(int(text.split("/")[0]) > 12 for text in texts)
    if MDY in found.styles:
        assert any(int(text.split("/")[1]) > 12 for text in texts)

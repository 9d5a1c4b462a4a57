"""Intervals: how they are written, compared and said, and how they are added to a date."""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from register.domain.intervals import Interval, Occasion, add_interval, every_words, occasion_words
from register.errors import Refused

days = st.dates(date(2020, 1, 1), date(2032, 12, 31))
intervals = st.builds(
    lambda months, days: Interval.of(months=months, days=days),
    st.integers(min_value=0, max_value=120),
    st.integers(min_value=0, max_value=400),
)


@pytest.mark.parametrize(
    ("text", "months", "days", "written", "words"),
    [
        ("P1M", 1, 0, "P1M", "1 month"),
        ("P6M", 6, 0, "P6M", "6 months"),
        ("P12M", 12, 0, "P12M", "12 months"),
        ("P1Y", 12, 0, "P12M", "12 months"),
        ("P18M", 18, 0, "P18M", "18 months"),
        ("P1Y6M", 18, 0, "P18M", "18 months"),
        ("P24M", 24, 0, "P2Y", "2 years"),
        ("P5Y", 60, 0, "P5Y", "5 years"),
        ("P50Y", 600, 0, "P50Y", "50 years"),
        ("P2W", 0, 14, "P2W", "2 weeks"),
        ("P14D", 0, 14, "P2W", "2 weeks"),
        ("P1W", 0, 7, "P1W", "1 week"),
        ("P52W", 0, 364, "P52W", "52 weeks"),
        ("P1D", 0, 1, "P1D", "1 day"),
        ("P365D", 0, 365, "P365D", "365 days"),
        ("P1M1W", 1, 7, "P1M7D", "1 month and 1 week"),
        ("P2Y10D", 24, 10, "P24M10D", "2 years and 10 days"),
        (" P3M\n", 3, 0, "P3M", "3 months"),
    ],
)
def test_an_interval_is_read_written_and_said(text: str, months: int, days: int, written: str, words: str) -> None:
    interval = Interval.parse(text)
    assert (interval.months, interval.days) == (months, days)
    assert str(interval) == written
    assert interval.words == words


@pytest.mark.parametrize(
    "text",
    [
        "", "P", "6M", "P6", "p6m", "P0M", "P0Y0D", "-P6M", "P-6M", "P1.5Y", "PT12H", "P1DT12H", "P6M ago", "P6M\nP6M",
        "P51Y", "P50Y1D", "P18263D", "P601M", "P99999Y", "P100000D", "P6M1Y", "half a year", "P٦M",
    ],
)  # fmt: skip
def test_what_is_no_interval_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(Refused) as refused:
        Interval.parse(text)
    assert str(refused.value) == (
        f"“{text}” is not an interval: write an ISO 8601 duration such as P6M or P5Y, up to P50Y."
    )


@given(intervals)
def test_what_is_written_reads_back_as_the_same(interval: Interval) -> None:
    if interval.length:
        assert Interval.parse(str(interval)) == interval


@pytest.mark.parametrize(
    ("shorter", "longer"),
    [
        ("P52W", "P365D"),
        ("P365D", "P12M"),
        ("P12M", "P366D"),
        ("P4W", "P1M"),
        ("P30D", "P1M"),
        ("P1M", "P31D"),
        ("P13W", "P3M"),
        ("P11M", "P1Y"),
        ("P18M", "P2Y"),
    ],
)
def test_intervals_compare_by_length(shorter: str, longer: str) -> None:
    assert Interval.parse(shorter) < Interval.parse(longer)


def test_the_same_time_written_in_two_ways_is_one_interval() -> None:
    assert Interval.parse("P2Y") == Interval.parse("P24M") == Interval.of(months=24)
    assert hash(Interval.parse("P2W")) == hash(Interval.parse("P14D"))


@pytest.mark.parametrize(
    ("shorter", "longer", "words"),
    [
        ("P1M", None, "every month"),
        ("P6M", None, "every 6 months"),
        ("P1W", None, "every week"),
        ("P1M1W", None, "every month and 1 week"),
        ("P6M", "P12M", "every 6 to 12 months"),
        ("P1M", "P3M", "every 1 to 3 months"),
        ("P6M", "P2Y", "every 6 months to 2 years"),
    ],
)
def test_how_often_is_said_as_in_a_sentence(shorter: str, longer: str | None, words: str) -> None:
    assert every_words(Interval.parse(shorter), Interval.parse(longer) if longer else None) == words


def test_every_occasion_is_said_in_words_of_its_own() -> None:
    said = {occasion: occasion_words(occasion) for occasion in Occasion}
    assert len(set(said.values())) == len(Occasion)
    assert said[Occasion.EACH_DAY_OR_USE] == "each day or before each use, whichever is less often"


@given(days, intervals)
def test_a_date_and_an_interval_give_what_the_reference_library_gives(day: date, interval: Interval) -> None:
    assert add_interval(day, interval) == day + relativedelta(months=interval.months, days=interval.days)


@given(days, st.integers(min_value=1, max_value=120))
def test_months_land_on_the_same_day_or_on_the_months_last(day: date, months: int) -> None:
    due = add_interval(day, Interval.of(months=months))
    assert (due.year * 12 + due.month) - (day.year * 12 + day.month) == months
    assert due.day == day.day or (due.day < day.day and (due + timedelta(days=1)).day == 1)


@given(days, intervals)
def test_the_end_is_never_before_the_start(day: date, interval: Interval) -> None:
    assert add_interval(day, interval) >= day


@given(days, days, intervals)
def test_a_later_start_never_ends_earlier(one: date, other: date, interval: Interval) -> None:
    earlier, later = sorted((one, other))
    assert add_interval(earlier, interval) <= add_interval(later, interval)


@given(days, st.integers(min_value=0, max_value=600), st.integers(min_value=0, max_value=600))
def test_more_months_never_end_earlier(day: date, one: int, other: int) -> None:
    fewer, more = sorted((one, other))
    assert add_interval(day, Interval.of(months=fewer)) <= add_interval(day, Interval.of(months=more))


@pytest.mark.parametrize("interval", [Interval.of(months=1), Interval.of(days=1)])
def test_a_date_beyond_the_calendar_is_refused(interval: Interval) -> None:
    with pytest.raises(Refused) as refused:
        add_interval(date.max, interval)
    assert str(refused.value) == f"{interval.words} after 9999-12-31 lies beyond the calendar. Check the date."

"""Ranges of tag numbers: how a number is written, and which ranges share one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.tag_numbers import Numbers, numbers_of
from register.errors import Refused


def test_a_number_is_written_with_its_prefix_and_all_its_digits() -> None:
    numbers = numbers_of("RR-", 6, 100, 199)
    assert numbers.written(123) == "RR-000123"
    assert numbers.words == "RR-000100 to RR-000199"


@pytest.mark.parametrize(
    ("prefix", "digits", "first", "last", "said"),
    [
        ("rr_", 3, 1, 2, "letters that a small code can't hold"),
        (" R", 3, 1, 2, "letters that a small code can't hold"),
        ("R", 0, 1, 2, "1 to 9 digits"),
        ("R" * 60, 6, 1, 2, "at most 64 characters"),
        ("R", 3, 5, 2, "not from 5 to 2"),
        ("R", 3, -1, 2, "not from -1 to 2"),
        ("R", 3, 1, 1000, "1000 does not fit in 3 digits"),
        ("R", 1, 1, 10, "10 does not fit in 1 digit\\."),
    ],
)
def test_what_cannot_be_a_range_is_refused(prefix: str, digits: int, first: int, last: int, said: str) -> None:
    with pytest.raises(Refused, match=said):
        numbers_of(prefix, digits, first, last)


PREFIXES = st.sampled_from(["", "A", "A1", "A12", "1", "12", "B", "A-", "0", "00"])


@st.composite
def ranges(draw: st.DrawFn) -> Numbers:
    digits = draw(st.integers(1, 3))
    first, last = sorted(draw(st.tuples(*[st.integers(0, min(10**digits, 120) - 1)] * 2)))
    return Numbers(draw(PREFIXES), digits, first, last)


@given(ranges(), ranges())
def test_two_ranges_overlap_exactly_where_they_share_a_number(one: Numbers, other: Numbers) -> None:
    mine = {one.written(number) for number in range(one.first, one.last + 1)}
    theirs = {other.written(number) for number in range(other.first, other.last + 1)}
    assert one.overlaps(other) == bool(mine & theirs)


@given(ranges(), PREFIXES, st.integers(0, 1200))
def test_a_number_is_one_of_a_range_exactly_where_it_is_written_so(numbers: Numbers, prefix: str, number: int) -> None:
    tag = f"{prefix}{number}"
    assert numbers.holds(tag) == (tag in {numbers.written(each) for each in range(numbers.first, numbers.last + 1)})


def test_a_number_with_other_figures_is_not_one_of_the_range() -> None:
    assert not Numbers("R", 2, 1, 99).holds("R²3")
    assert not Numbers("R", 2, 1, 99).holds("Rx3")

"""Text and tags as people type, scan and paste them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.text import LONGEST_TAG, clean_tag, clean_text
from register.errors import Refused


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("  Angle   grinder ", "Angle grinder"),
        ("two\r\nlines\tand a tab", "two lines and a tab"),
        ("NUL\x00 and bell\x07", "NUL and bell"),
        ("right\u202eto left\u200b\ufeff", "rightto left"),
        ("full-width ＲＣＤ\u3000３０", "full-width RCD 30"),  # noqa: RUF001 - that is the case
        ("no\xa0break", "no break"),
        ("cafe\u0301", "caf\xe9"),
        ("soft\xadhyphen", "softhyphen"),
        ("half a pair \ud83d", "half a pair"),
        ("½ ✓ °", "1\u20442 ✓ °"),
        ("", ""),
    ],
)
def test_text_is_kept_on_one_line_without_what_cannot_be_seen(text: str, kept: str) -> None:
    assert clean_text(text) == kept


@given(st.text())
def test_cleaning_text_a_second_time_changes_nothing(text: str) -> None:
    once = clean_text(text)
    assert clean_text(once) == once
    assert once == once.strip()


@pytest.mark.parametrize(
    ("text", "tag"), [(" bw-004001 ", "BW-004001"), ("k 12\x1d", "K 12"), ("\uff41\uff11", "A1"), ("straße", "STRASSE")]
)
def test_a_tag_is_kept_in_upper_case(text: str, tag: str) -> None:
    assert clean_tag(text) == tag


@pytest.mark.parametrize("text", ["", "   ", "\x00\u200b"])
def test_a_tag_of_nothing_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="The tag is empty"):
        clean_tag(text)


def test_a_tag_has_at_most_64_characters() -> None:
    assert clean_tag("a" * LONGEST_TAG) == "A" * 64
    with pytest.raises(Refused, match="has 65 characters; a tag's number has at most 64"):
        clean_tag("a" * 65)


@given(st.text(min_size=1, max_size=30))
def test_a_kept_tag_is_found_again_by_itself(text: str) -> None:
    try:
        tag = clean_tag(text)
    except Refused:
        return
    assert clean_tag(tag) == tag
    assert clean_tag(f" {tag.lower()} ").upper() == clean_tag(tag.lower())

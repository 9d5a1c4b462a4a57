"""Days on screen and from the keyboard follow the user's locale; what is shown can be typed."""

from collections.abc import Iterator
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QLocale

from register.errors import Refused
from ui.dates import away, shown, shown_with_weekday, typed

TODAY = date(2026, 11, 24)
LOCALES = ("en_AU", "en_US", "de_DE")


@pytest.fixture(autouse=True)
def _own_locale() -> Iterator[None]:
    before = QLocale()
    yield
    QLocale.setDefault(before)


@pytest.mark.parametrize(
    ("locale", "day", "with_weekday"),
    [
        ("en_AU", "30 Nov 2026", "Mon 30 Nov"),
        ("en_US", "Nov 30, 2026", "Mon Nov 30"),
        ("de_DE", "30. Nov. 2026", "Mo. 30. Nov."),
    ],
)
def test_a_day_is_shown_as_the_locale_writes_it(locale: str, day: str, with_weekday: str) -> None:
    QLocale.setDefault(QLocale(locale))
    assert shown(date(2026, 11, 30)).replace("Nov. ", "Nov. ") == day
    assert shown_with_weekday(date(2026, 11, 30)) == with_weekday
    assert shown(None) == ""


@pytest.mark.parametrize(
    ("locale", "text", "day"),
    [
        ("en_AU", "3/4/2026", date(2026, 4, 3)),
        ("en_AU", "3 Apr 2026", date(2026, 4, 3)),
        ("en_US", "3/4/2026", date(2026, 3, 4)),
        ("en_US", "Apr 3, 2026", date(2026, 4, 3)),
        ("de_DE", "03.04.2026", date(2026, 4, 3)),
        ("de_DE", "2026-04-03", date(2026, 4, 3)),
        ("en_AU", " 2026-04-03 ", date(2026, 4, 3)),
        ("en_AU", "29/2/2024", date(2024, 2, 29)),
    ],
)
def test_a_day_is_read_as_the_locale_writes_it_and_as_files_do(locale: str, text: str, day: date) -> None:
    QLocale.setDefault(QLocale(locale))
    assert typed(text) == day


@pytest.mark.parametrize("locale", LOCALES)
@pytest.mark.parametrize("text", ["", "soon", "29/2/2026", "31/31/2026", "3/4/26", "2026-13-01", "0026-01-01", "3.4."])
def test_what_is_no_day_is_refused_with_an_example_of_one(locale: str, text: str) -> None:
    QLocale.setDefault(QLocale(locale))
    with pytest.raises(Refused) as told:
        typed(text)
    assert f"“{text}” is not a day" in str(told.value)
    assert typed(str(told.value).split("Write it like ")[1].split(" or ")[0]) == date(2026, 4, 3)


@pytest.mark.parametrize("locale", LOCALES)
@given(day=st.dates(min_value=date(1990, 1, 1), max_value=date(2100, 12, 31)))
def test_every_day_that_is_shown_can_be_typed(locale: str, day: date) -> None:
    QLocale.setDefault(QLocale(locale))
    assert typed(shown(day)) == day


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2026, 11, 1), "23 d over"),
        (date(2026, 11, 24), "today"),
        (date(2026, 11, 25), "tomorrow"),
        (date(2026, 11, 30), "in 6 days"),
        (date(2027, 2, 16), "in 12 weeks"),
    ],
)
def test_how_far_a_day_is_away_is_said_in_words(day: date, words: str) -> None:
    assert away(day, TODAY) == words

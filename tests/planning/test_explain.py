"""The sentences about a plan."""

from datetime import date

from register.planning.explain import early_words


def test_a_duty_done_early_says_by_how_much_and_what_that_gives_away() -> None:
    due, day = date(2026, 11, 30), date(2026, 11, 29)
    assert early_words(due, day, 0.0, None, None) == (
        "Due 30 Nov 2026. 1 day early gives away next to nothing of its interval."
    )
    assert early_words(due, date(2026, 11, 23), 1.5, None, None) == (
        "Due 30 Nov 2026. 7 days early gives away 1.5 min of its interval."
    )

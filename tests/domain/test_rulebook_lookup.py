"""Which lines hold for an item, and how they read."""

import pytest

from register.domain.rulebook import Rulebook
from register.domain.rulebook_lookup import condition_words, interval_lines, interval_words
from register.domain.words import Duty, Kind
from register.errors import Refused
from tests.domain.rulebook_text import SMALL, changed, read


@pytest.fixture
def book() -> Rulebook:
    return read(SMALL)


def test_only_editions_in_force_count(book: Rulebook) -> None:
    lines = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="shed")
    assert [line.source.edition.id for line in lines] == ["rule-2020"]


def test_an_old_edition_is_read_on_request_and_then_alone(book: Rulebook) -> None:
    lines = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="shed", edition="rule-2001")
    assert [interval_words(line) for line in lines] == ["every 12 months"]


def test_a_kind_that_no_line_names_has_no_duties(book: Rulebook) -> None:
    assert interval_lines(book, kind=Kind.ISOLATING_TRANSFORMER, environment="shed") == ()


def test_an_item_with_a_switch_built_in_has_the_duties_of_the_switch_too(book: Rulebook) -> None:
    without = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="shed")
    within = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="shed", has_switch=True)
    assert [line.duty for line in without] == [Duty.INSPECTION_AND_TEST]
    assert [line.duty for line in within] == [Duty.INSPECTION_AND_TEST, Duty.BUTTON_PRESS]


def test_a_safety_switch_has_its_own_duties_without_being_told(book: Rulebook) -> None:
    lines = interval_lines(book, kind=Kind.PORTABLE_SAFETY_SWITCH, environment="let")
    assert [line.duty for line in lines] == [Duty.BUTTON_PRESS]


def test_a_line_for_the_place_replaces_the_general_one_of_its_duty(book: Rulebook) -> None:
    lines = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="let", place="shed", has_switch=True)
    assert [(line.duty, interval_words(line)) for line in lines] == [
        (Duty.INSPECTION_AND_TEST, "every month"),
        (Duty.BUTTON_PRESS, "each day, before first use"),
    ]


def test_a_line_for_the_place_that_may_not_hold_leaves_the_general_one_behind_it() -> None:
    book = read(changed('place = ["shed"]', 'place = ["shed"]\nonly_if = ["risk-factor"]'))
    lines = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="let", place="shed")
    assert [interval_words(line) for line in lines] == ["every month", "every 3 months"]


def test_a_line_for_a_place_says_nothing_elsewhere(book: Rulebook) -> None:
    for place in (None, "", "let"):
        lines = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="let", place=place)
        assert [interval_words(line) for line in lines] == ["every 3 months"]


def test_a_range_reads_with_both_ends_and_its_first_occasion(book: Rulebook) -> None:
    (line,) = interval_lines(book, kind=Kind.CORD_SET, environment="shed")
    assert interval_words(line) == "every 6 to 12 months, and before first use at the site"


def test_conditions_read_as_a_clause_and_are_empty_where_there_are_none(book: Rulebook) -> None:
    (line,) = interval_lines(book, kind=Kind.CORD_SET, environment="shed")
    assert condition_words(line) == ("only if it is moved in normal use, unless it is connected to a safety switch")
    (plain,) = interval_lines(book, kind=Kind.APPLIANCE_CLASS_2, environment="let")
    assert condition_words(plain) == ""


@pytest.mark.parametrize(
    ("question", "sentence"),
    [
        ({"environment": "barn"}, "“barn” is not an environment class of the rulebook small. It has: shed, let."),
        (
            {"environment": "let", "place": "barn"},
            "“barn” is not an environment class of the rulebook small. It has: shed, let.",
        ),
        (
            {"environment": "shed", "edition": "rule-1990"},
            "“rule-1990” is not an edition in the rulebook small. It has: rule-2020, rule-2001.",
        ),
    ],
)
def test_a_class_or_edition_that_is_not_there_is_refused(
    book: Rulebook, question: dict[str, str], sentence: str
) -> None:
    with pytest.raises(Refused) as refused:
        interval_lines(book, kind=Kind.CORD_SET, **question)
    assert str(refused.value) == sentence

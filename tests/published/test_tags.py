"""What stands on a tag, and its colour, against what was published of the standards and the law.

AS/NZS 3760 and AS/NZS 3012 were not read: their figures are restated second-hand. Regulation 150 of the Model WHS
Regulations was read in an excerpt.
"""

from datetime import date

import pytest

from register.domain.rulebook import Confidence
from register.domain.tag_face import TagFacts, face_of
from register.domain.tag_words import TagField, TagKind
from register.services.rulebooks import rulebook

BOOKS = ("au-in-service", "au-qld")


def fields(book: str, kind: TagKind, source: str) -> set[TagField]:
    """Return what must stand on a sort of tag by the lines of one source."""
    lines = [line for line in rulebook(book).tags if kind in line.tags and not line.optional]
    return {field for line in lines if line.source.text.startswith(source) for field in line.shows}


@pytest.mark.parametrize("book", BOOKS)
def test_a_record_states_who_tested_when_with_what_outcome_and_when_the_next_is_due(book: str) -> None:
    """Model WHS Regulations r 150(4), read in an excerpt: four fields, and the tag may be the record."""
    four = {TagField.TESTER, TagField.TESTED, TagField.OUTCOME, TagField.RETEST}
    assert fields(book, TagKind.PASS, "Model WHS Regulations, r 150(4)") == four
    (line,) = [line for line in rulebook(book).tags if "r 150(4)" in line.source.text]
    assert line.source.confidence is Confidence.READ


@pytest.mark.parametrize("book", BOOKS)
def test_a_tag_names_person_or_firm_test_date_retest_date_and_standard(book: str) -> None:
    """AS/NZS 3760:2010 clause 2.4.2.1, restated second-hand; the tag number and a licence are optional there."""
    asked = {TagField.TESTER, TagField.FIRM, TagField.TESTED, TagField.RETEST, TagField.STANDARD}
    assert fields(book, TagKind.PASS, "AS/NZS 3760:2010 clause 2.4.2.1") == asked
    optional = {field for line in rulebook(book).tags if line.optional for field in line.shows}
    assert {TagField.NUMBER, TagField.LICENCE} <= optional


@pytest.mark.parametrize("book", BOOKS)
def test_a_failed_item_is_labelled_with_a_warning_and_that_it_needs_action(book: str) -> None:
    """AS/NZS 3760:2010 clause 2.4.1, restated second-hand: action is needed, a warning against use."""
    assert {TagField.WARNING, TagField.ACTION} <= fields(book, TagKind.OUT_OF_SERVICE, "AS/NZS 3760:2010 clause 2.4.1")


@pytest.mark.parametrize("book", BOOKS)
def test_a_new_item_is_tagged_with_its_first_day_its_next_date_and_that_it_was_not_tested(book: str) -> None:
    """AS/NZS 3760:2022 clause 2.5.2.1, restated second-hand: the words “new to service” stand there too."""
    asked = {TagField.OUTCOME, TagField.IN_SERVICE, TagField.RETEST, TagField.UNTESTED}
    assert fields(book, TagKind.NEW_TO_SERVICE, "AS/NZS 3760:2022 clause 2.5.2.1") == asked
    facts = {TagField.IN_SERVICE: date(2026, 11, 24), TagField.RETEST: date(2027, 5, 24)}
    face = face_of(TagFacts(TagKind.NEW_TO_SERVICE, "1", "workshop", facts), rulebook(book))
    assert face.value(TagField.OUTCOME) == "New to service"
    assert face.value(TagField.UNTESTED) == "Not tested to AS/NZS 3760"


def test_a_pass_in_queensland_is_tagged_at_once_with_both_dates() -> None:
    """Electrical Safety Regulation 2013 (Queensland), restated second-hand: one page says both, another the next."""
    asked = fields("au-qld", TagKind.PASS, "Electrical Safety Regulation 2013 (Queensland)")
    assert asked == {TagField.TESTED, TagField.RETEST}


@pytest.mark.parametrize("book", BOOKS)
@pytest.mark.parametrize(
    ("tested", "colour"),
    [
        # AS/NZS 3012:2010, colours by quarter, restated second-hand by many; whether they are compulsory is disputed
        (date(2026, 12, 1), "red"),
        (date(2027, 2, 28), "red"),
        (date(2028, 2, 29), "red"),
        (date(2026, 3, 1), "green"),
        (date(2026, 5, 31), "green"),
        (date(2026, 6, 1), "blue"),
        (date(2026, 8, 31), "blue"),
        (date(2026, 9, 1), "yellow"),
        (date(2026, 11, 30), "yellow"),
    ],
)
def test_the_colour_on_a_construction_site_is_that_of_the_quarter_of_the_test(
    book: str, tested: date, colour: str
) -> None:
    facts = {TagField.TESTED: tested, TagField.RETEST: date(2030, 1, 1), TagField.TESTER: "Asha Pell"}
    found = face_of(TagFacts(TagKind.PASS, "1", "construction", facts), rulebook(book)).colour
    assert found is not None
    assert found.colour.value == colour
    assert {line.source.confidence for line in rulebook(book).tag_colours} == {Confidence.DISPUTED}

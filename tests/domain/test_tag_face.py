"""What stands on a tag: all that the rulebook asks for, with its sources, or a refusal that names what is lacking."""

from dataclasses import replace
from datetime import date

import pytest

from register.domain.rulebook import Rulebook
from register.domain.tag_face import TagFacts, face_of
from register.domain.tag_words import TagColour, TagField, TagKind
from register.errors import Refused
from register.services.rulebooks import rulebook
from tests.domain.rulebook_text import SMALL, read

TESTED, RETEST = date(2026, 11, 24), date(2027, 2, 24)
PASS = TagFacts(
    TagKind.PASS, "RR-000123", "construction",
    {
        TagField.TESTED: TESTED, TagField.RETEST: RETEST, TagField.TESTER: "Asha Pell", TagField.FIRM: "Bay firm",
        TagField.LICENCE: "L 1",
    },
)  # fmt: skip


@pytest.fixture
def rules() -> Rulebook:
    return rulebook("au-in-service")


def without(facts: TagFacts, *fields: TagField) -> TagFacts:
    return replace(facts, values={field: value for field, value in facts.values.items() if field not in fields})


def test_a_pass_tag_says_who_tested_when_with_what_outcome_and_until_when(rules: Rulebook) -> None:
    face = face_of(PASS, rules)
    assert face.title == "Pass"
    assert {line.field: line.value for line in face.lines} == {
        TagField.NUMBER: "RR-000123", TagField.OUTCOME: "Pass", TagField.RETEST: RETEST, TagField.TESTED: TESTED,
        TagField.TESTER: "Asha Pell", TagField.LICENCE: "L 1", TagField.FIRM: "Bay firm",
        TagField.STANDARD: "AS/NZS 3760",
    }  # fmt: skip
    (retest,) = [line for line in face.lines if line.field is TagField.RETEST]
    assert retest.sources == (
        "AS/NZS 3760:2010 clause 2.4.2.1, restated second-hand",
        "Model WHS Regulations, r 150(4)",
    )
    assert face.value(TagField.RETEST) == RETEST
    assert face.value(TagField.REASON) is None


def test_a_licence_is_left_out_where_there_is_none(rules: Rulebook) -> None:
    assert face_of(without(PASS, TagField.LICENCE), rules).value(TagField.LICENCE) is None


def test_the_name_of_a_person_or_of_a_company_is_enough_but_one_must_be_there(rules: Rulebook) -> None:
    assert face_of(without(PASS, TagField.FIRM), rules).value(TagField.FIRM) is None
    with pytest.raises(Refused, match=r"The tag “Pass” of RR-000123 must say more .*: by, firm\. Record that first"):
        face_of(without(PASS, TagField.FIRM, TagField.TESTER), rules)


def test_a_date_that_must_stand_there_is_never_left_out(rules: Rulebook) -> None:
    with pytest.raises(Refused, match=r"next test by\."):
        face_of(without(PASS, TagField.RETEST), rules)


@pytest.mark.parametrize(
    ("month", "colour"),
    [(1, "red"), (2, "red"), (3, "green"), (5, "green"), (6, "blue"), (8, "blue"), (9, "yellow"), (11, "yellow"),
     (12, "red")],
)  # fmt: skip
def test_the_colour_is_that_of_the_quarter_of_the_test(rules: Rulebook, month: int, colour: str) -> None:
    tested = replace(PASS, values={**PASS.values, TagField.TESTED: date(2026, month, 15)})
    found = face_of(tested, rules).colour
    assert found is not None
    assert found.colour is TagColour(colour)
    assert "AS/NZS 3012:2010" in found.source


def test_colours_are_for_construction_alone_for_pass_tags_alone_and_can_be_turned_off(rules: Rulebook) -> None:
    assert face_of(replace(PASS, environment="workshop"), rules).colour is None
    assert face_of(PASS, rules, colours=False).colour is None
    out = TagFacts(TagKind.OUT_OF_SERVICE, "RR-1", "construction", {TagField.TESTED: TESTED})
    assert face_of(out, rules).colour is None


def test_an_out_of_service_tag_warns_and_says_what_is_needed(rules: Rulebook) -> None:
    values = {TagField.WITHDRAWN: TESTED, TagField.REASON: "512 ms, at most 300 ms", TagField.OUT_NUMBER: "OUT-7"}
    face = face_of(TagFacts(TagKind.OUT_OF_SERVICE, "RR-1", "workshop", values), rules)
    assert face.title == "Out of service"
    assert face.value(TagField.WARNING) == "Do not use"
    assert "repair or disposal" in str(face.value(TagField.ACTION))
    assert face.value(TagField.REASON) == "512 ms, at most 300 ms"
    assert face.value(TagField.RETEST) is None


def test_a_new_to_service_tag_says_that_it_was_not_tested(rules: Rulebook) -> None:
    values = {TagField.IN_SERVICE: TESTED, TagField.RETEST: RETEST}
    face = face_of(TagFacts(TagKind.NEW_TO_SERVICE, "RR-1", "workshop", values), rules)
    assert face.title == "New to service"
    assert face.value(TagField.UNTESTED) == "Not tested to AS/NZS 3760"
    assert face.value(TagField.IN_SERVICE) == TESTED


def test_queensland_adds_its_own_source() -> None:
    face = face_of(PASS, rulebook("au-qld"))
    (retest,) = [line for line in face.lines if line.field is TagField.RETEST]
    assert any("Queensland" in source for source in retest.sources)
    assert face.colour is not None


def test_a_rulebook_that_says_nothing_of_tags_gives_none() -> None:
    with pytest.raises(Refused, match=r"Small rules does not say what stands on a tag “Pass”"):
        face_of(PASS, read(SMALL))

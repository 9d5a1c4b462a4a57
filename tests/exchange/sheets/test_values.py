"""Words in cells: exact ones are taken, similar ones only suggested, unknown ones never."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.words import Kind
from register.exchange.sheets import value_words
from register.exchange.sheets.fields import Field
from register.exchange.sheets.values import KindText, key_of, read_kind, tables
from tests.exchange.sheets.made_files import ENVIRONMENTS

TABLES = tables(ENVIRONMENTS, {})
KINDS = TABLES[Field.KIND]


@pytest.mark.parametrize(
    ("field", "text", "word"),
    [
        (Field.ENVIRONMENT, "Flexed or hostile", "flexed-or-hostile"),
        (Field.ENVIRONMENT, "HOSTILE", "flexed-or-hostile"),
        (Field.ENVIRONMENT, "office", None),
        (Field.AREA_ENVIRONMENT, "Building site", "construction"),
        (Field.RESULT, "PASS", "pass"),
        (Field.RESULT, "✓", "pass"),
        (Field.RESULT, "P", "pass"),
        (Field.RESULT, "✗", "fail"),
        (Field.RESULT, "not OK", "fail"),
        (Field.RESULT, "x", None),
        (Field.RESULT, "passs", None),
        (Field.LOOK, "good", "pass"),
        (Field.LOOK, "Damaged", "fail"),
        (Field.STANDING, "OOS", "out-of-service"),
        (Field.STANDING, "scrapped", "removed"),
        (Field.STANDING, "Spare", "stored"),
        (Field.STANDING, "missing", "not-found"),
        (Field.SWITCH_TYPE, "Type II", "II"),
        (Field.SWITCH_TYPE, "IEC", "iec"),
        (Field.SWITCH_TYPE, "A", None),
        (Field.WAVEFORM, "type ac", "AC"),
        (Field.DELAY, "S", "selective"),
        (Field.WORK_DONE, "T&T", "inspection-and-test"),
        (Field.WORK_DONE, "RCD time", "operating-time"),
        (Field.WORK_DONE, "Push-button test", "button-press"),
        (Field.SET_UP, "tester feeds device", "tester-feeds-device"),
        (Field.RISK_FACTOR, "Y", "yes"),
        (Field.RISK_FACTOR, "0", "no"),
    ],
)
def test_a_word_is_matched_exactly_or_not_at_all(field: Field, text: str, word: str | None) -> None:
    assert TABLES[field].match(text) == word


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Extension lead", KindText(Kind.EXTENSION_LEAD)),
        ("Ext lead 10m", KindText(Kind.EXTENSION_LEAD)),
        ("ext. cord 7.5 m", KindText(Kind.EXTENSION_LEAD)),
        ("PRCD", KindText(Kind.PORTABLE_SAFETY_SWITCH)),
        ("PRCD 2 way", KindText(Kind.PORTABLE_SAFETY_SWITCH, 2)),
        ("4-way board", KindText(Kind.PORTABLE_OUTLET_DEVICE, 4)),
        ("4 way board + RCD", KindText(Kind.PORTABLE_OUTLET_DEVICE, 4, with_switch=True)),
        ("Power board with safety switch", KindText(Kind.PORTABLE_OUTLET_DEVICE, with_switch=True)),
        ("Class II", KindText(Kind.APPLIANCE_CLASS_2)),
        ("D/I", KindText(Kind.APPLIANCE_CLASS_2)),
        ("App Cl I", KindText(Kind.APPLIANCE_CLASS_1)),
        ("IEC lead", KindText(Kind.CORD_SET)),
        ("RCD", None),
        ("Lead", None),
        ("misc", None),
        ("Appliance", None),
        ("", None),
    ],
)
def test_a_kind_is_read_with_its_outlets_and_a_built_in_switch(text: str, found: KindText | None) -> None:
    assert read_kind(text, KINDS) == found


def test_what_is_similar_is_suggested_with_its_likeness() -> None:
    near = KINDS.nearest("Extention lead")
    assert near is not None
    assert near[0] == Kind.EXTENSION_LEAD
    assert 0.9 < near[1] < 1
    assert KINDS.nearest("qqqq") is None
    assert tables(frozenset(), {})[Field.ENVIRONMENT].nearest("x") is None


def test_a_mappings_own_words_go_before_all_others() -> None:
    own = tables(ENVIRONMENTS, {"kind": {"Lead": "cord-set", "PRCD": "fixed-safety-switch"}, "yes-no": {"ja": "yes"}})
    assert own[Field.KIND].match("lead") == "cord-set"
    assert own[Field.KIND].match("prcd") == "fixed-safety-switch"
    assert own[Field.RISK_FACTOR].match("JA") == "yes"


def test_other_words_for_a_class_are_taken_only_where_the_rulebook_has_it() -> None:
    queensland = tables(frozenset({"office", "rural", "construction"}), {})[Field.ENVIRONMENT]
    assert queensland.match("Office") == "office"
    assert queensland.match("building site") == "construction"
    assert queensland.match("hostile") is None


@pytest.mark.parametrize("field", TABLES)
def test_no_word_has_two_meanings_in_one_table(field: Field) -> None:
    table = TABLES[field]
    words = {
        Field.KIND: value_words.KINDS, Field.RESULT: value_words.RESULTS, Field.LOOK: value_words.LOOKS,
        Field.STANDING: value_words.STANDINGS, Field.WORK_DONE: value_words.WORK, Field.WAVEFORM: value_words.WAVEFORMS,
    }.get(field, {})  # fmt: skip
    for word, others in words.items():
        assert {table.match(other) for other in (word, *others)} == {word}
    assert all(table.match(choice) == choice for choice in table.choices)


@given(st.sampled_from(list(TABLES)), st.text(max_size=30))
def test_any_text_is_a_known_word_or_none(field: Field, text: str) -> None:
    table = TABLES[field]
    found = table.match(text)
    assert found is None or found in table.choices
    assert (found is None) == (key_of(text) not in table.meaning)

"""What a rulebook file says is what the rulebook holds."""

from decimal import Decimal

import pytest

from register.domain.intervals import Interval, Occasion
from register.domain.items import Item
from register.domain.rulebook import Confidence, Fact, Other, Strength
from register.domain.rulebook_reader import extended_id, read_rulebook
from register.domain.words import Check, Condition, Delay, Duty, Kind, SwitchType, TestCurrent, Unit, Waveform
from register.errors import Problem
from tests.domain.rulebook_text import SMALL, changed, read

TOOLS = frozenset({Kind.APPLIANCE_CLASS_1, Kind.APPLIANCE_CLASS_2})


def test_the_head_of_a_file_says_what_the_rulebook_is() -> None:
    book = read(SMALL)
    assert (book.id, book.title, book.version, book.about) == ("small", "Small rules", "1", "Made up for the tests.")
    assert book.cautions == ("A trip test cuts the supply.",)
    assert list(book.environments) == ["shed", "let"]
    assert [each.of_equipment for each in book.environments.values()] == [False, True]
    assert book.kind_groups == {"tools": TOOLS}


def test_text_over_several_lines_is_read_as_one_line() -> None:
    book = read(changed('about = "Made up for the tests."', 'about = """\nMade up\n  for the tests."""'))
    assert book.about == "Made up for the tests."


def test_an_edition_is_in_force_unless_the_file_says_it_is_not() -> None:
    assert {id_: each.in_force for id_, each in read(SMALL).editions.items()} == {
        "rule-2020": True,
        "rule-2001": False,
    }


def test_an_interval_line_holds_all_that_the_file_says() -> None:
    line = read(SMALL).intervals[0]
    assert (line.key, line.rulebook, line.duty) == ("interval.1", "small", Duty.INSPECTION_AND_TEST)
    assert line.kinds == TOOLS | {Kind.CORD_SET}
    assert line.environments == {"shed"}
    assert (line.every, line.up_to) == (Interval.of(months=6), Interval.of(months=12))
    assert (line.on, line.first) == (None, Occasion.BEFORE_FIRST_USE)
    assert line.strength is Strength.MAXIMUM
    assert (line.only_if, line.unless) == ((Fact.MOVED_IN_USE,), (Fact.PROTECTED_BY_SWITCH,))
    assert line.others == (Other("3 months", "a trade page"),)
    assert (line.source.text, line.source.edition.id) == ("Rule 1:2020 Table 1", "rule-2020")
    assert line.source.confidence is Confidence.RESTATED


def test_an_interval_line_is_guidance_for_any_item_anywhere_unless_it_says_otherwise() -> None:
    line = read(SMALL).intervals[1]
    assert line.strength is Strength.GUIDE
    assert (line.place, line.only_if, line.unless, line.others, line.note) == (frozenset(), (), (), (), "")
    assert not line.only_with_switch
    assert (line.up_to, line.on, line.first) == (None, None, None)


def test_a_line_can_be_for_a_place_for_an_occasion_and_for_items_with_a_switch() -> None:
    _, _, placed, pressed, _ = read(SMALL).intervals
    assert (placed.place, placed.note) == (frozenset({"shed"}), "Hired into a shed.")
    assert (pressed.on, pressed.every, pressed.only_with_switch) == (Occasion.EACH_DAY, None, True)


def test_a_checklist_asks_for_one_of_two_where_it_says_or() -> None:
    tested, timed = read(SMALL).checklists
    assert tested.per_item == ((Check.LOOK,), (Check.INSULATION_RESISTANCE, Check.LEAKAGE_CURRENT))
    assert tested.per_outlet == ((Check.EARTH_RESISTANCE,),)
    assert tested.switch_multiples == ()
    assert (timed.duty, timed.switch_multiples) == (Duty.OPERATING_TIME, (Decimal(1), Decimal(5)))


def test_the_keys_of_a_limit_say_whether_its_edges_pass() -> None:
    earth, _, delayed, _, window = read(SMALL).limits
    assert (earth.at_least, earth.at_most, earth.at_most_passes) == (None, Decimal(1), True)
    assert (delayed.at_least, delayed.at_least_passes) == (Decimal(130), True)
    assert (window.at_least, window.at_least_passes) == (Decimal("0.35"), False)
    assert (window.at_most, window.at_most_passes) == (Decimal("1.4"), False)


def test_a_limit_holds_what_it_is_made_for() -> None:
    earth, polarity, delayed, hold, window = read(SMALL).limits
    assert [limit.key for limit in (earth, window)] == ["limit.1", "limit.5"]
    assert (earth.check, earth.unit, earth.kinds) == (Check.EARTH_RESISTANCE, Unit.OHM, TOOLS)
    assert (polarity.word, polarity.unit) == ("right", Unit.NONE)
    assert (delayed.types, delayed.delays, delayed.multiple) == (
        frozenset({SwitchType.IV}),
        frozenset({Delay.SELECTIVE}),
        Decimal(1),
    )
    assert (hold.must_hold, hold.at_most, hold.multiple) == (True, None, Decimal("0.5"))
    assert (window.test_current, window.waveforms) == (TestCurrent.HALF_WAVE, frozenset({Waveform.A}))
    assert (window.rated_above, window.rated_up_to, window.of_rated) == (Decimal(10), Decimal(30), True)
    assert window.unit is Unit.MILLIAMPERE


def test_the_scope_says_which_items_are_outside_and_where_that_stands() -> None:
    book = read(SMALL)
    assert book.out_of_scope(Item(Kind.APPLIANCE_CLASS_1, rated_current_a=Decimal(20))) == ""
    assert book.out_of_scope(Item(Kind.APPLIANCE_CLASS_1)) == ""
    assert book.out_of_scope(Item(Kind.APPLIANCE_CLASS_1, rated_current_a=Decimal("20.5"))) == (
        "Rated 20.5 A: Small rules covers items up to 20 A (Rule 1:2020 scope, restated second-hand). Other rules may "
        "apply."
    )
    assert book.out_of_scope(Item(Kind.APPLIANCE_CLASS_2, battery_run=True)) == (
        "Battery-run: Small rules covers its charger, not the tool itself (Rule 1:2020 scope, restated second-hand)."
    )


def test_without_a_scope_everything_is_inside() -> None:
    start, end = SMALL.index("[scope]"), SMALL.index("[edition.rule-2020]")
    book = read(SMALL[:start] + SMALL[end:])
    assert book.out_of_scope(Item(Kind.APPLIANCE_CLASS_1, rated_current_a=Decimal(63), battery_run=True)) == ""


def test_a_condition_has_its_rule_with_source() -> None:
    rule = read(SMALL).conditions[Condition.REPAIRED]
    assert (rule.rule, rule.source.words) == ("Tested before it returns.", "Rule 1:2020 clause 4, from memory")


@pytest.mark.parametrize(
    ("text", "confidence", "words"),
    [
        ("Rule 1:2020 Table 1", "read", "Rule 1:2020 Table 1"),
        ("Rule 1:2020 Table 1", "disputed", "Rule 1:2020 Table 1, sources differ"),
        ("Table 1", "restated", "Rule 1:2020, Table 1, restated second-hand"),
    ],
)
def test_a_source_reads_with_its_edition_and_its_standing(text: str, confidence: str, words: str) -> None:
    old = 'source = "Rule 1:2020 clause 4"\nedition = "rule-2020"\nconfidence = "memory"'
    new = f'source = "{text}"\nedition = "rule-2020"\nconfidence = "{confidence}"'
    assert read(changed(old, new)).conditions[Condition.REPAIRED].source.words == words


def test_broken_toml_is_one_problem_with_its_line() -> None:
    text = changed('title = "Rule 1:2001"', "title = Rule 1:2001")
    rulebook, problems = read_rulebook(text, name="small.toml")
    assert rulebook is None
    assert problems == [
        Problem(
            "small.toml",
            18,
            "The text can't be read as TOML from here: invalid value. Check the quotes, brackets and equals signs on "
            "this line and the one before.",
        )
    ]


def test_a_text_that_breaks_off_is_a_problem_at_its_last_line() -> None:
    rulebook, problems = read_rulebook('id = "small"\ncautions = [', name="small.toml")
    assert rulebook is None
    assert [(problem.where, problem.line) for problem in problems] == [("small.toml", 2)]


def test_a_text_nested_without_end_is_refused() -> None:
    rulebook, problems = read_rulebook("a = " + "[" * 100_000, name="deep.toml")
    assert rulebook is None
    assert problems == [Problem("deep.toml", None, "The file is nested too deeply to be read.")]


@pytest.mark.parametrize(
    ("text", "extends"),
    [(SMALL, None), ('extends = " small "', "small"), ("extends = 3", None), ("extends =", None)],
)
def test_what_a_file_extends_can_be_asked_before_it_is_read(text: str, extends: str | None) -> None:
    assert extended_id(text) == extends

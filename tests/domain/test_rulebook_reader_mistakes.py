"""Every mistake in a rulebook file is a sentence that names table, key and line."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from register.domain.rulebook_reader import read_rulebook
from tests.domain.rulebook_text import SMALL, changed, line_with

HEAD = [
    ('id = "small"', "", "id", "The key “id” is missing. Give the rulebook a short name"),
    ('id = "small"', 'id = "Small Rules"', "id", "“Small Rules” is not a name of small letters, digits and hyphens"),
    ('title = "Small rules"', "", "title", "Write what the rulebook is called"),
    ('version = "1"', "version = 1", "version", 'Write “1” in quotes: version = "…".'),
    ('version = "1"', 'version = " "', "version", "The key “version” is empty. Write a version in quotes"),
    ('about = "Made', 'abuot = "Made', "abuot", "“abuot” is not a key of this table. Did you mean “about”?"),
    ('cautions = ["A', 'cautions = [1, "A', "cautions", "Write a list of words in quotes"),
    ('cautions = ["A trip test cuts the supply."]', "cautions = []", "cautions", "The list “cautions” is empty."),
    ('cautions = ["A', 'like = "x"\ncautions = ["A', "like", "“like” is not a key of this table."),
    ('id = "small"', 'extends = "big"\nid = "small"', "extends", "“big” is not a rulebook that is there to extend."),
]
TABLES = [
    ("= 20\n", "= 20.5\n", "[scope], max_rated_current_a", 'in quotes, as max_rated_current_a = "20.5", so that it'),
    ("= 20\n", '= "20 A"\n', "[scope], max_rated_current_a", "“20 A” is not a number of the kind meant here"),
    ("= 20\n", "= true\n", "[scope], max_rated_current_a", "“True” is not a number of the kind meant here"),
    ("battery_run = false", 'battery_run = "no"', "[scope], battery_run", "Write battery_run = true or battery_run ="),
    ('source = "Rule 1:2020 scope"', "", "[scope], source", "The key “source” is missing. Every rule says where"),
    ("[edition.rule-2020]\ntitle", "[edition.rule-2020]\nname", "[edition.rule-2020], title", "The key “title” is"),
    ("in_force = false", "in_force = 0", "[edition.rule-2001], in_force", "Write in_force = true or in_force = false"),
    ("[scope]", '[edition]\nrule-1990 = "old"\n\n[scope]', "[edition], rule-1990", "under a line [edition.NAME]."),
    ("[kinds]\ntools =", "[kinds]\ncord-set = ['cord-set']\ntools =", "[kinds], cord-set", "is a kind already."),
    ('"appliance-class-2"]', '"aplliance-class-2"]', "[kinds], tools", "Did you mean “appliance-class-2”?"),
    ("[environment.shed]", "[environment.Shed]", "[environment], Shed", "“Shed” is not a name of small letters"),
    ('title = "Shed"', "", "[environment.shed], title", "Write what the class is called"),
    ('about = "Sheds', 'because = "b"\nabout = "Sheds', "[environment.shed], because", "“because” goes with “like”"),
    ('about = "Sheds', 'like = "b"\nbecause="c"\nabout = "Sheds', "[environment.shed], like", "and it extends none."),
    ('about = "Sheds', 'like = "b"\nabout = "Sheds', "[environment.shed], because", "Write why that class of the"),
    ("[condition.repaired]", "[condition.broken]", "[condition], broken", "It can be: new, repaired, stored."),
    ('rule = "Tested before it returns."', "", "[condition.repaired], rule", "Write what holds for items"),
    ('confidence = "memory"', 'confidence = "sure"', "[condition.repaired], confidence", "“sure” is not known here."),
]
INTERVALS = [
    ('duty = "inspection-and-test"', 'duty = "press"', "[[interval]] 1, duty", "It can be: inspection-and-test,"),
    ('duty = "inspection-and-test"', "", "[[interval]] 1, duty", "The key “duty” is missing. Write what falls due:"),
    ('kinds = ["tools", "cord-set"]', "", "[[interval]] 1, kinds", "Write for which kinds of item"),
    (
        '["tools", "cord-set"]',
        '["tool"]',
        "[[interval]] 1, kinds",
        "“tool” is not a kind of item. Did you mean “tools”?",
    ),
    ('environments = ["shed"]', "", "[[interval]] 1, environments", "Write in which environment classes"),
    (
        'environments = ["shed"]',
        'environments = ["barn"]',
        "[[interval]] 1, environments",
        "“barn” is not an environment",
    ),
    (
        'every = "P6M"',
        'every = "6 months"',
        "[[interval]] 1, every",
        "“6 months” is not an interval: write an ISO 8601",
    ),
    ('every = "P6M"', 'every = "P6"', "[[interval]] 1, every", "“P6” is not an interval"),
    ('every = "P6M"', f'every = "P{"9" * 5000}M"', "[[interval]] 1, every", "is not an interval"),
    ('every = "P6M"', 'every = "P6M"\non = "each-use"', "[[interval]] 1, on", "Give “every” or “on”, not both"),
    ('every = "P3M"\n', "", "[[interval]] 2, every", "The line does not say how often."),
    ('on = "each-day"', 'on = "daily"', "[[interval]] 4, on", "“daily” is not known here."),
    ('on = "each-day"', 'on = "each-day"\nup_to = "P1M"', "[[interval]] 4, up_to", "“up_to” goes with “every”"),
    ('on = "each-day"', 'on = "each-day"\nfirst = "each-use"', "[[interval]] 4, first", "“first” goes with “every”"),
    ('up_to = "P12M"', 'up_to = "P3M"', "[[interval]] 1, up_to", "“up_to” (3 months) must be longer than “every” (6"),
    ('up_to = "P12M"', 'up_to = "P6M"', "[[interval]] 1, up_to", "must be longer"),
    ('first = "before', 'first = "after', "[[interval]] 1, first", "Did you mean “before-first-use”?"),
    ('strength = "maximum"', 'strength = "law"', "[[interval]] 1, strength", "It can be: guide, maximum."),
    ('place = ["shed"]', 'place = ["barn"]', "[[interval]] 3, place", "It can be: let, shed."),
    (
        'only_if = ["moved-in-use"]',
        'only_if = ["moved-in-us"]',
        "[[interval]] 1, only_if",
        "Did you mean “moved-in-use”?",
    ),
    ("only_with_switch = true", "only_with_switch = 1", "[[interval]] 4, only_with_switch", "without quotes."),
    ('source = "Rule 1:2020 Table 1"', "", "[[interval]] 1, source", "write the standard or regulation and its clause"),
    (
        'Table 1"\nedition = "rule-2020"',
        'Table 1"',
        "[[interval]] 1, edition",
        "Name one of the editions of this file: rule-2020,",
    ),
    (
        'Table 1"\nedition = "rule-2020"',
        'Table 1"\nedition = "2020"',
        "[[interval]] 1, edition",
        "is not an edition of",
    ),
    ('others = [{ value = "3 months", ', "others = [{ ", "[[interval]] 1, others 1, value", "Write what the other"),
    ("others = [{ value", "others = [{ page = 3, value", "[[interval]] 1, others 1, page", "“page” is not a key"),
    (
        'others = [{ value = "3 months", source = "a trade page" }]',
        "others = 3",
        "[[interval]] 1, others",
        "as others = [",
    ),
    ('note = "Hired', 'notes = "Hired', "[[interval]] 3, notes", "Did you mean “note”?"),
    (
        'place = ["shed"]\n',
        "",
        "[[interval]] 3, duty",
        "[[interval]] 2 already says this of inspection and test of a Class I appliance in let. Keep one of the two.",
    ),
]
LEADS_LOOKED_AT = """\
[[checklist]]
duty = "inspection-and-test"
kinds = ["extension-lead"]
per_item = ["look"]
source = "Rule 1:2020 clause 3"
edition = "rule-2020"
confidence = "restated"
"""
CHECKLISTS = [
    ('per_item = ["look", "ins', 'per_item = ["lok", "ins', "[[checklist]] 1, per_item", "“lok” is not a check that"),
    (
        "or leakage-current",
        "or trip-time",
        "[[checklist]] 1, per_item",
        "“trip-time” is not a check that this list can",
    ),
    ("[1, ", "[1.5, ", "[[checklist]] 2, trip_time_at", "Write “1.5” in quotes"),
    ("[1, ", "[3, ", "[[checklist]] 2, trip_time_at", "Trip times are measured at 0.5, 1, 2, 5 times the rated"),
    ('[1, "5"]', "1", "[[checklist]] 2, trip_time_at", "Write a list of numbers"),
    ('trip_time_at = [1, "5"]', "", "[[checklist]] 2, per_item", "The list asks for no check."),
    ('duty = "operating-time"', 'duty = "timing"', "[[checklist]] 2, duty", "“timing” is not known here."),
    (
        'duty = "operating-time"\nkinds = ["portable-safety-switch"]',
        'duty = "inspection-and-test"\nkinds = ["appliance-class-2"]',
        "[[checklist]] 2, duty",
        "[[checklist]] 1 already says this of inspection and test of a Class II appliance.",
    ),
    (
        '[[checklist]]\nduty = "operating-time"\nkinds = ["portable-safety-switch"]',
        f'{LEADS_LOOKED_AT}\n[[checklist]]\nduty = "inspection-and-test"\nkinds = ["extension-lead"]',
        "[[checklist]] 3, duty",
        "[[checklist]] 2 already says this of inspection and test of an extension lead.",
    ),
]
SECOND_EARTH_LIMIT = """\
[[limit]]
check = "earth-resistance"
kinds = ["appliance-class-1"]
at_most = 2
unit = "ohm"
source = "Rule 1:2020 Table 3"
edition = "rule-2020"
confidence = "memory"

"""
LIMITS = [
    ('check = "earth-resistance"', "", "[[limit]] 1, check", "Write which quantity the limit is on"),
    ('check = "earth-resistance"', 'check = "look"', "[[limit]] 1, check", "A look has no limit"),
    ("at_most = 1\n", "", "[[limit]] 1, at_most", "The limit has no bound."),
    ("at_most = 1\n", "at_most = 0.5\n", "[[limit]] 1, at_most", 'Write “0.5” in quotes, as at_most = "0.5", so that'),
    ("at_most = 1\n", "at_most = nan\n", "[[limit]] 1, at_most", "in quotes"),
    ("at_most = 1\n", 'at_most = "-1"\n', "[[limit]] 1, at_most", "“-1” is not a number of the kind meant here"),
    ("at_most = 1\n", "at_most = 1\nmultiple = 1\n", "[[limit]] 1, multiple", "“multiple” is not a key of this table."),
    ("at_most = 1\n", "at_most = 1\nof_rated = true\n", "[[limit]] 1, of_rated", "Only a trip-current can be held to"),
    ('unit = "ohm"', "", "[[limit]] 1, unit", 'A limit on earth-resistance is in ohm: write unit = "ohm".'),
    ('unit = "ohm"', 'unit = "Mohm"', "[[limit]] 1, unit", "A limit on earth-resistance is in ohm"),
    ('unit = "ohm"', 'unit = "Ω"', "[[limit]] 1, unit", "“Ω” is not known here. It can be: ms, mA, ohm, Mohm."),
    ('unit = "ohm"', 'unit = "ohm"\nmust_be = "low"', "[[limit]] 1, must_be", "“must_be” is for polarity."),
    ('unit = "ohm"', 'unit = "ohm"\nmust_hold = true', "[[limit]] 1, must_hold", "“must_hold” is for trip-time"),
    ('must_be = "right"', "", "[[limit]] 2, must_be", 'write must_be = "right" and no bound.'),
    ('must_be = "right"', 'must_be = "right"\nat_most = 1', "[[limit]] 2, must_be", "and no bound"),
    ('must_be = "right"', 'must_be = "right"\nmust_hold = true', "[[limit]] 2, must_be", "and no bound"),
    ('at_least = "130"', 'at_least = "500"', "[[limit]] 3, at_least", "The least value (500) must be smaller than the"),
    ('at_least = "130"', 'at_least = "130"\nabove = "1"', "[[limit]] 3, above", "Give “at_least” (its edge passes) or"),
    ('at_least = "130"', 'at_least = "130"\nbelow = "1"', "[[limit]] 3, below", "Give “at_most” (its edge passes) or"),
    ('at_least = "130"', 'above = "600"', "[[limit]] 3, above", "must be smaller than the greatest (500)."),
    ('multiple = "1"', 'multiple = "3"', "[[limit]] 3, multiple", "Trip times are measured at 0.5, 1, 2, 5 times"),
    ('types = ["IV"]', 'types = ["4"]', "[[limit]] 3, types", "It can be: I, II, III, IV, iec."),
    ("must_hold = true", 'must_hold = true\nat_most = "1"', "[[limit]] 4, must_hold", "stands without a bound"),
    (
        "of_rated = true",
        'of_rated = true\nunit = "mA"',
        "[[limit]] 5, unit",
        "Parts of the rated residual current have no",
    ),
    (
        '[[limit]]\ncheck = "polarity"',
        SECOND_EARTH_LIMIT + '[[limit]]\ncheck = "polarity"',
        "[[limit]] 2, check",
        "[[limit]] 1 already says this of earth resistance in the same case. Keep one of the two.",
    ),
]


@pytest.mark.parametrize(("old", "new", "where", "message"), HEAD + TABLES + INTERVALS + CHECKLISTS + LIMITS)
def test_a_mistake_is_named_by_table_and_key(old: str, new: str, where: str, message: str) -> None:
    rulebook, problems = read_rulebook(changed(old, new), name="small.toml")
    assert rulebook is None
    said = {problem.where: problem.message for problem in problems}
    assert message in said[f"small.toml, {where}"]


@pytest.mark.parametrize(
    ("old", "new", "where", "at"),
    [
        ('title = "Rule 1:2001"', "title = 3", "[edition.rule-2001], title", "title = 3"),
        ('every = "P3M"', 'every = "P3"', "[[interval]] 2, every", 'every = "P3"'),
        (
            'every = "P3M"\n',
            "",
            "[[interval]] 2, every",
            '[[interval]]\nduty = "inspection-and-test"\nkinds = ["tools"]',
        ),
        ('unit = "ms"', 'unit = "s"', "[[limit]] 3, unit", 'unit = "s"'),
        ('version = "1"', "", "version", "id ="),
    ],
)
def test_a_mistake_is_named_by_its_line_or_that_of_its_table(old: str, new: str, where: str, at: str) -> None:
    text = changed(old, new)
    _, problems = read_rulebook(text, name="small.toml")
    assert [(problem.where, problem.line) for problem in problems] == [(f"small.toml, {where}", line_with(text, at))]


def test_all_mistakes_are_gathered_in_the_order_of_their_lines() -> None:
    text = changed('version = "1"', "version = 2")
    text = changed('every = "P3M"', 'evry = "P3M"', text)
    text = changed('unit = "ohm"', 'unit = "ms"', text)
    _, problems = read_rulebook(text, name="small.toml")
    assert [problem.where.removeprefix("small.toml, ") for problem in problems] == [
        "version",
        "[[interval]] 2, every",
        "[[interval]] 2, evry",
        "[[limit]] 1, unit",
    ]


def test_a_problem_reads_as_one_line() -> None:
    _, (problem,) = read_rulebook(changed('every = "P3M"', 'every = "P3"'), name="small.toml")
    assert str(problem) == (
        "small.toml, [[interval]] 2, every, line 58: “P3” is not an interval: write an ISO 8601 duration such as P6M "
        "or P5Y, up to P50Y."
    )


@pytest.mark.parametrize(
    ("table", "values", "message"),
    [
        ("interval", "3", "Write each entry as a table of its own, under a line [[interval]]."),
        ("interval", "{ duty = 3 }", "under a line [[interval]]."),
        ("edition", "3", "Write this as a table, under a line [edition]."),
        ("scope", '"all"', "Write this as a table, under a line [scope]."),
    ],
)
def test_a_key_where_a_table_belongs_is_a_mistake(table: str, values: str, message: str) -> None:
    text = f'{table} = {values}\nid = "x"\ntitle = "x"\nversion = "x"\nabout = "x"\n'
    _, problems = read_rulebook(text, name="x.toml")
    assert message in {problem.where: problem.message for problem in problems}[f"x.toml, {table}"]


def test_a_rulebook_without_any_environment_class_is_refused() -> None:
    _, problems = read_rulebook('id = "x"\ntitle = "x"\nversion = "x"\nabout = "x"\n', name="x.toml")
    assert [str(problem) for problem in problems] == [
        "x.toml, environment, line 1: The file names no environment class. Add a table [environment.NAME]."
    ]


def test_an_environment_class_without_a_line_in_force_is_refused() -> None:
    text = SMALL + '\n[environment.attic]\ntitle = "Attic"\nabout = "Attics."\n'
    _, problems = read_rulebook(text, name="small.toml")
    assert [(problem.where, problem.line) for problem in problems] == [
        ("small.toml, [environment], attic", line_with(text, "[environment.attic]"))
    ]
    assert "No interval line is in force for this class." in problems[0].message


def test_long_values_are_cut_where_they_are_quoted() -> None:
    _, (problem,) = read_rulebook(changed('strength = "maximum"', f'strength = "{"x" * 90}"'), name="small.toml")
    assert f"“{'x' * 40}…” is not known here." in problem.message


@given(st.text())
def test_any_text_is_read_or_refused_with_problems(text: str) -> None:
    rulebook, problems = read_rulebook(text, name="any.toml")
    assert (rulebook is None) == bool(problems)


LINES = SMALL.splitlines()
VALUES = st.sampled_from(
    [
        "",
        "0",
        "-1",
        "1.5",
        "nan",
        "true",
        '""',
        '"x"',
        "'P6M'",
        "[]",
        "[1]",
        '["look"]',
        "{}",
        "[{}]",
        "1979-05-27",
        "[[]]",
    ]
)


@settings(max_examples=300)
@given(
    st.lists(st.tuples(st.integers(0, len(LINES) - 1), st.one_of(st.none(), VALUES)), min_size=1, max_size=4),
)
def test_a_file_with_values_swapped_or_lines_lost_is_read_or_refused_with_problems(
    edits: list[tuple[int, str | None]],
) -> None:
    lines = list(LINES)
    for number, value in edits:
        key, equals, _ = lines[number].partition("=")
        lines[number] = f"{key}= {value}" if value is not None and equals else ""
    rulebook, problems = read_rulebook("\n".join(lines), name="any.toml")
    assert (rulebook is None) == bool(problems)
    assert all(problem.line is None or 1 <= problem.line <= len(lines) for problem in problems)

"""A rulebook on top of another: own lines first, the rest taken over."""

from decimal import Decimal

import pytest

from register.domain.rulebook import Rulebook
from register.domain.rulebook_lookup import interval_lines, interval_words
from register.domain.rulebook_reader import read_rulebook
from register.domain.words import Check, Condition, Duty, Kind
from tests.domain.rulebook_text import SMALL, changed, read

HEAD = 'id = "own"\ntitle = "Own rules"\nversion = "1"\nabout = "Made up."\nextends = "small"\n'
SOURCE = 'source = "House rule 1"\nedition = "rule-2020"\nconfidence = "read"\n'
OWN_INTERVAL = (
    '[[interval]]\nduty = "inspection-and-test"\nkinds = ["{kind}"]\nenvironments = ["{where}"]\nevery = "P2M"\n'
)
BARN = '[environment.barn]\ntitle = "Barn"\nabout = "Barns."\n'
LIKE_SHED = 'like = "shed"\nbecause = "a barn is used like a shed."\n'


@pytest.fixture
def base() -> Rulebook:
    return read(SMALL)


def asked(book: Rulebook, kind: Kind, environment: str, **rest: str) -> list[tuple[str, str]]:
    return [
        (line.rulebook, interval_words(line))
        for line in interval_lines(book, kind=kind, environment=environment, **rest)
    ]


def test_without_classes_of_its_own_a_rulebook_keeps_everything_of_its_base(base: Rulebook) -> None:
    book = read(HEAD, base)
    assert book.environments == base.environments
    assert book.limits == base.limits
    assert book.checklists == base.checklists
    assert book.scope == base.scope
    assert book.kind_groups == base.kind_groups
    assert book.conditions == base.conditions
    assert (book.id, book.version, book.cautions) == ("own", "1", base.cautions)
    for kind in Kind:
        for environment in base.environments:
            assert asked(book, kind, environment) == asked(base, kind, environment)


def test_an_own_line_replaces_that_of_the_base_for_its_duty_kind_and_class_alone(base: Rulebook) -> None:
    book = read(HEAD + OWN_INTERVAL.format(kind="appliance-class-1", where="shed") + SOURCE, base)
    assert asked(book, Kind.APPLIANCE_CLASS_1, "shed") == [("own", "every 2 months")]
    assert asked(book, Kind.APPLIANCE_CLASS_2, "shed") == asked(base, Kind.APPLIANCE_CLASS_2, "shed")
    assert asked(book, Kind.APPLIANCE_CLASS_1, "let") == asked(base, Kind.APPLIANCE_CLASS_1, "let")


def test_an_own_line_replaces_those_of_the_base_for_special_places_too(base: Rulebook) -> None:
    book = read(HEAD + OWN_INTERVAL.format(kind="tools", where="let") + SOURCE, base)
    assert asked(book, Kind.APPLIANCE_CLASS_1, "let", place="shed") == [("own", "every 2 months")]


def test_superseded_lines_stay_readable_under_own_ones(base: Rulebook) -> None:
    book = read(HEAD + OWN_INTERVAL.format(kind="appliance-class-1", where="shed") + SOURCE, base)
    assert asked(book, Kind.APPLIANCE_CLASS_1, "shed", edition="rule-2001") == [("small", "every 12 months")]


def test_classes_of_its_own_are_all_that_a_rulebook_has(base: Rulebook) -> None:
    book = read(HEAD + BARN + OWN_INTERVAL.format(kind="cord-set", where="barn") + SOURCE, base)
    assert list(book.environments) == ["barn"]
    assert asked(book, Kind.CORD_SET, "barn") == [("own", "every 2 months")]
    assert asked(book, Kind.APPLIANCE_CLASS_1, "barn") == []


def test_a_class_like_one_of_the_base_takes_over_what_own_lines_leave_open(base: Rulebook) -> None:
    book = read(HEAD + BARN + LIKE_SHED + OWN_INTERVAL.format(kind="cord-set", where="barn") + SOURCE, base)
    assert asked(book, Kind.CORD_SET, "barn") == [("own", "every 2 months")]
    (taken,) = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="barn")
    assert interval_words(taken) == "every 6 to 12 months, and before first use at the site"
    assert taken.note == "Figure of Small rules for “Shed”: a barn is used like a shed."
    assert taken.key == "interval.1"


def test_a_line_for_a_place_follows_the_class_that_is_like_that_place(base: Rulebook) -> None:
    let = '[environment.lent]\ntitle = "Lent"\nabout = "Lent."\nlike = "let"\nbecause = "it is."\n'
    book = read(HEAD + BARN + LIKE_SHED + let, base)
    (taken,) = interval_lines(book, kind=Kind.APPLIANCE_CLASS_1, environment="lent", place="barn")
    assert interval_words(taken) == "every month"
    assert taken.note == "Hired into a shed. Figure of Small rules for “Let on hire”: it is."


def test_a_line_for_a_place_falls_away_where_no_class_is_like_that_place(base: Rulebook) -> None:
    let = '[environment.lent]\ntitle = "Lent"\nabout = "Lent."\nlike = "let"\nbecause = "it is."\n'
    book = read(HEAD + let, base)
    assert asked(book, Kind.APPLIANCE_CLASS_1, "lent") == [("small", "every 3 months")]
    assert not any(line.place for line in book.intervals)


def test_own_limits_on_a_check_replace_all_limits_of_the_base_on_it(base: Rulebook) -> None:
    limit = '[[limit]]\ncheck = "trip-time"\nmultiple = 5\nat_most = 40\nunit = "ms"\n'
    book = read(HEAD + limit + SOURCE, base)
    trip = [each for each in book.limits if each.check is Check.TRIP_TIME]
    assert [each.at_most for each in trip] == [Decimal(40)]
    rest = [each for each in book.limits if each.check is not Check.TRIP_TIME]
    assert rest == [each for each in base.limits if each.check is not Check.TRIP_TIME]


def test_an_own_checklist_replaces_that_of_the_base_for_its_duty_and_kind_alone(base: Rulebook) -> None:
    own = '[[checklist]]\nduty = "inspection-and-test"\nkinds = ["appliance-class-1"]\nper_item = ["look"]\n'
    book = read(HEAD + own + SOURCE, base)
    lists = [
        (sorted(each.kinds), len(each.per_item)) for each in book.checklists if each.duty is Duty.INSPECTION_AND_TEST
    ]
    assert lists == [(["appliance-class-1"], 1), (["appliance-class-2"], 2)]
    wider = read(HEAD + own.replace('"]\nper', '", "appliance-class-2"]\nper') + SOURCE, base)
    assert [sorted(each.kinds) for each in wider.checklists if each.duty is Duty.INSPECTION_AND_TEST] == [
        ["appliance-class-1", "appliance-class-2"]
    ]


def test_own_scope_cautions_conditions_and_editions_go_first(base: Rulebook) -> None:
    text = (
        HEAD
        + 'cautions = ["Mind the step."]\n'
        + "[scope]\nmax_rated_current_a = 16\n"
        + SOURCE.replace("rule-2020", "house-1")
        + '[edition.house-1]\ntitle = "House rules"\n'
        + '[condition.repaired]\nrule = "Tested twice."\n'
        + SOURCE
    )
    book = read(text, base)
    assert (book.scope.max_rated_current_a, book.scope.battery_run) == (Decimal(16), True)
    assert book.cautions == ("Mind the step.", "A trip test cuts the supply.")
    assert book.conditions[Condition.REPAIRED].rule == "Tested twice."
    assert list(book.editions) == ["house-1", "rule-2020", "rule-2001"]


def test_a_rulebook_that_extends_none_is_read_without_the_base_at_hand(base: Rulebook) -> None:
    rulebook, problems = read_rulebook(changed('id = "small"', 'id = "alone"'), name="alone.toml", base=base)
    assert problems == []
    assert rulebook is not None
    assert rulebook.intervals == read(changed('id = "small"', 'id = "alone"')).intervals


def test_only_the_base_that_was_named_is_taken(base: Rulebook) -> None:
    rulebook, problems = read_rulebook(HEAD.replace('"small"', '"smal"'), name="own.toml", base=base)
    assert rulebook is None
    assert [str(problem) for problem in problems] == [
        "own.toml, extends, line 5: “smal” is not a rulebook that is there to extend. Check the name."
    ]


def test_a_class_can_only_be_like_one_that_the_base_has(base: Rulebook) -> None:
    like = 'like = "hut"\nbecause = "x"\n'
    text = HEAD + BARN + like + OWN_INTERVAL.format(kind="cord-set", where="barn") + SOURCE
    rulebook, problems = read_rulebook(text, name="own.toml", base=base)
    assert rulebook is None
    assert [str(problem) for problem in problems] == [
        "own.toml, [environment.barn], like, line 9: “hut” is not an environment class of small. It can be: shed, let."
    ]

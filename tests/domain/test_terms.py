"""Which lines govern a duty in one place: the nearest, the strictest, what binds, and what facts do to them."""

from typing import Any

import pytest

from register.domain.intervals import Interval, Occasion
from register.domain.items import Item, SafetySwitch
from register.domain.rulebook import Fact, IntervalLine, Rulebook
from register.domain.terms import Terms, terms_of, traits_of
from register.domain.words import Duty, Kind
from register.errors import Refused
from register.services.rulebooks import rulebook
from tests.domain.schedule_rules import (
    BINDING,
    BOOK,
    GLANCE,
    GUIDE,
    ITEM,
    PRESS,
    SWITCH,
    TEST,
    TIME,
    book,
    line,
    months,
)

RISK, MOVED, PROTECTED = Fact.RISK_FACTOR, Fact.MOVED_IN_USE, Fact.PROTECTED_BY_SWITCH
HERE = frozenset({"here"})


def terms(item: Item, environment: str, place: str = "", rules: Rulebook = BOOK) -> dict[Duty, Terms]:
    return dict(terms_of(traits_of(item), rules, environment, place or environment))


def tool(**facts: Any) -> Item:  # noqa: ANN401 - facts, known or not
    return Item(Kind.APPLIANCE_CLASS_1, **facts)


def asked_by(lines: list[IntervalLine], **facts: bool) -> Terms:
    """Return what lines for tools ask of a tool in a place called here, where hire is another class."""
    return terms(tool(**facts), "hire", "here", book([*lines, line("here", "P5Y", TIME)]))[TEST]


def test_duties_come_in_their_order_each_with_its_line() -> None:
    found = terms(SWITCH, "site")
    assert list(found) == [TEST, TIME, PRESS, GLANCE]
    assert [each.interval for each in found.values()] == [months(3), months(3), months(1), None]
    assert found[GLANCE].occasions == (Occasion.EACH_USE,)
    assert all(each.duty is duty for duty, each in found.items())


def test_a_switch_built_in_brings_the_duties_of_a_switch() -> None:
    board = Item(Kind.PORTABLE_OUTLET_DEVICE)
    assert set(terms(board, "shed")) == {TEST}
    carrying = Item(Kind.PORTABLE_OUTLET_DEVICE, safety_switch=SafetySwitch())
    assert set(terms(carrying, "shed")) == {TEST, TIME, PRESS}


def test_a_class_that_asks_nothing_of_a_kind_has_no_terms() -> None:
    found = terms(ITEM, "cellar", rules=book([line("cellar", "P6M", kinds=frozenset({Kind.CORD_SET}))]))
    assert found == {}


@pytest.mark.parametrize(("environment", "place"), [("moon", "shed"), ("shed", "moon")])
def test_a_class_that_the_rulebook_lacks_is_refused(environment: str, place: str) -> None:
    with pytest.raises(Refused, match="“moon” is not an environment class of the rulebook made-up"):
        terms(ITEM, environment, place)


# ---- the place's binding line


def test_a_binding_line_of_the_place_holds_beside_the_items_own() -> None:
    """A hired switch on a building site: its own class asks for 6 months, the site for 3, and that binds."""
    own, there = terms(SWITCH, "hire")[TIME], terms(SWITCH, "hire", "site")[TIME]
    assert (own.interval, own.longest, own.rules[0].place) == (months(6), None, "")
    assert (there.interval, there.longest, there.rules[0].place) == (months(3), months(3), "Site")


def test_a_line_made_for_such_items_in_such_a_place_goes_before_both() -> None:
    there = terms(ITEM, "hire", "site")[TEST]
    assert (there.interval, there.longest) == (months(1), months(1))
    assert there.line.place == {"site"}
    assert there.first is Occasion.BEFORE_FIRST_USE, "the site's, whose line holds as well"


def test_guidance_of_the_place_leaves_items_with_a_class_of_their_own_alone() -> None:
    assert terms(ITEM, "room", "shed")[TEST].interval == months(24)
    assert set(terms(SWITCH, "room", "shed")) == {TEST, PRESS}


def test_a_duty_that_only_the_place_binds_to_is_asked_as_well() -> None:
    there = terms(ITEM, "hire", "site")
    assert there[GLANCE].occasions == (Occasion.EACH_USE,)
    assert there[GLANCE].rules[0].place == "Site"


def test_where_own_class_and_place_ask_for_the_same_the_one_that_binds_governs() -> None:
    rules = book([line("own", "P3M"), line("there", "P3M", strength=BINDING)])
    both = terms(ITEM, "own", "there", rules)[TEST]
    assert (both.line.strength, both.rules[0].place, both.longest) == (BINDING, "There", months(3))


def test_an_own_interval_shorter_than_the_binding_one_governs_and_the_longer_is_the_bound() -> None:
    rules = book([line("own", "P1M"), line("there", "P3M", strength=BINDING)])
    both = terms(ITEM, "own", "there", rules)[TEST]
    assert (both.interval, both.longest, both.rules[0].place) == (months(1), months(3), "")
    assert both.bound_by is both.rules[1].line
    assert both.rules[1].place == "There"


def test_occasions_of_own_class_and_place_add_up() -> None:
    """A hired switch on a building site is pressed before each hire and every month."""
    found = terms(SWITCH, "hire", "site")[PRESS]
    assert (found.interval, found.occasions) == (months(1), (Occasion.BEFORE_HIRE,))
    assert [rule.place for rule in found.rules] == ["Site", ""]


def test_the_same_occasion_asked_twice_is_asked_once() -> None:
    rules = book([line("own", Occasion.EACH_DAY, PRESS), line("there", Occasion.EACH_DAY, PRESS, strength=BINDING)])
    assert terms(ITEM, "own", "there", rules)[PRESS].occasions == (Occasion.EACH_DAY,)


def test_a_hired_switch_on_a_real_construction_site_keeps_what_binds_there() -> None:
    """Hire equipment by AS/NZS 3760 in a place under AS/NZS 3012, as the rulebook has them."""
    for rules in (rulebook("au-in-service"), rulebook("au-qld")):
        found = terms(Item(Kind.PORTABLE_SAFETY_SWITCH), "hire", "construction", rules)
        assert {duty: each.interval for duty, each in found.items()} == {
            Duty.INSPECTION_AND_TEST: months(1),
            Duty.OPERATING_TIME: months(3),
            Duty.BUTTON_PRESS: None,
            Duty.USER_CHECK: None,
            Duty.LOOK_BEFORE_HIRE: None,
        }
        assert found[PRESS].occasions == (Occasion.BEFORE_HIRE, Occasion.EACH_DAY)
        assert found[TIME].longest == months(3)


# ---- ranges


@pytest.mark.parametrize(("binding", "longest"), [(True, months(12)), (False, None)])
def test_a_range_is_scheduled_at_its_shorter_end_and_binds_at_its_longer(
    binding: bool,  # noqa: FBT001 - a case
    longest: Interval | None,
) -> None:
    found = terms(
        ITEM, "hall", rules=book([line("hall", "P6M", up_to=months(12), strength=BINDING if binding else GUIDE)])
    )[TEST]
    assert (found.interval, found.longest) == (months(6), longest)


def test_the_shortest_of_several_bounds_binds() -> None:
    rules = book([
        line("own", "P6M", up_to=months(12), strength=BINDING), line("there", "P7M", up_to=months(9), strength=BINDING),
    ])  # fmt: skip
    both = terms(ITEM, "own", "there", rules)[TEST]
    assert (both.interval, both.longest) == (months(6), months(9))


# ---- facts


@pytest.mark.parametrize(
    ("line_says", "known", "asked", "doubt"),
    [
        ({"only_if": (MOVED,)}, {"moved_in_use": True}, True, ""),
        ({"only_if": (MOVED,)}, {"moved_in_use": False}, False, ""),
        ({"only_if": (MOVED,)}, {}, True, "whether it is moved in normal use,"),
        ({"unless": (PROTECTED,)}, {"protected_by_switch": True}, False, ""),
        ({"unless": (PROTECTED,)}, {"protected_by_switch": False}, True, ""),
        ({"unless": (PROTECTED,)}, {}, True, "whether it is connected to a safety switch,"),
        ({"only_if": (RISK,)}, {"risk_factor": True}, True, ""),
        ({"only_if": (MOVED,), "unless": (PROTECTED,)}, {"moved_in_use": False}, False, ""),
        ({"only_if": (MOVED,), "unless": (PROTECTED,)}, {"protected_by_switch": True}, False, ""),
        ({"only_if": (MOVED,), "unless": (PROTECTED,)}, {"moved_in_use": True}, True, "connected to a safety switch,"),
        ({"only_if": (MOVED,), "unless": (PROTECTED,)}, {}, True, "moved in normal use or connected to a safety"),
    ],
)
def test_a_fact_takes_a_duty_away_only_where_it_is_known(
    line_says: dict[str, Any],
    known: dict[str, bool],
    asked: bool,  # noqa: FBT001 - a case
    doubt: str,
) -> None:
    found = terms(tool(**known), "hall", rules=book([line("hall", "P6M", **line_says)]))[TEST]
    assert (found.relieved == "") is asked
    assert found.interval == (months(6) if asked else None)
    assert doubt in found.doubt
    assert bool(found.doubt) is bool(doubt)


@pytest.mark.parametrize(
    ("known", "sentence"),
    [
        (
            {"protected_by_switch": True},
            (
                "Not asked of this item, as it is connected to a safety switch: Electrical Safety Regulation 2013"
                " (Queensland) s 112, office work, restated second-hand."
            ),
        ),
        (
            {"moved_in_use": False},
            (
                "Not asked of this item, as it is not moved in normal use: Electrical Safety Regulation 2013"
                " (Queensland) s 112, office work, restated second-hand."
            ),
        ),
    ],
)
def test_in_a_queensland_office_the_sentence_says_which_fact_spares_the_test(
    known: dict[str, bool], sentence: str
) -> None:
    found = terms(tool(**known), "office", rules=rulebook("au-qld"))[TEST]
    assert (found.relieved, found.longest) == (sentence, None)


def test_a_switch_in_a_queensland_office_keeps_its_own_tests_though_it_is_spared_the_other() -> None:
    """Electrical Safety Regulation 2013 (Queensland) s 112, restated second-hand: the switch itself is tested."""
    spared = Item(Kind.PORTABLE_SAFETY_SWITCH, protected_by_switch=True)
    found = terms(spared, "office", rules=rulebook("au-qld"))
    assert (bool(found[TEST].relieved), found[TIME].interval, found[PRESS].interval) == (True, months(24), months(3))


def test_a_place_that_spares_the_item_leaves_its_own_class_alone() -> None:
    """Cleaning equipment behind a safety switch in a Queensland office: the cleaning class still asks for 6 months."""
    found = terms(tool(protected_by_switch=True), "cleaning", "office", rulebook("au-qld"))[TEST]
    assert (found.relieved, found.interval, found.rules[0].place) == ("", months(6), "")


def test_an_own_class_that_spares_the_item_leaves_the_places_binding_line_alone() -> None:
    rules = book([line("own", "P6M", unless=(PROTECTED,)), line("there", "P12M", strength=BINDING)])
    found = terms(tool(protected_by_switch=True), "own", "there", rules)[TEST]
    assert (found.relieved, found.interval, found.rules[0].place) == ("", months(12), "There")


def test_a_binding_line_of_the_place_that_does_not_hold_asks_nothing() -> None:
    rules = book([line("own", "P6M", TIME), line("there", "P12M", strength=BINDING, unless=(PROTECTED,))])
    spared = terms(tool(protected_by_switch=True), "own", "there", rules)
    assert spared[TEST].relieved.startswith("Not asked of this item, as it is connected to a safety switch")
    assert spared[TIME].interval == months(6)


@pytest.mark.parametrize(
    ("known", "interval", "doubt"),
    [
        ({"risk_factor": True}, months(1), False),
        ({"risk_factor": False}, months(4), False),
        ({}, months(1), True),
    ],
)
def test_a_nearer_line_that_does_not_hold_gives_way_to_the_general_one(
    known: dict[str, bool],
    interval: Interval,
    doubt: bool,  # noqa: FBT001 - a case
) -> None:
    found = asked_by([line("hire", "P4M"), line("hire", "P1M", place=HERE, only_if=(RISK,))], **known)
    assert (found.interval, bool(found.doubt), found.relieved) == (interval, doubt, "")


@pytest.mark.parametrize(
    ("known", "interval"),
    [({"risk_factor": True}, months(9)), ({"risk_factor": False}, months(4)), ({}, months(4))],
)
def test_of_lines_of_which_nobody_knows_whether_they_hold_the_strictest_counts(
    known: dict[str, bool], interval: Interval
) -> None:
    found = asked_by([line("hire", "P4M"), line("hire", "P9M", place=HERE, only_if=(RISK,))], **known)
    assert found.interval == interval


def test_a_line_for_items_with_a_switch_goes_before_the_general_one() -> None:
    rules = book([line("hall", "P6M"), line("hall", "P3M", only_with_switch=True)])
    assert terms(ITEM, "hall", rules=rules)[TEST].interval == months(6)
    assert terms(SWITCH, "hall", rules=rules)[TEST].interval == months(3)


# ---- before the first use


@pytest.mark.parametrize(
    ("rule", "before_use"),
    [
        (line("hall", "P6M"), False),
        (line("hall", "P6M", first=Occasion.BEFORE_FIRST_USE), True),
        (line("hall", Occasion.BEFORE_FIRST_USE), True),
        (line("hall", Occasion.BEFORE_HIRE), False),
    ],
)
def test_a_duty_is_done_before_the_first_use_where_the_line_says_so(rule: IntervalLine, *, before_use: bool) -> None:
    assert terms(ITEM, "hall", rules=book([rule]))[TEST].before_use is before_use

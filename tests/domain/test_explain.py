"""Why a date is what it is, in words: the first sentence for lists, the reasons, and the rules behind them."""

import re
from collections.abc import Iterator, Mapping
from datetime import date
from itertools import product
from typing import Any

import pytest

from register.domain.explain import day_words, month_words, reasons, rules, short_day, why
from register.domain.intervals import Occasion
from register.domain.items import Exposure, Item, SafetySwitch
from register.domain.rulebook import ConditionRule, Confidence, Other, Rulebook, Source
from register.domain.schedule import Done, Override, Scope, Stay, schedule
from register.domain.words import Condition, Duty, Kind
from register.services.rulebooks import rulebook
from tests.domain.schedule_rules import (
    BINDING,
    BOOK,
    GLANCE,
    ITEM,
    PRESS,
    RULE,
    SWITCH,
    TEST,
    TIME,
    TOLD,
    book,
    decision,
    line,
    months,
    stay,
)

TESTED, MOVED = date(2026, 1, 31), date(2026, 3, 1)
LAST = "Last done 31 Jan 2026"
DECISION = "The decision of Ona Petrie on 1 Dec 2025 for the site (12 months; kept dry)"
BY = "by Rule 1:2020 Table 1, restated second-hand (rulebook made-up)."


def told(
    item: Item,
    stays: list[Stay],
    done: date | Done | None = TESTED,
    duty: Duty = TEST,
    by: Rulebook = BOOK,
) -> tuple[str, ...]:
    """Return the reasons of one duty's date; the rules are asked for apart."""
    books = {by.id: by}
    passed = {} if done is None else {duty: Done(done) if isinstance(done, date) else done}
    (found,) = (each for each in schedule(item, stays, books, passed) if each.duty is duty)
    said = reasons(item, found, books)
    assert why(item, found, books) == (*said, *rules(found))
    return said


def ruled(item: Item, stays: list[Stay], duty: Duty = TEST, by: Rulebook = BOOK) -> tuple[str, ...]:
    (found,) = (each for each in schedule(item, stays, {by.id: by}, {duty: Done(TESTED)}) if each.duty is duty)
    return rules(found)


def tool(condition: Condition, since: date | None = MOVED) -> Item:
    return Item(Kind.APPLIANCE_CLASS_1, condition=condition, since=since)


@pytest.mark.parametrize(
    ("day", "words"), [(date(2026, 3, 3), "3 Mar 2026"), (date(2020, 12, 31), "31 Dec 2020"), (date.min, "1 Jan 1")]
)
def test_a_day_reads_the_same_everywhere(day: date, words: str) -> None:
    assert day_words(day) == words
    assert (short_day(day), month_words(day)) == (words.rsplit(" ", 1)[0], words.split(" ", 1)[1])


# ---- counted from a day


def test_a_plain_date_needs_one_sentence() -> None:
    assert told(ITEM, [stay("shed")]) == (f"{LAST}, every 6 months (Shed): due 31 Jul 2026.",)
    assert told(SWITCH, [stay("site")], duty=PRESS) == (f"{LAST}, every month (Site): due 28 Feb 2026.",)


def test_how_it_is_known_is_said_unless_it_was_measured() -> None:
    as_found = told(ITEM, [stay("shed")], Done(TESTED, "as found in an earlier register"))
    assert as_found == (
        "Last done 31 Jan 2026 (as found in an earlier register), every 6 months (Shed): due 31 Jul 2026.",
    )


def test_a_new_item_is_told_from_when_and_by_which_rule_its_date_counts() -> None:
    assert told(tool(Condition.NEW), [stay("shed")], None) == (
        "New to service on 1 Mar 2026, every 6 months (Shed): first due 1 Sep 2026.",
        "New things count from their first day: Rule 1:2020 Table 1.",
    )
    assert told(tool(Condition.NEW), [stay("shed")]) == (f"{LAST}, every 6 months (Shed): due 31 Jul 2026.",), (
        "no more once it was tested"
    )


def test_the_class_is_that_of_the_place_where_the_place_binds() -> None:
    (first,) = told(SWITCH, [stay("hire", place="site")], duty=TIME)
    assert first == f"{LAST}, every 3 months (Site): due 30 Apr 2026."
    (first,) = told(ITEM, [stay("hire", place="site")])
    assert first == f"{LAST}, every month (Hire, Site): due 28 Feb 2026."


def test_a_date_beside_an_occasion_names_both() -> None:
    assert told(SWITCH, [stay("hire", place="site")], duty=PRESS) == (
        f"{LAST}, every month (Site): due 28 Feb 2026.",
        "Also asked before each hire.",
    )


def test_an_earlier_place_that_decides_is_named_with_the_day_it_was_left() -> None:
    assert told(ITEM, [stay("site"), stay("room", MOVED)]) == (
        f"{LAST}, every 3 months (Site): due 30 Apr 2026.",
        "It left there on 1 Mar 2026; the strictest place counts until this is done again.",
    )


def test_what_nobody_recorded_is_said() -> None:
    assert told(ITEM, [stay("law")])[1:] == (
        "Nobody recorded whether it is connected to a safety switch, so the duty stays.",
    )


# ---- by decision


@pytest.mark.parametrize(
    ("environment", "made", "said"),
    [
        (
            "shed",
            decision("P12M"),
            (
                f"{LAST}, every 12 months by decision of Ona Petrie: due 31 Jan 2027.",
                "Decided on 1 Dec 2025 for the site: kept dry.",
            ),
        ),
        (
            "shed",
            decision("P1M", scope=Scope.AREA),
            (
                f"{LAST}, every month by decision of Ona Petrie: due 28 Feb 2026.",
                "Decided on 1 Dec 2025 for the area: kept dry.",
            ),
        ),
        (
            "shed",
            decision("P12M", review_on=date(2026, 9, 1), scope=Scope.ITEM),
            (
                f"{LAST}, every 12 months by decision of Ona Petrie, but not beyond its review date: due 1 Sep 2026.",
                "Decided on 1 Dec 2025 for this item: kept dry.",
                "After that day the shorter interval counts again.",
            ),
        ),
        (
            "shed",
            decision("P12M", review_on=MOVED),
            (
                f"{LAST}, every 6 months (Shed): due 31 Jul 2026.",
                f"{DECISION} lapses on its review date, 1 Mar 2026.",
            ),
        ),
        (
            "site",
            decision("P12M"),
            (
                f"{LAST}, every 3 months, the binding maximum: due 30 Apr 2026.",
                f"{DECISION} can't run beyond that.",
            ),
        ),
    ],
)
def test_a_decision_is_told_with_who_when_why_and_how_long(
    environment: str, made: Override, said: tuple[str, ...]
) -> None:
    assert told(ITEM, [stay(environment, made=[made])]) == said


# ---- without a date


@pytest.mark.parametrize(
    ("item", "environment", "first"),
    [
        (ITEM, "shed", "Never done: it must be done before the item is used."),
        (ITEM, "site", "Never done: it must be done before first use at the site."),
        (tool(Condition.NEW), "site", "New to service: it must be done before first use at the site."),
        (tool(Condition.NEW, None), "shed", "New to service: it must be done before the item is used."),
        (
            tool(Condition.REPAIRED),
            "shed",
            "Repaired on 1 Mar 2026 and not tested since: it must pass before it returns to service.",
        ),
        (
            tool(Condition.REPAIRED, None),
            "shed",
            "Repaired and not tested since: it must pass before it returns to service.",
        ),
    ],
)
def test_a_test_that_comes_before_use_says_so(item: Item, environment: str, first: str) -> None:
    assert told(item, [stay(environment)], None) == (first,)


def test_a_test_that_an_earlier_place_asked_for_names_it() -> None:
    spared = Item(Kind.APPLIANCE_CLASS_1, protected_by_switch=True)
    assert told(spared, [stay("shed"), stay("law", MOVED)], None) == (
        "Never done: it must be done before the item is used.",
        "That is asked where it was until 1 Mar 2026 (Shed).",
    )


@pytest.mark.parametrize(
    ("environment", "place", "duty", "first"),
    [
        ("shed", "shed", PRESS, "Each day, before first use."),
        ("site", "site", GLANCE, "Before each use."),
        ("hire", "hire", PRESS, "Before each hire."),
        ("room", "room", PRESS, "Every 6 months; not yet reported as done."),
        ("site", "site", PRESS, "Every month; not yet reported as done."),
    ],
)
def test_the_users_duties_say_when_they_are_asked(environment: str, place: str, duty: Duty, first: str) -> None:
    assert told(SWITCH, [stay(environment, place=place)], None, duty) == (first,)


def test_two_occasions_stand_one_after_the_other() -> None:
    by = book([line("own", Occasion.BEFORE_HIRE, PRESS), line("there", Occasion.EACH_DAY, PRESS, strength=BINDING)])
    said = told(SWITCH, [stay("own", place="there")], None, PRESS, by)
    assert said == ("Before each hire; each day, before first use.",)


def test_a_duty_that_is_not_asked_has_one_sentence_and_no_rules() -> None:
    spared = Item(Kind.APPLIANCE_CLASS_1, protected_by_switch=True)
    assert told(spared, [stay("law")]) == (
        "Not asked of this item, as it is connected to a safety switch: Rule 1:2020 Table 1, restated second-hand.",
    )
    assert ruled(spared, [stay("law")]) == ()


@pytest.mark.parametrize(
    ("item", "said"),
    [
        (tool(Condition.STORED), "In store since 1 Mar 2026."),
        (tool(Condition.STORED, None), "In store."),
    ],
)
def test_a_stored_item_says_so(item: Item, said: str) -> None:
    assert told(item, [stay("shed")])[1:] == (said,)


@pytest.mark.parametrize("condition", [Condition.NEW, Condition.REPAIRED, Condition.STORED])
def test_what_the_rulebook_says_of_a_condition_stands_with_its_source(condition: Condition) -> None:
    stored = ConditionRule("This is the rule.", TOLD)
    by = book([line("shed", "P6M"), line("shed", "P1M", PRESS)], conditions={condition: stored})
    sentence = "This is the rule: Rule 1:2020 Table 1."
    assert sentence in told(tool(condition), [stay("shed")], None, by=by)
    assert (sentence in told(tool(condition), [stay("shed")], date(2026, 5, 1), by=by)) is (
        condition is Condition.STORED
    )
    assert (sentence in told(tool(condition), [stay("shed")], None, PRESS, by)) is (condition is Condition.STORED)


# ---- the rules


def test_a_rule_tells_what_it_asks_whether_it_binds_and_where_it_stands() -> None:
    assert ruled(ITEM, [stay("shed")]) == (f"Guidance: every 6 months, {BY}",)
    assert ruled(ITEM, [stay("site")]) == (f"Binding maximum: every 3 months, and before first use at the site, {BY}",)
    assert ruled(SWITCH, [stay("site")], GLANCE) == (f"Binding rule: before each use, {BY}",)


def test_a_rule_with_conditions_names_them() -> None:
    assert ruled(ITEM, [stay("law")]) == (
        f"Binding maximum: every 12 months, unless it is connected to a safety switch, {BY}",
    )


def test_the_rule_of_the_place_is_marked_and_the_other_that_counts_stands_beside_it() -> None:
    assert ruled(SWITCH, [stay("hire", place="site")], PRESS) == (
        f"Binding maximum of the place (Site): every month, {BY}",
        f"Guidance: before each hire, {BY}",
    )


def test_a_range_notes_and_sources_that_disagree_follow_their_rule() -> None:
    memory = Source("Table 7", RULE, Confidence.DISPUTED)
    others = (Other("1 month", "a page"), Other("9 months", "another page"))
    by = book([line("hall", "P6M", up_to=months(12), source=memory, note="In dry halls.", others=others)])
    assert ruled(ITEM, [stay("hall")], by=by) == (
        "Guidance: every 6 to 12 months, by Rule 1:2020, Table 7, sources differ (rulebook made-up).",
        "In dry halls.",
        "Other sources say: 1 month (a page); 9 months (another page).",
    )


def test_the_rules_of_an_earlier_place_that_decides_are_told() -> None:
    assert ruled(ITEM, [stay("site"), stay("room", MOVED)])[0].startswith("Binding maximum: every 3 months")
    assert ruled(ITEM, [stay("site", made=[decision("P12M")])])[0].startswith("Binding maximum: every 3 months")


# ---- everything that the two real rulebooks can say

FACTS: tuple[Mapping[str, Any], ...] = (
    {},
    {"protected_by_switch": True},
    {"moved_in_use": False, "risk_factor": False},
    {"protected_by_switch": False, "moved_in_use": True, "risk_factor": True},
)


def everything(id_: str) -> Iterator[tuple[str, ...]]:
    """Yield what is told of every kind in every class and place, new, repaired, stored, with and without a test."""
    by = rulebook(id_)
    places = [
        (own, place)
        for own, place in product(by.environments, repeat=2)
        if own == place or by.environments[own].of_equipment
    ]
    conditions = [each for each in Condition if each is not Condition.OUT_OF_SCOPE]
    for kind, switch, known, condition in product(Kind, (None, SafetySwitch()), FACTS, conditions):
        item = Item(kind, safety_switch=switch, condition=condition, since=MOVED, **known)
        for (own, place), done in product(places, ({}, dict.fromkeys(Duty, Done(TESTED)))):
            for each in schedule(item, [Stay(Exposure(TESTED, own, place, id_))], {id_: by}, done):
                yield why(item, each, {id_: by})


@pytest.mark.parametrize("id_", ["au-in-service", "au-qld"])
def test_every_sentence_is_whole_and_nothing_is_said_twice(id_: str) -> None:
    said = set(everything(id_))
    assert len(said) > 100
    for sentences in said:
        assert len(set(sentences)) == len(sentences)
        assert len(sentences[0]) < 120 or sentences[0].startswith("Not asked"), "the first one stands in lists"
        for sentence in sentences:
            assert re.fullmatch(r"[A-Z].*[^.\s]\.", sentence)
            assert not re.search(r"\s\s|,,|\.\.|None|\s[.,;:]|every 1 |\(\)|\bP\d", sentence)

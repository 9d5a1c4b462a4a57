"""A small rulebook made by hand, and short ways to write items, stays and decisions, for the tests of the schedule.

Its classes: a shed (every 6 months), a quiet room (every 2 years), a building site (every 3 months, binding, tested
before the first use), a workshop by law (every 12 months, binding, unless the item is behind a safety switch), and
hire equipment (every 4 months; on a building site every month, binding).
"""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from register.domain.intervals import Interval, Occasion
from register.domain.items import Exposure, Item
from register.domain.rulebook import (
    ConditionRule,
    Confidence,
    Edition,
    EnvironmentClass,
    Fact,
    IntervalLine,
    Rulebook,
    RulebookScope,
    Source,
    Strength,
)
from register.domain.schedule import Done, DutyDue, Override, Scope, Stay, schedule
from register.domain.words import Condition, Duty, Kind

RULE = Edition("rule-1", "Rule 1:2020")
TOLD = Source("Rule 1:2020 Table 1", RULE, Confidence.RESTATED)
TEST, TIME, LOOK = Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME, Duty.FORMAL_VISUAL
PRESS, GLANCE = Duty.BUTTON_PRESS, Duty.USER_CHECK
GUIDE, BINDING = Strength.GUIDE, Strength.MAXIMUM
START = date(2020, 1, 1)


def months(number: int) -> Interval:
    return Interval.of(months=number)


def line(environment: str, every: str | Occasion, duty: Duty = TEST, **rest: Any) -> IntervalLine:  # noqa: ANN401 - whatever the line has
    """Return one line for every kind: by an interval such as P6M, or on an occasion."""
    when = {"on": every} if isinstance(every, Occasion) else {"every": Interval.parse(every)}
    values = {"kinds": frozenset(Kind), "source": TOLD, "rulebook": "made-up", **when, **rest}
    return IntervalLine(f"interval.{environment}", duty=duty, environments=frozenset({environment}), **values)


def book(lines: Iterable[IntervalLine], id_: str = "made-up", **rest: Any) -> Rulebook:  # noqa: ANN401 - whatever it has
    """Return a rulebook of these lines, with the classes that they name."""
    lines = tuple(lines)
    classes = {name for each in lines for name in each.environments | each.place}
    return Rulebook(
        id_,
        f"Rules of {id_}",
        "1",
        "Made up.",
        {name: EnvironmentClass(name, name.capitalize(), "") for name in sorted(classes)},
        {RULE.id: RULE},
        lines,
        (),
        (),
        **rest,
    )


BOOK = book(
    (
        line("shed", "P6M"),
        line("shed", "P12M", TIME, only_with_switch=True),
        line("shed", Occasion.EACH_DAY, PRESS, only_with_switch=True),
        line("room", "P2Y"),
        line("room", "P6M", PRESS, only_with_switch=True),
        line("site", "P3M", strength=BINDING, first=Occasion.BEFORE_FIRST_USE),
        line("site", "P3M", TIME, strength=BINDING, only_with_switch=True),
        line("site", "P1M", PRESS, strength=BINDING, only_with_switch=True),
        line("site", Occasion.EACH_USE, GLANCE, strength=BINDING),
        line("law", "P12M", strength=BINDING, unless=(Fact.PROTECTED_BY_SWITCH,)),
        line("hire", "P4M"),
        line("hire", "P1M", strength=BINDING, place=frozenset({"site"})),
        line("hire", "P6M", TIME, only_with_switch=True),
        line("hire", Occasion.BEFORE_HIRE, PRESS, only_with_switch=True),
    ),
    scope=RulebookScope(battery_run=False, source="Rule 1:2020 scope"),
    conditions={Condition.NEW: ConditionRule("New things count from their first day.", TOLD)},
)

ITEM = Item(Kind.EXTENSION_LEAD)
SWITCH = Item(Kind.PORTABLE_SAFETY_SWITCH)


def stay(
    environment: str, since: date = START, *, place: str = "", made: Iterable[Override] = (), by: str = ""
) -> Stay:
    """Return the time from a day on in a class, in a place of the same class unless another is named."""
    return Stay(Exposure(since, environment, place or environment, by or "made-up"), tuple(made))


def decision(
    interval: str,
    *,
    review_on: date = date(2030, 1, 1),
    scope: Scope = Scope.SITE,
    duty: Duty = TEST,
    approved_on: date = date(2025, 12, 1),
) -> Override:
    return Override(scope, duty, Interval.parse(interval), "kept dry.", "Ona Petrie", approved_on, review_on)


def duties_of(
    item: Item,
    stays: Iterable[Stay],
    done: Mapping[Duty, date] | date | None = None,
    books: Iterable[Rulebook] = (BOOK,),
) -> dict[Duty, DutyDue]:
    """Return the schedule by duty; a date alone says when everything was done."""
    known = dict.fromkeys(Duty, done) if isinstance(done, date) else done or {}
    passed = {duty: Done(on) for duty, on in known.items()}
    return {each.duty: each for each in schedule(item, tuple(stays), {each.id: each for each in books}, passed)}


def due_of(
    item: Item,
    stays: Iterable[Stay],
    done: date | None,
    duty: Duty = TEST,
    books: Iterable[Rulebook] = (BOOK,),
) -> date | None:
    """Return when one duty falls due that was done on a day."""
    return duties_of(item, stays, done, books)[duty].due

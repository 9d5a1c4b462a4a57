"""Three years of visits: who tested what on which day, what failed, what became of it, what was not found."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from typing import Final

from register.domain.intervals import Interval, add_interval
from register.domain.words import Check, Kind
from sample_sites.making.days import visits, working_day_on_or_after, working_day_on_or_before
from sample_sites.making.items import PastTest, SampleItem
from sample_sites.making.premises import Premises, Site
from sample_sites.making.readings import (
    LIMITS,
    OTHER_LIMIT,
    Taken,
    appliance_readings,
    faults_of,
    spoil,
    switch_readings,
)

MONTHS: Final = {
    "workshop": (6, 12), "flexed-or-hostile": (12, 12), "benign": (60, 24), "residential": (24, 24),
    "cleaning": (6, 6), "hire": (3, 3), "construction": (3, 3),
    "manufacturing": (6, 12), "service": (12, 12), "office": (60, 24), "rural": (12, 12),
}  # fmt: skip
"""Months from test to test and from operating-time test to the next, as this contractor goes by them
(AS/NZS 3760:2010 Table 4, AS/NZS 3012, Queensland Electrical Safety Regulation 2013; restated second-hand)."""

LEAST_MONTHS_OF_FIXED_SWITCH: Final = 12
FAILURE_RATE: Final = {"benign": 0.012, "office": 0.012, "residential": 0.02, "construction": 0.04}
OTHER_FAILURE_RATE: Final = 0.03
MISSED_RATE: Final = {"hire": 0.08, "construction": 0.04}
OTHER_MISSED_RATE: Final = 0.015
SEEN_SHARE: Final = 0.6
"""Share of faults that show on a look (common practice: most do)."""
REPAIRED_SHARE: Final = 0.45
WAITING_SHARE: Final = 0.4
"""Of the faults of the last months: how many still wait for a decision; the rest was thrown away."""
WAITS_DAYS: Final = 240
STORED_SHARE: Final = 0.012
MOVED_SHARE: Final = 0.03

ITEMS_A_DAY: Final = 110
LEAD_DAYS: Final = 30
LEAD_DAYS_OF_MONTHLY_VISITS: Final = 10

LOOKS_BAD: Final = (
    "cord sheath cut near plug", "plug pins bent", "case cracked", "cores showing at cord entry",
    "burn marks on plug", "cord taped up", "earth pin loose", "crushed cord",
)  # fmt: skip
REPAIRS: Final = ("new plug fitted", "cord shortened, new plug", "new cord fitted", "by owner's electrician")
FAULT_WORDS: Final = {
    Check.EARTH_RESISTANCE: "earth too high",
    Check.INSULATION_RESISTANCE: "insulation low",
    Check.LEAKAGE_CURRENT: "leakage too high",
    Check.POLARITY: "wired crossed",
    Check.TRIP_TIME: "too slow or did not trip",
}


@dataclass(frozen=True, slots=True)
class Hand:
    """Who tests on a visit and with what; `largest` is the most that the tester shows in megohm."""

    tester: str
    instrument: str
    largest: Decimal


@dataclass(frozen=True, slots=True)
class Work:
    """What is done to an item at one test."""

    appliance: bool
    switch: bool


def write_history(site: Site, items: Sequence[SampleItem], premises: Premises, today: date, rng: Random) -> None:
    """Write the history of every item of a site into it."""
    days = visits(site, today, rng)
    hands = [hand_of(premises, rng) for _ in days]
    for place, item in enumerate(items):
        history = _History(site, item, today, rng)
        for turn, (day, hand) in enumerate(zip(days, hands, strict=True)):
            if turn % site.rotate == item.number % site.rotate or item.tests:
                history.visit(working_day_on_or_after(day + timedelta(days=place // ITEMS_A_DAY)), hand)
        history.finish(days[-1])


def hand_of(premises: Premises, rng: Random) -> Hand:
    """Return one of the testers with one of the instruments."""
    tester = rng.choice(premises.testers)["name"]
    instrument = rng.choice(premises.instruments)
    return Hand(tester, instrument["serial"], Decimal(instrument["largest_megohm"]))


def take_test(site: Site, item: SampleItem, day: date, hand: Hand, work: Work, rng: Random) -> PastTest:
    """Add a passed test with all its readings to the item, and return it."""
    taken: list[Taken] = []
    if work.appliance:
        taken += appliance_readings(item.thing, item.nature, hand.largest, rng)
    if work.switch and item.thing.switch:
        turn = sum(earlier.switch_test for earlier in item.tests)
        taken += switch_readings(item.thing, item.thing.switch, item.nature, site.extra, turn, rng)
    test = PastTest(day, hand.tester, hand.instrument, work.appliance, work.switch, item.area.name, tuple(taken))
    item.tests.append(test)
    return test


class _History:
    """One item's way through the visits."""

    def __init__(self, site: Site, item: SampleItem, today: date, rng: Random) -> None:
        self.site, self.item, self.today, self.rng = site, item, today, rng
        self.missed = False

    def visit(self, day: date, hand: Hand) -> None:
        """Test what is due on the item on that day, if it is there and in service."""
        if day < self.item.since or day > self.today or self.item.state != "in use":
            return
        work = self._due(day)
        if work is None:
            return
        self.missed = self.rng.random() < MISSED_RATE.get(self.item.environment, OTHER_MISSED_RATE)
        if self.missed:
            return
        test = take_test(self.site, self.item, day, hand, work, self.rng)
        if self.rng.random() < FAILURE_RATE.get(self.item.environment, OTHER_FAILURE_RATE):
            self._fail(test)
            self._settle(test, hand, work)

    def _due(self, day: date) -> Work | None:
        lead = LEAD_DAYS_OF_MONTHLY_VISITS if self.site.every == 1 else LEAD_DAYS
        by = day + timedelta(days=lead)
        fixed = self.item.thing.kind is Kind.FIXED_SAFETY_SWITCH
        months, switch_months = MONTHS[self.item.environment]
        switch_months = max(switch_months, LEAST_MONTHS_OF_FIXED_SWITCH) if fixed else switch_months
        tests = self.item.tests
        appliance = not fixed and _is_due([test.day for test in tests if test.appliance_test], months, by)
        switch = self.item.thing.switch is not None and _is_due(
            [test.day for test in tests if test.switch_test], switch_months, by
        )
        if not (appliance or switch):
            return None
        if self.site.style in {"C", "D"}:  # those sheets have one date an item, so all is done at once
            return Work(appliance=not fixed, switch=self.item.thing.switch is not None)
        return Work(appliance=appliance, switch=switch)

    def _fail(self, test: PastTest) -> None:
        test.passed = False
        if test.appliance_test and self.rng.random() < SEEN_SHARE:
            test.look_passed = False
            test.remarks = self.rng.choice(LOOKS_BAD)
            test.readings = ()
            return
        fault = self.rng.choice(faults_of(self.item.thing, switch_test=test.switch_test))
        switch = self.item.thing.switch
        limit = LIMITS.get(switch.type, OTHER_LIMIT) if switch and switch.type else OTHER_LIMIT
        test.readings = spoil(test.readings, fault, limit, self.rng)
        test.remarks = FAULT_WORDS[fault]

    def _settle(self, test: PastTest, hand: Hand, work: Work) -> None:
        """Settle what became of a failed item: repaired and tested again, still waiting, or removed."""
        again = working_day_on_or_after(test.day + timedelta(days=self.rng.randint(3, 24)))
        fixed = self.item.thing.kind is Kind.FIXED_SAFETY_SWITCH
        if self.rng.random() < REPAIRED_SHARE and again < self.today and not fixed:
            repaired = take_test(self.site, self.item, again, hand, work, self.rng)
            repaired.remarks = f"after repair: {self.rng.choice(REPAIRS)}"
        elif (self.today - test.day).days < WAITS_DAYS and self.rng.random() < WAITING_SHARE:
            self.item.state = "out of service"
        else:
            self.item.state = "removed"
            self.item.removed_on = min(again, working_day_on_or_before(self.today))

    def finish(self, last_visit: date) -> None:
        """Settle what the sheet says of items that were moved, put away, or not there at the end."""
        item = self.item
        if self.rng.random() < MOVED_SHARE:
            self._move()
        if item.state != "in use":
            return
        if not item.tests:
            item.state = "new" if item.since > last_visit else "in use"
        elif self.missed and self.rng.random() < SEEN_SHARE:
            item.state, item.remarks = "not found", "not seen at last visit"
        elif self.rng.random() < STORED_SHARE:
            item.state = "stored"

    def _move(self) -> None:
        """Let the item have come from another area of the same class, at some time between two of its tests."""
        others = [
            area
            for area in self.site.areas
            if area.environment == self.item.area.environment and area != self.item.area
        ]
        earlier = self.item.tests[: self.rng.randint(1, 3)]
        fixed = self.item.thing.kind is Kind.FIXED_SAFETY_SWITCH
        if fixed or not others or len(earlier) == len(self.item.tests):
            return
        origin = self.rng.choice(others).name
        for test in earlier:
            test.area = origin
        self.item.remarks = self.item.remarks or f"moved from {origin}"


def _is_due(done: list[date], months: int, by: date) -> bool:
    return not done or add_interval(done[-1], Interval.of(months=months)) <= by

"""What every way of writing the sheets has in common."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Final

from register.domain.words import Bound
from sample_sites.making.items import PastTest, SampleItem
from sample_sites.making.premises import Premises, Site
from sample_sites.making.readings import Taken
from sample_sites.making.table import Cell, Table

MOST_OUTLETS: Final = 6


@dataclass(frozen=True, slots=True)
class Headings:
    """Where a style has what wrong rows are planted in; None where it has no such column.

    `trip` gives the heading of the trip time at 1x of an outlet, first half-cycle.
    """

    tag: str
    kind: str
    description: str
    environment: str
    day: str
    trip: Callable[[int], str] | None = None
    earth: str | None = None


@dataclass(frozen=True, slots=True)
class Style:
    """One way of writing a site's items and tests down.

    `tables` gives the tables of the file in their order: all tests stand in the last, all items in the first.
    `impossible_day` writes the 31st of April of a year, `trip_time` a reading typed as given.
    """

    letter: str
    headings: Headings
    tag: Callable[[int], Cell]
    day: Callable[[date], Cell]
    impossible_day: Callable[[int], Cell]
    trip_time: Callable[[str], Cell]
    tables: Callable[[Site, list[SampleItem], Premises, date], list[Table]]


def place_of(taken: Taken, item: SampleItem) -> int | None:
    """Return the outlet that has to be named: None for the item as a whole and for an only outlet."""
    return taken.outlet if item.thing.outlets > 1 else None


def latest(item: SampleItem) -> PastTest | None:
    """Return the last test of an item."""
    return item.tests[-1] if item.tests else None


def plain(taken: Taken) -> Cell:
    """Return a reading for a column with its unit in the head: a number, or `>300`, or `no trip`."""
    if taken.bound is Bound.NO_TRIP:
        return "no trip"
    if taken.value is None:
        return taken.word
    return taken.value if taken.bound is Bound.EXACT else f"{taken.bound.value}{taken.value}"

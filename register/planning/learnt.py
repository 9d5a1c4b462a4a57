"""Minutes of work learnt from the register's own timings: how long it took from one record to the next.

The time between two records of the same person at the same site on the same day was spent on the later item: fetched,
looked at, measured, tagged. Stretches longer than any test are breaks, such as lunch, and count for nothing; what
remains is judged by its median, so that the odd long or short one moves nothing.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from statistics import median
from typing import Final

from register.domain.words import Duty, Kind
from register.planning.workload import Minutes

LEAST_TIMINGS: Final = 20
"""So many timings of a kind before they count; common practice of estimating a median, no source."""

BREAK_SECONDS: Final = 20 * 60
"""From here on a stretch is a break, not a test."""

BURST_SECONDS: Final = 15
"""Below this the records were typed in afterwards, one after the other."""

_TENTH: Final = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Timing:
    """A record as it was timed: of what kind of item, whose and where, on which day at which second of it."""

    kind: Kind
    duties: frozenset[Duty]
    who: str
    site: str
    day: object
    second: int


@dataclass(frozen=True, slots=True)
class Learnt:
    """What was learnt of a kind: the median minutes of an item, how many times the usual, from how many timings."""

    minutes: Decimal
    factor: Decimal
    timings: int


def learn(timings: Iterable[Timing], usual: Minutes) -> dict[Kind, Learnt]:
    """Return what the timings teach, for each kind of which there are enough."""
    spent: defaultdict[Kind, list[tuple[float, float]]] = defaultdict(list)
    before: Timing | None = None
    for each in sorted(timings, key=lambda timing: (timing.who, timing.site, str(timing.day), timing.second)):
        if before is not None and (before.who, before.site, before.day) == (each.who, each.site, each.day):
            stretch = each.second - before.second
            expected = float(sum(usual.of(each.kind, duty) for duty in each.duties))
            if BURST_SECONDS <= stretch < BREAK_SECONDS and expected:
                spent[each.kind].append((stretch / 60, stretch / 60 / expected))
        before = each
    return {
        kind: Learnt(_rounded(minutes for minutes, _ in rows), _exact(factor for _, factor in rows), len(rows))
        for kind, rows in spent.items() if len(rows) >= LEAST_TIMINGS
    }  # fmt: skip


def with_learnt(minutes: Minutes, learnt: Mapping[Kind, Learnt]) -> Minutes:
    """Return minutes in which the usual figures of a kind are as they were learnt; the firm's own figures stay."""
    table = {kind: dict(row) for kind, row in minutes.table.items()}
    for kind in learnt.keys() - minutes.kinds:
        factor = learnt[kind].factor
        table[kind] = {check: (said * factor).quantize(_TENTH) for check, said in table.get(kind, {}).items()}
    return replace(minutes, table=table, learnt=frozenset(learnt) - minutes.kinds)


def _rounded(values: Iterable[float]) -> Decimal:
    return Decimal(median(values)).quantize(_TENTH)


def _exact(values: Iterable[float]) -> Decimal:
    return Decimal(median(values)).quantize(Decimal("0.001"))

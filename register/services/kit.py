"""What goes into the van for a stop or a day: leads for the set-ups, adaptors, tags."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil
from typing import Final

from register.domain.words import Duty, Kind
from register.planning.site_week import Task
from register.planning.week_rows import PlannedStop

SPARE: Final = 0.1
"""How many tags more than items go along, for those that spoil."""

_NEEDS: Final = (
    ("Return lead to the tester's earth", frozenset(Kind), frozenset({Duty.OPERATING_TIME})),
    ("Isolating transformer, for where the return lead gives no reading", frozenset(Kind),
     frozenset({Duty.OPERATING_TIME})),
    ("Adaptor from plug to appliance inlet", frozenset({Kind.CORD_SET}), frozenset({Duty.INSPECTION_AND_TEST})),
    ("Lead with plug and socket, for both ends of a lead", frozenset({Kind.EXTENSION_LEAD}),
     frozenset({Duty.INSPECTION_AND_TEST})),
    ("Probe lead for metal parts", frozenset({Kind.APPLIANCE_CLASS_1, Kind.APPLIANCE_CLASS_2}),
     frozenset({Duty.INSPECTION_AND_TEST})),
    ("Lead with a plug for each outlet", frozenset({Kind.PORTABLE_OUTLET_DEVICE}),
     frozenset({Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME})),
)  # fmt: skip
"""What duties on some kinds ask for; common practice, no source."""


@dataclass(frozen=True, slots=True)
class KitLine:
    """One thing to load, how many, and for what."""

    thing: str
    number: int
    what_for: str


def kit_of(stops: Iterable[PlannedStop]) -> tuple[KitLine, ...]:
    """Return what to load for some stops."""
    tasks = [task for stop in stops for task in (*stop.must, *(each.task for each in stop.early))]
    items = {task.item for task in tasks}
    if not items:
        return ()
    lines = [
        KitLine(thing, 1, _count(len({task.item for task in tasks if _needs(task, kinds, duties)})))
        for thing, kinds, duties in _NEEDS if any(_needs(task, kinds, duties) for task in tasks)
    ]  # fmt: skip
    sizes = Counter("small, for a lead" if _is_lead(task) else "large" for task in {t.item: t for t in tasks}.values())
    lines += [
        KitLine(f"Tags, {size}", ceil(number * (1 + SPARE)), f"{_count(number)} and some to spare")
        for size, number in sorted(sizes.items())
    ]
    lines.append(KitLine("Out-of-service tags", max(2, ceil(len(items) * SPARE)), "what fails"))
    return tuple(lines)


def _needs(task: Task, kinds: frozenset[Kind], duties: frozenset[Duty]) -> bool:
    return task.kind in kinds and task.duty in duties


def _is_lead(task: Task) -> bool:
    return task.kind in {Kind.CORD_SET, Kind.EXTENSION_LEAD}


def _count(number: int) -> str:
    return f"{number} {'item' if number == 1 else 'items'}"

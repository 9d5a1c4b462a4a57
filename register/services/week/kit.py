"""What goes into the van for a stop, a day or a week: leads for the set-ups, adaptors, tags by colour and size."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil
from types import MappingProxyType
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Duty, Kind, counted
from register.planning.site_week import Task
from register.planning.week_rows import PlannedStop
from register.services.rulebooks import rulebook
from register.services.settings import setting
from register.store.bulk import chunks
from register.store.tables import Area, Item, Site

SPARE: Final = 0.1
"""How many tags more than items go along, for those that spoil."""

NO_COLOURS: Final[Mapping[str, str]] = MappingProxyType({})

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


def kit_of(stops: Iterable[PlannedStop], colours: Mapping[str, str] = NO_COLOURS) -> tuple[KitLine, ...]:
    """Return what to load for some stops; `colours` names the colour of an item's tag, by the item."""
    tasks = [task for stop in stops for task in tasks_of(stop)]
    items = {task.item for task in tasks}
    if not items:
        return ()
    lines = [
        KitLine(thing, 1, counted(len({task.item for task in tasks if _needs(task, kinds, duties)}), "item"))
        for thing, kinds, duties in _NEEDS if any(_needs(task, kinds, duties) for task in tasks)
    ]  # fmt: skip
    sizes = Counter(_tag(task, colours.get(task.item, "")) for task in {t.item: t for t in tasks}.values())
    lines += [
        KitLine(f"Tags, {tag}", ceil(number * (1 + SPARE)), f"{counted(number, 'item')} and some to spare")
        for tag, number in sorted(sizes.items())
    ]
    lines.append(KitLine("Out-of-service tags", max(2, ceil(len(items) * SPARE)), "what fails"))
    return tuple(lines)


def _needs(task: Task, kinds: frozenset[Kind], duties: frozenset[Duty]) -> bool:
    return task.kind in kinds and task.duty in duties


def tag_colours(connection: Connection, stops: Iterable[PlannedStop]) -> dict[str, str]:
    """Return the colour that the tag of each item gets on the day of its stop, where its rulebook gives it one."""
    if setting(connection, "tag_colours", "on") != "on":
        return {}
    months = {task.item: stop.day.month for stop in stops for task in tasks_of(stop)}
    found: dict[str, str] = {}
    for some in chunks(sorted(months), 500):
        for item, rules, environment in connection.execute(_CLASSES.where(Item.id.in_(some))):
            for line in rulebook(rules).tag_colours:
                if environment in line.environments and months[item] in line.months:
                    found.setdefault(item, line.colour.value)
    return found


_CLASSES: Final = (
    sa.select(Item.id, Site.rulebook, sa.func.coalesce(Item.environment, Area.environment, Site.environment))
    .join(Site, Site.id == Item.site_id)
    .join(Area, Area.id == Item.area_id)
)


def tasks_of(stop: PlannedStop) -> list[Task]:
    """Return all that is done at a stop, what is pulled forward last."""
    return [*stop.must, *(each.task for each in stop.early)]


def _tag(task: Task, colour: str) -> str:
    size = "small, for a lead" if _is_lead(task) else "large"
    return f"{colour}, {size}" if colour else size


def _is_lead(task: Task) -> bool:
    return task.kind in {Kind.CORD_SET, Kind.EXTENSION_LEAD}

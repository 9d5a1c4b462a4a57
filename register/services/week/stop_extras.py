"""What a visit has besides its duties: what to look for again, the tag numbers set aside for it, its field pack."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.planning.week_rows import PlannedStop, PlannedWeek
from register.services.packs.packing import PackRow, packs_made
from register.services.projection import REMOVED
from register.services.week.kept import week_visits
from register.store.tables import Area, Item, Site


@dataclass(frozen=True, slots=True)
class Extras:
    """In words: the items that nobody found before, numbers "A-101 to A-110", the pack; empty where there are none."""

    look_for: tuple[str, ...] = ()
    tags: str = ""
    pack: str = ""


NO_EXTRAS: Final = Extras()


def stop_extras(connection: Connection, week: PlannedWeek) -> dict[str, Extras]:
    """Return what the stops of a week have besides their duties, by the keys of the stops.

    Numbers are set aside once the week is kept. What nobody found is told at the first visit of its site.
    """
    missing = _not_found(connection, {stop.code for stop in week.stops})
    kept = {
        (row.code, row.part): f"{row.tags_first} to {row.tags_last}"
        for row in week_visits(connection, week.draft.asked.monday) if row.tags_first and not row.cancelled
    }  # fmt: skip
    packs = [row for row in packs_made(connection) if not row.merged]
    return {
        stop.key: Extras(
            tuple(missing[stop.code]) if stop.part == 1 else (), kept.get((stop.code, stop.part), ""),
            _pack(packs, stop),
        )
        for stop in week.stops
    }  # fmt: skip


def _not_found(connection: Connection, codes: Iterable[str]) -> defaultdict[str, list[str]]:
    found: defaultdict[str, list[str]] = defaultdict(list)
    rows = (
        sa.select(Site.code, Item.tag_number, Item.description, Area.name, Item.not_found_on)
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
        .where(Item.not_found_on.is_not(None), Item.state != REMOVED)
        .order_by(Area.name, Item.tag_number)
    )
    wanted = set(codes)
    for code, tag, description, area, since in connection.execute(rows):
        if code in wanted and since is not None:
            found[code].append(f"{tag} {description}, {area}, not found on {day_words(since)}")
    return found


def _pack(packs: Iterable[PackRow], stop: PlannedStop) -> str:
    """Return the latest pack that has the site, is good on that day, and has not come back."""
    pack = next((row for row in packs if stop.code in row.sites and row.expires_on >= stop.day), None)
    if pack is None:
        return ""
    return f"Made for {pack.holder} on {day_words(pack.made_on)}, to be used until {day_words(pack.expires_on)}"

"""The stops of today as the bench takes them: where to begin, in which area, and what is left at each."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.services.week.kept import TodaysVisit, todays_visits
from register.services.week.visiting import clock_words
from register.store.bulk import chunks
from register.store.tables import Area, Duty, Item
from register.store.visits import VisitDuty


@dataclass(frozen=True, slots=True)
class TodaysStop:
    """A stop of today with the area in which most is left, or else the first; empty where the site has none."""

    visit: TodaysVisit
    area_id: str
    area: str

    @property
    def left(self) -> int:
        """How many of its duties are not done yet."""
        return self.visit.duties - self.visit.done

    @property
    def words(self) -> str:
        """Which it is: "8:01 Boatyard"."""
        return f"{clock_words(self.visit.arrive)}  {self.visit.name}"

    @property
    def progress(self) -> str:
        """How far it has got: "12 of 39 done, Van 1"."""
        return f"{self.visit.done} of {self.visit.duties} done, {self.visit.van}"


def todays_stops(connection: Connection, today: date) -> tuple[TodaysStop, ...]:
    """Return the stops of a kept week that are today's, by van and time."""
    visits = todays_visits(connection, today)
    areas = _areas(connection, {visit.site_id for visit in visits})
    most = _most_left(connection, {visit.id: visit.site_id for visit in visits}, today)
    found = []
    for visit in visits:
        area = most.get(visit.id) or next(iter(areas[visit.site_id]), "")
        found.append(TodaysStop(visit, area, areas[visit.site_id].get(area, "")))
    return tuple(found)


def stop_to_begin(stops: Sequence[TodaysStop]) -> TodaysStop | None:
    """Return the stop where work goes on: one begun and not done, or the next of a single van; None where it's open."""
    begun = [stop for stop in stops if stop.left and stop.visit.done]
    if len(begun) == 1:
        return begun[0]
    one_van = len({stop.visit.van for stop in stops}) == 1
    return next((stop for stop in stops if stop.left and one_van), None)


def _areas(connection: Connection, sites: set[str]) -> dict[str, dict[str, str]]:
    """Return the names of the areas of some sites by their ids, in their order."""
    found: defaultdict[str, dict[str, str]] = defaultdict(dict)
    rows = sa.select(Area.site_id, Area.id, Area.name).where(Area.site_id.in_(sites)).order_by(Area.name, Area.id)
    for site_id, area_id, name in connection.execute(rows):
        found[site_id][area_id] = name
    return found


def _most_left(connection: Connection, visits: dict[str, str], today: date) -> dict[str, str]:
    """Return for each visit the area of its site in which most of its duties are left."""
    left: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for some in chunks(sorted(visits), 500):
        rows = connection.execute(
            sa.select(VisitDuty.visit_id, Item.area_id, sa.func.count())
            .join(Item, Item.id == VisitDuty.item_id)
            .join(Duty, (Duty.item_id == VisitDuty.item_id) & (Duty.duty == VisitDuty.duty))
            .where(VisitDuty.visit_id.in_(some), sa.or_(Duty.last_done.is_(None), Duty.last_done < today))
            .where(Item.site_id.in_(set(visits.values())))
            .group_by(VisitDuty.visit_id, Item.area_id)
            .order_by(VisitDuty.visit_id, Item.area_id)
        )
        for visit_id, area_id, count in rows:
            left[visit_id][area_id] += count
    return {visit_id: counts.most_common(1)[0][0] for visit_id, counts in left.items()}

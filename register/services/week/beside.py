"""What stands beside a planned week: what to load for it, and how far its visits have got."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy.engine import Connection

from register.planning.week_rows import PlannedWeek
from register.services.week.kept import TodaysVisit, week_progress
from register.services.week.kit import KitLine, kit_of, tag_colours


@dataclass(frozen=True, slots=True)
class Beside:
    """What to load for all days of a week together, and its visits up to today with what is done of each."""

    of: PlannedWeek
    kit: tuple[KitLine, ...]
    done: tuple[tuple[date, TodaysVisit], ...]


def beside_week(connection: Connection, week: PlannedWeek, today: date) -> Beside:
    """Return what stands beside a week."""
    done = week_progress(connection, week.draft.asked.monday, today)
    return Beside(week, kit_of(week.stops, tag_colours(connection, week.stops)), tuple(done))

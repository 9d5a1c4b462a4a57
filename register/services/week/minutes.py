"""The minutes of work in force: the firm's own figures, over those learnt from its records, over the usual ones."""

from datetime import time

from sqlalchemy.engine import Connection

from register.domain.words import Duty, Kind
from register.planning.learnt import Learnt, Timing, learn, with_learnt
from register.planning.workload import Minutes, minutes_from
from register.services.settings import setting
from register.store.timings import latest_timings


def minutes_in_force(connection: Connection) -> Minutes:
    """Return how many minutes each check takes on an item of each kind."""
    return with_learnt(minutes_from(setting(connection, "minutes")), learnt_minutes(connection))


def learnt_minutes(connection: Connection) -> dict[Kind, Learnt]:
    """Return what the register's latest records teach about minutes, for each kind of which there are enough."""
    duties: dict[str, set[Duty]] = {}
    rows = {}
    for row in latest_timings(connection):
        rows[row.id] = row
        duties.setdefault(row.id, set()).add(Duty(row.duty))
    timings = [
        Timing(Kind(row.kind), frozenset(duties[key]), row.tester, row.site_id, row.tested_on, _second(row.tested_at))
        for key, row in rows.items()
    ]
    return learn(timings, Minutes())


def _second(said: str) -> int:
    at = time.fromisoformat(said)
    return at.hour * 3600 + at.minute * 60 + at.second

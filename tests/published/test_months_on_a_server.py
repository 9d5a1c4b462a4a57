"""Month arithmetic against PostgreSQL's own: `date + interval`, of each day of thirteen years.

Source: PostgreSQL's documentation, "Date/Time Functions and Operators": adding months that end on no such day gives the
last day of the month. Run against the server itself, not against what it says.
"""

from datetime import date, timedelta

import psycopg
import pytest

from register.domain.intervals import Interval, add_interval
from tests.servers import CHIEF, Server, server

__all__ = ["server"]

FIRST, LAST = date(2020, 1, 1), date(2032, 12, 31)
DAYS = [FIRST + timedelta(days=number) for number in range((LAST - FIRST).days + 1)]


@pytest.mark.parametrize("months", [1, 3, 6, 12, 24, 60])
def test_every_day_of_thirteen_years_falls_due_where_a_server_says(server: Server, months: int) -> None:
    with psycopg.connect(host=str(server.folder), user=CHIEF, dbname="postgres") as connection:
        said = connection.execute(
            "SELECT (day + make_interval(months => %s))::date FROM unnest(%s::date[]) WITH ORDINALITY AS d (day, place)"
            " ORDER BY place",
            (months, DAYS),
        ).fetchall()
    interval = Interval.parse(f"P{months}M")
    ours = [add_interval(day, interval) for day in DAYS]
    assert ours == [day for (day,) in said]
    assert all(due > day for day, due in zip(DAYS, ours, strict=True))


def test_a_leap_day_and_a_month_without_such_a_day_are_among_them(server: Server) -> None:
    with psycopg.connect(host=str(server.folder), user=CHIEF, dbname="postgres") as connection:
        found = connection.execute(
            "SELECT (date '2024-02-29' + interval '12 months')::date, (date '2026-08-31' + interval '6 months')::date"
        ).fetchone()
    assert found == (date(2025, 2, 28), date(2027, 2, 28))
    assert add_interval(date(2024, 2, 29), Interval.parse("P12M")) == found[0]
    assert add_interval(date(2026, 8, 31), Interval.parse("P6M")) == found[1]

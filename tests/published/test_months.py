r"""Month arithmetic against PostgreSQL's own, `date + interval`, and against pandas', of each day of thirteen years.

Source: PostgreSQL's documentation, "Date/Time Functions and Operators": adding months that end on no such day gives the
last day of the month. Run against the server itself, not against what it says. What pandas 3.1.1 says was worked out
with it once, and is kept here as a digest, so that the tests need not install it:

    said = (pandas.date_range("2020-01-01", "2032-12-31") + pandas.DateOffset(months=6)).strftime("%Y-%m-%d")
    hashlib.sha256("\n".join(said).encode()).hexdigest()[:32]
"""

import hashlib
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


PANDAS = {
    1: "d006413b613f8945b9d18f2fd3de1090", 3: "b1a48e9783fe42275eb5668a841e97e4", 6: "031aad7dd297967ef3a22c35b128e7a4",
    12: "61a1b584f58921fe1eea06c859a16118", 24: "bdcfc1f49f22512f9cfbc9a0539e91c4",
    60: "15fe84c65e675555cecef352f641a882",
}  # fmt: skip


@pytest.mark.parametrize("months", PANDAS)
def test_every_day_of_thirteen_years_falls_due_where_pandas_says(months: int) -> None:
    ours = "\n".join(add_interval(day, Interval.parse(f"P{months}M")).isoformat() for day in DAYS)
    assert hashlib.sha256(ours.encode()).hexdigest()[:32] == PANDAS[months]


def test_a_leap_day_and_a_month_without_such_a_day_are_among_them(server: Server) -> None:
    with psycopg.connect(host=str(server.folder), user=CHIEF, dbname="postgres") as connection:
        found = connection.execute(
            "SELECT (date '2024-02-29' + interval '12 months')::date, (date '2026-08-31' + interval '6 months')::date"
        ).fetchone()
    assert found == (date(2025, 2, 28), date(2027, 2, 28))
    assert add_interval(date(2024, 2, 29), Interval.parse("P12M")) == found[0]
    assert add_interval(date(2026, 8, 31), Interval.parse("P6M")) == found[1]

"""The visits of a kept week as a calendar (RFC 5545): one event a visit, the same one however often it is changed."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta
from typing import Final

from icalendar import Calendar, Event, vText

from register.services.week.kept import VisitRow

PRODUCT: Final = "-//Retest Register//Visits//EN"
DOMAIN: Final = "visit.retest-register"


def calendar_of(visits: Iterable[VisitRow], addresses: dict[str, str], *, at: datetime) -> bytes:
    """Return visits as a calendar, those dropped as cancelled; `addresses` by the site's code.

    Times are those of the wall's clock wherever the reader is: a visit at 8 is at 8 at the site. `at` is the moment
    of writing.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for visit in visits:
        calendar.add_component(_event(visit, addresses.get(visit.code, ""), at))
    return bytes(calendar.to_ical())


def _event(visit: VisitRow, address: str, at: datetime) -> Event:
    event = Event()
    event.add("uid", f"{visit.id}@{DOMAIN}")
    event.add("sequence", visit.sequence)
    event.add("dtstamp", at.astimezone(UTC))
    event.add("dtstart", _moment(visit.day, visit.arrive))
    event.add("dtend", _moment(visit.day, visit.leave))
    event.add("summary", _Text(f"{visit.name}, {visit.van}"))
    if address:
        event.add("location", _Text(address))
    event.add("status", "CANCELLED" if visit.cancelled else "CONFIRMED")
    return event


class _Text(vText):
    """A text that is read back as it was: icalendar takes a backslash before an N in it for a new line."""

    def to_ical(self) -> bytes:
        """Return the text with its marks escaped, as RFC 5545 has it in 3.3.11."""
        said = "\n".join(self.splitlines())
        for mark, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
            said = said.replace(mark, escaped)
        return "".join(sign for sign in said if sign >= " " or sign == "\t").encode()


def _moment(day: date, minute: int) -> datetime:
    return datetime.combine(day, time()) + timedelta(minutes=minute)

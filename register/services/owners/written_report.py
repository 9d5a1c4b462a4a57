"""A report's end of the history, as it was written down, held against the register: shows what was cut off since."""

import re
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.store import chain
from register.store.seals import Seal
from register.store.tables import Event

_MARK: Final = re.compile(r"[0-9a-f]{6,64}")
_MOST_DIGITS: Final = 12


def told_by_report(connection: Connection, events: str, mark: str) -> str:
    """Return in words what of the history is not as a report tells; empty where all before its end is as it was.

    A report tells the number of events and the check mark of the last one. Refused where one of the two is none.
    """
    number, start = _number(events), mark.strip().lower()
    if not _MARK.fullmatch(start):
        raise Refused(f"“{mark[:24]}” is no check mark. Copy the letters and digits from the report, 8 of them.")
    end = chain.head(connection)
    if end.count < number:
        lost = number - end.count
        missing = "the last of them is" if lost == 1 else f"the last {lost:,} of them are"
        return (
            f"The report was written when {number:,} events were recorded, and now there are {end.count:,}: {missing}"
            " missing."
        )
    links = sa.union(sa.select(Event.hash).where(Event.seq == number), sa.select(Seal.hash).where(Seal.seq == number))
    broken = chain.broken_at(connection)
    if broken is not None and broken <= number:
        return f"The history was changed from outside at event {broken:,}, which the report covers."
    if any(link.startswith(start) for link in connection.execute(links).scalars()):
        return ""
    return (
        f"The history does not go through the report's check mark {start} at event {number:,}: it was changed at or"
        " before it, or the report is of another register."
    )


def _number(text: str) -> int:
    digits = text.replace(",", "").strip()
    if not (digits.isascii() and digits.isdecimal() and len(digits) <= _MOST_DIGITS and int(digits)):
        raise Refused(f"“{text[:24]}” is no number of events. Copy it from the report, such as 4,377.")
    return int(digits)

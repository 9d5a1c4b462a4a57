"""What can't be true of a record, whatever the values: an outlet that isn't there, a trip time without its place."""

from collections import Counter
from typing import Final

from register.domain.items import Item
from register.domain.measures import TRIPS
from register.domain.places import a_kind, times_words
from register.domain.records import HALF_CYCLES, MULTIPLES, Reading, TestRecord
from register.domain.words import CONTRACTORS_DUTIES, Check, counted, spoken
from register.errors import Refused

MOST_READINGS: Final = 2_000
"""More than the largest outlet board needs with every check, half-cycle, multiple and ramp, several times over."""


def check_record(record: TestRecord, item: Item) -> None:
    """Refuse a record that can't be one of this item, with the sentence of the first thing that can't be true."""
    if len(record.readings) > MOST_READINGS:
        raise Refused(f"{len(record.readings)} readings are more than one record can hold ({MOST_READINGS}). Split it.")
    if len(set(record.duties)) < len(record.duties):
        duty, times = Counter(record.duties).most_common(1)[0]
        raise Refused(f"The record names the {spoken(duty)} {times} times. Name each duty once.")
    for duty in record.duties:
        if duty not in CONTRACTORS_DUTIES:
            raise Refused(
                f"A record is of the contractor's duties; the {spoken(duty)} is the user's. Leave it out of the record,"
                " and mark it as done instead."
            )
    for reading in record.readings:
        fault = reading_fault(reading) or _fault_on(reading, item)
        if fault:
            raise Refused(fault)


def reading_fault(reading: Reading) -> str:
    """Return what can't be true of a reading on any item, as a sentence; empty where nothing is wrong."""
    name = spoken(reading.check)
    if reading.half_cycle is not None and reading.half_cycle not in HALF_CYCLES:
        return f"A half-cycle is 0 or 180, not {reading.half_cycle}. Correct the half-cycle of the {name}."
    if reading.multiple is not None and reading.multiple not in MULTIPLES:
        known = ", ".join(times_words(each) for each in MULTIPLES)
        return f"A trip time is measured at {known}, not at {times_words(reading.multiple)}. Correct the multiple."
    if reading.check is Check.TRIP_TIME:
        return _place_fault(reading)
    if reading.multiple is not None:
        return f"Only a trip time has a multiple of the rated residual current, {name} has none. Leave it out."
    if reading.check not in TRIPS and (reading.half_cycle is not None or reading.test_current is not None):
        return f"Only trip readings have a half-cycle and a test current, {name} has none. Leave them out."
    return ""


def _place_fault(reading: Reading) -> str:
    if reading.multiple is None:
        return "A trip time says nothing without the multiple of the rated residual current it was measured at. Add it."
    if reading.half_cycle is None:
        return "A trip time says nothing without its half-cycle, 0 or 180. Add it."
    return ""


def _fault_on(reading: Reading, item: Item) -> str:
    """Return what can't be true of a reading on this item."""
    name = spoken(reading.check)
    if reading.check in TRIPS and not item.has_switch:
        return f"A {name} can't be measured on {a_kind(item.kind)} without a safety switch. Check the tag and the item."
    if reading.outlet is None:
        return ""
    if item.outlets == 0 and reading.outlet != 1:
        return f"Outlet {reading.outlet} does not exist: the item has no outlets. Check the outlet and the tag."
    if item.outlets and not 1 <= reading.outlet <= item.outlets:
        count = counted(item.outlets, "outlet")
        return f"Outlet {reading.outlet} does not exist: the item has {count}. Check the outlet and the tag."
    return ""

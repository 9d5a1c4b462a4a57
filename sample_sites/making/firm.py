"""What the spreadsheets don't say: the firm, its testers and instruments, its customers' sites, and the demo's item."""

import json
from collections.abc import Iterable
from datetime import date, timedelta
from random import Random
from typing import Any, Final

from register.domain.intervals import Interval, add_interval
from sample_sites.making.days import working_day_on_or_before
from sample_sites.making.history import Hand, Work, take_test
from sample_sites.making.items import SampleItem
from sample_sites.making.premises import Premises, Site
from sample_sites.making.readings import Nature

DEMO_SITE: Final = "BOAT"
DEMO_THING: Final = "prcd2"
DEMO_TRIP: Final = 24.0
DEMO_RECORD_ID: Final = "01935c8e-7a00-7c4b-9f2e-5d1a4b6c8e10"
CALIBRATED_FOR: Final = Interval.of(months=12)


def demo_item(items: Iterable[SampleItem]) -> SampleItem:
    """Return the two-outlet portable safety switch of the boat yard that the demo tests."""
    return next(item for item in items if item.thing.name == DEMO_THING)


def settle_demo_item(site: Site, item: SampleItem, hand: Hand, today: date, rng: Random) -> None:
    """Give the demo's item a plain history: passed every half year, both tests a few days overdue today."""
    item.tests, item.state, item.removed_on, item.remarks, item.earlier_tag = [], "in use", None, "", ""
    item.switch, item.own_class, item.serial = item.thing.switch, "", "318-2207"
    item.nature = Nature(trip=DEMO_TRIP, drift=0.4, earth=0.11, insulation=400.0, leakage=0.1)
    item.since = working_day_on_or_before(add_interval(today, Interval.of(months=-37)))
    for half_years in range(6, 0, -1):
        day = add_interval(today, Interval.of(months=-6 * half_years, days=-4))
        work = Work(appliance=True, switch=half_years % 2 == 0)
        take_test(site, item, working_day_on_or_before(day), hand, work, rng)


def demo_record(today: date, tag: str, premises: Premises) -> dict[str, Any]:
    """Return the test record that the demo takes in: complete, with one trip time too long, as JSON for `record`."""
    readings: list[dict[str, Any]] = []
    for outlet, earth in ((1, "0.11"), (2, "0.12")):
        readings += [
            {"quantity": "earth-resistance", "outlet": outlet, "value": earth, "unit": "ohm", "bound": "="},
            {"quantity": "polarity", "outlet": outlet, "value": "right", "unit": "", "bound": "="},
        ]
    readings.append({"quantity": "insulation-resistance", "value": "200", "unit": "Mohm", "bound": ">"})
    times = {(1, 0): "25.6", (1, 180): "27.1", (2, 0): "26.3", (2, 180): "310.4"}
    readings += [
        {
            "quantity": "trip-time", "outlet": outlet, "half_cycle": half, "multiple": "1", "test_current": "ac",
            "value": time, "unit": "ms", "bound": "=",
        }
        for (outlet, half), time in times.items()
    ]  # fmt: skip
    return {
        "id": DEMO_RECORD_ID,
        "tag": tag,
        "site": DEMO_SITE,
        "tested_on": today.isoformat(),
        "tester": premises.testers[0]["name"],
        "instrument": premises.instruments[0]["serial"],
        "set_up": "tester-feeds-device",
        "duties": ["inspection-and-test", "operating-time"],
        "visual": "pass",
        "readings": readings,
        "remarks": "Second outlet slow on one half-cycle only.",
    }


def register_of_sites(premises: Premises, files: dict[str, str], demo_tag: str, today: date) -> str:
    """Return `sites.toml`: who the contractor and his customers are. `files` gives the sheet of each site's code."""
    parts = [
        "# Who the contractor and his customers are. The item sheets say what stands where; this says whose it is.\n",
        _table("firm", premises.firm),
        _table("demo", {"today": today, "site": DEMO_SITE, "tag": demo_tag, "record": "demo_record.json"}),
    ]
    parts += [_table("[testers]", tester) for tester in premises.testers]
    for instrument in premises.instruments:
        calibrated = working_day_on_or_before(today - timedelta(days=instrument["calibrated_days_ago"]))
        dates = {"calibrated_on": calibrated, "calibration_due": add_interval(calibrated, CALIBRATED_FOR)}
        parts.append(_table("[instruments]", {"name": instrument["name"], "serial": instrument["serial"]} | dates))
    parts += [_table("[owners]", {"name": owner}) for owner in premises.owners]
    parts += [_site(site, files[site.code]) for site in premises.sites]
    return "\n".join(parts)


def _site(site: Site, file: str) -> str:
    fields = {
        "code": site.code, "name": site.name, "owner": site.owner, "address": site.address, "suburb": site.suburb,
        "rulebook": site.rulebook, "environment": site.environment, "access": site.access, "file": file,
        "style": site.style,
    }  # fmt: skip
    parts = [_table("[sites]", fields)]
    parts += [_table("[sites.areas]", {"name": area.name, "environment": area.environment}) for area in site.areas]
    return "\n".join(parts)


def _table(name: str, fields: dict[str, Any]) -> str:
    lines = [f"[{name}]", *(f"{key} = {_value(value)}" for key, value in fields.items())]
    return "\n".join(lines) + "\n"


def _value(value: str | date) -> str:
    return value.isoformat() if isinstance(value, date) else json.dumps(value, ensure_ascii=False)

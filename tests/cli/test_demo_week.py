"""The week of the sample register, worked out again from its file and the printed plan alone.

Nothing here uses the planner or the services: SQL on the file, the plan as JSON, and sums done in another way.
"""

import json
import math
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from register.cli.main import main

TODAY, WEEK, SUNDAY = "2026-11-24", "2026-W49", "2026-12-06"
EARTH_KM, ROADS, KMH = 6371.0088, 1.3, 45.0
LUNCH, LUNCH_MINUTES = 12 * 60, 30
MINUTES = {
    "portable-safety-switch": (3.5, 4), "fixed-safety-switch": (2, 5), "appliance-class-1": (3.5, 0),
    "appliance-class-2": (3, 0), "cord-set": (3, 0), "extension-lead": (3.5, 0), "portable-outlet-device": (4.5, 4),
    "isolating-transformer": (5, 0),
}  # fmt: skip
"""The usual minutes of an inspection and test, and of an operating-time test, by kind; the look alone comes apart."""

LOOK = {"cord-set": 1.5}

Point = tuple[float, float]


@dataclass(frozen=True)
class Site:
    """A site as the file has it."""

    place: Point | None
    hours: dict[int, tuple[int, int]]
    ready: int
    crew: int


USUAL = Site(None, dict.fromkeys(range(5), (8 * 60, 17 * 60)), 10, 1)
"""A site of which nobody said how it is visited."""


@dataclass(frozen=True)
class Facts:
    """What the file says that the plan rests on. `pressing` are the tags and duties due by the week's end, by site."""

    sites: dict[str, Site]
    vans: dict[str, tuple[int, int, int, list[int]]]
    base: Point
    kinds: dict[str, str]
    pressing: dict[str, set[tuple[str, str]]]


@pytest.fixture(scope="module")
def db(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample register, made once."""
    out = tmp_path_factory.mktemp("demo")
    assert main(["demo", "--out", str(out), "--today", TODAY, "--json"]) == 0
    return out / "demo.register"


@pytest.fixture(scope="module")
def facts(db: Path) -> Facts:
    """The facts by SQL."""
    with closing(sqlite3.connect(db)) as file:
        rows = file.execute(
            "SELECT s.code, v.place, v.hours, v.ready_minutes, v.crew"
            " FROM site s LEFT JOIN site_visiting v ON v.site_id = s.id"
        )
        sites = {
            code: USUAL if place is None else Site(point(place), spans(hours), ready, crew)
            for code, place, hours, ready, crew in rows
        }
        vans = {
            name: (start, until, crew, json.loads(days))
            for name, start, until, crew, days in file.execute("SELECT name, start, until, crew, days FROM van")
        }
        settings = dict(file.execute("SELECT name, value FROM setting"))
        pressing: dict[str, set[tuple[str, str]]] = {}
        for code, tag, duty in file.execute(
            "SELECT s.code, i.tag_number, d.duty FROM duty d JOIN item i ON i.id = d.item_id"
            " JOIN site s ON s.id = d.site_id"
            " WHERE d.planned AND d.contractors AND (d.due <= ? OR d.due IS NULL AND d.first_needed)", [SUNDAY],
        ):  # fmt: skip
            pressing.setdefault(code, set()).add((tag, duty))
        kinds = dict(file.execute("SELECT tag_number, kind FROM item"))
    base = point(json.loads(settings["planning"])["base"])
    assert base is not None
    return Facts(sites, vans, base, kinds, pressing)


def point(text: str) -> Point | None:
    lat, _, lon = text.partition(",")
    return (float(lat), float(lon)) if lon else None


def spans(text: str) -> dict[int, tuple[int, int]]:
    return {int(day): (opens, closes) for day, (opens, closes) in json.loads(text).items()}


def planned(db: Path, capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, Any]:
    words = ["--db", str(db), "--today", TODAY, "plan", "--week", WEEK, "--effort", "0.3", "--json", *more]
    assert main(words) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def clock(text: str) -> int:
    hours, minutes = text.split(":")
    return int(hours) * 60 + int(minutes)


def later(start: int, minutes: int) -> int:
    """Return when something ends that begins then, lunch between; as on the planner's clock, where lunch takes none."""
    end = start + minutes
    return end + LUNCH_MINUTES if start <= LUNCH < end else end


def drive(one: Point, other: Point) -> tuple[float, int]:
    """Return kilometres of road and minutes, by vectors from the middle of the globe."""
    if one == other:
        return 0.0, 0

    def vector(place: Point) -> tuple[float, float, float]:
        lat, lon = map(math.radians, place)
        return math.cos(lat) * math.cos(lon), math.cos(lat) * math.sin(lon), math.sin(lat)

    chord = math.dist(vector(one), vector(other))
    km = 2 * EARTH_KM * math.asin(chord / 2) * ROADS
    return km, math.ceil(round(km / KMH * 60, 6))


def work_of(stop: dict[str, Any], facts: Facts) -> int:
    """Return the minutes at a stop: set-up, then each duty by the kind of its item."""
    total = 0.0
    for task in (*stop["duties"], *stop["pulled_forward"]):
        kind = facts.kinds[task["tag"]]
        if task["duty"] == "formal-visual":
            total += LOOK.get(kind, 2)
        else:
            total += MINUTES[kind][task["duty"] == "operating-time"]
    return facts.sites[stop["site"]].ready + round(total)


def wrong_on(day: dict[str, Any], facts: Facts) -> list[str]:
    """Return what is wrong with the times of a day, and with its kilometres where all its places are known."""
    start, until, crew, days = facts.vans[day["van"]]
    weekday, now, faults = date.fromisoformat(day["date"]).weekday(), clock(day["leave_base"]), []
    legs: list[tuple[float, int] | None] = []
    here: Point | None = facts.base
    for stop in day["stops"]:
        site, said = facts.sites[stop["site"]], (clock(stop["arrive"]), clock(stop["leave"]))
        legs.append(drive(here, site.place) if here and site.place else None)
        now = said[0] if legs[-1] is None else later(now, legs[-1][1])  # how far an unknown place is can't be checked
        opens, closes = site.hours[weekday]
        begin = max(now, opens)
        end = later(LUNCH + LUNCH_MINUTES if LUNCH < begin < LUNCH + LUNCH_MINUTES else begin, stop["minutes"])
        if said != (now, end):
            faults.append(f"{stop['site']} {stop['arrive']}-{stop['leave']}, worked out {now}-{end}")
        if stop["minutes"] != work_of(stop, facts):
            faults.append(f"{stop['site']} {stop['minutes']} min, worked out {work_of(stop, facts)}")
        if end > closes or crew < site.crew:
            faults.append(f"{stop['site']}: beyond its hours or its crew")
        now, here = end, site.place
    legs.append(drive(here, facts.base) if here else None)
    known = [leg for leg in legs if leg is not None]
    if len(known) == len(legs):
        km, minutes, back = sum(km for km, _ in known), sum(took for _, took in known), later(now, known[-1][1])
        if (back, minutes) != (clock(day["back_at_base"]), day["drive_minutes"]) or abs(km - day["drive_km"]) > 0.051:
            faults.append(f"{day['date']}: worked out back {back}, {minutes} min, {km} km")
    if clock(day["leave_base"]) < start or clock(day["back_at_base"]) > until or weekday not in days:
        faults.append(f"{day['date']}: beyond the hours of {day['van']}")
    return faults


@pytest.mark.parametrize("more", [(), ("--vans", "1"), ("--leave-out", "HALL", "--pin", "BOAT=2026-12-03")])
def test_every_time_kilometre_and_minute_of_the_sample_week_is_right(
    db: Path, facts: Facts, capsys: pytest.CaptureFixture[str], more: tuple[str, ...]
) -> None:
    plan = planned(db, capsys, *more)
    assert [fault for day in plan["days"] for fault in wrong_on(day, facts)] == []
    stops = [stop for day in plan["days"] for stop in day["stops"]]
    totals = plan["totals"]
    assert totals["visits"] == len(stops)
    assert totals["minutes"] == sum(stop["minutes"] for stop in stops)
    assert totals["drive_minutes"] == sum(day["drive_minutes"] for day in plan["days"])
    km = sum(day["drive_km"] for day in plan["days"])
    assert totals["drive_km"] == pytest.approx(km, abs=0.05 * len(plan["days"]) + 0.05)


@pytest.mark.parametrize("more", [(), ("--vans", "1"), ("--vans", "0"), ("--leave-out", "HALL")])
def test_nothing_that_is_due_is_left_out_silently(
    db: Path, facts: Facts, capsys: pytest.CaptureFixture[str], more: tuple[str, ...]
) -> None:
    plan = planned(db, capsys, *more)
    done: dict[str, set[tuple[str, str]]] = {}
    for day in plan["days"]:
        for stop in day["stops"]:
            done.setdefault(stop["site"], set()).update((task["tag"], task["duty"]) for task in stop["duties"])
    told = {each["site"]: each for each in plan["left_out"]}
    assert sum(map(len, facts.pressing.values())) > 250
    for code, due in facts.pressing.items():
        if not due <= done.get(code, set()):
            assert told[code]["reason"], code
            assert told[code]["pressing"], code
    for code, tasks in done.items():
        assert tasks <= facts.pressing[code], code


def test_what_is_pulled_forward_is_not_due_yet_and_says_why(db: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = planned(db, capsys)
    early = [task for day in plan["days"] for stop in day["stops"] for task in stop["pulled_forward"]]
    assert len(early) == plan["totals"]["pulled_forward"] > 0
    assert all(task["due"] > SUNDAY and task["why"] for task in early)

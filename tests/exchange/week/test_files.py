"""Calendars, routes and map points as other programs read them."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from xml.etree import ElementTree as ET

import pytest
import vobject
from icalendar import Calendar

from register.exchange.week.calendar import calendar_of
from register.exchange.week.route_files import GPX, geojson_of, gpx_of
from register.planning.planned import plan
from register.services.week.kept import VisitRow
from tests.planning.weeks import asked, site

AT = datetime(2026, 11, 27, 15, tzinfo=UTC)
VISIT = VisitRow(
    "01a222e8-5b1d-7a2b-a3ec-406689431cb5", "s", "YARD", "Überholung; Ost, \\Süd\n" + "ß" * 70, 1, date(2026, 12, 1),
    "Van 1", 1, 8 * 60, 9 * 60 + 30, 90, "must", pinned=False, locked=False, cancelled=False, sequence=0,
)  # fmt: skip


def test_a_calendar_keeps_the_form_that_readers_expect() -> None:
    content = calendar_of([VISIT], {"YARD": "Gate 1, Lane; \\"}, at=AT)
    lines = content.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert b"\n" not in content.replace(b"\r\n", b"")
    content.decode()  # no character is split by the folds: each line by itself is text
    assert all(line.decode() or True for line in lines)
    event = Calendar.from_ical(content).walk("VEVENT")[0]
    assert str(event["summary"]) == f"{VISIT.name}, Van 1"
    assert str(event["location"]) == "Gate 1, Lane; \\"
    assert event["dtstart"].dt == datetime(2026, 12, 1, 8)  # noqa: DTZ001 - the wall's clock
    assert event["dtstamp"].dt == AT


@pytest.mark.parametrize(
    "name",
    [
        "C:\\New\\north \\N, \\n; \\\\ and \\", 'Ärzte, Süd; "Haus": 3\nHof\n', "tab\there", "ß" * 200 + ", \\N" * 40,
        "\N{FAMILY}\N{ZERO WIDTH JOINER}\N{GIRL}",
    ],
)  # fmt: skip
def test_another_library_reads_the_names_as_they_were(name: str) -> None:
    content = calendar_of([replace(VISIT, name=name)], {"YARD": name}, at=AT).decode()
    event = vobject.readOne(content).vevent
    assert event.summary.value == f"{name}, Van 1"
    assert event.location.value == name.rstrip("\n")
    assert (event.uid.value, event.sequence.value, event.status.value) == (
        f"{VISIT.id}@visit.retest-register", "0", "CONFIRMED",
    )  # fmt: skip
    assert (event.dtstart.value, event.dtend.value) == (datetime(2026, 12, 1, 8), datetime(2026, 12, 1, 9, 30))  # noqa: DTZ001 - the wall's clock


def test_a_calendar_holds_no_characters_that_readers_refuse() -> None:
    content = calendar_of([replace(VISIT, name="a\x00b\x07c\r\nd")], {}, at=AT).decode()
    assert vobject.readOne(content).vevent.summary.value == "abc\nd, Van 1"


def test_a_changed_visit_is_the_same_event_and_a_dropped_one_is_cancelled() -> None:
    before, after, gone = (
        Calendar.from_ical(calendar_of([visit], {}, at=AT)).walk("VEVENT")[0]
        for visit in (VISIT, replace(VISIT, arrive=600, sequence=1), replace(VISIT, cancelled=True, sequence=2))
    )
    assert before["uid"] == after["uid"] == gone["uid"]
    assert (before["sequence"], after["sequence"], gone["sequence"]) == (0, 1, 2)
    assert (str(before["status"]), str(gone["status"])) == ("CONFIRMED", "CANCELLED")


def test_routes_and_map_points_are_the_plans_and_list_what_they_lack() -> None:
    week = plan(asked(site("A", -1), site("B", -1), site("LOST", -1, place=None)), effort=0.1)
    gpx, points = gpx_of(week), geojson_of(week)
    assert gpx.left_out == points.left_out == ("Site LOST",)
    root = ET.fromstring(gpx.content)  # noqa: S314 - our own file
    route = root.find(f"{{{GPX}}}rte")
    assert route is not None
    names = [point.findtext(f"{{{GPX}}}name") for point in route.findall(f"{{{GPX}}}rtept")]
    assert names[0] == "Start"
    assert names[-1] == "End"
    features = json.loads(points.content)["features"]
    stops = [each for each in features if each["geometry"]["type"] == "Point"]
    assert {each["properties"]["site"] for each in stops} == {"A", "B"}
    assert all(each["geometry"]["coordinates"] == [145.06, -37.8] for each in stops)  # longitude first

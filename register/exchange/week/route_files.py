"""The routes of a week for navigators (GPX 1.1) and maps (GeoJSON, RFC 7946). Stops without coordinates are listed."""

import json
from dataclasses import dataclass
from typing import Any, Final
from xml.etree import ElementTree as ET

from register.planning.travel import Place
from register.planning.week_rows import PlannedDay, PlannedWeek
from register.services.week.text import day_title
from register.services.week.visiting import clock_words

GPX: Final = "http://www.topografix.com/GPX/1/1"
MAKER: Final = "Retest Register"


@dataclass(frozen=True, slots=True)
class Written:
    """A file's content, and the sites that are not in it because nobody gave their coordinates."""

    content: bytes
    left_out: tuple[str, ...]


def gpx_of(week: PlannedWeek) -> Written:
    """Return one route for each day of a van, from the base over the stops and back."""
    ET.register_namespace("", GPX)
    root = ET.Element(f"{{{GPX}}}gpx", version="1.1", creator=MAKER)
    places = _places(week)
    for number, day in enumerate(_used(week), 1):
        route = ET.SubElement(root, f"{{{GPX}}}rte")
        _text(route, "name", _clean(f"{day_title(day.day)}, {day.van_name}"))
        _text(route, "number", str(number))
        for name, remark, place in _points(week, day, places):
            point = ET.SubElement(route, f"{{{GPX}}}rtept", lat=f"{place.lat:.6f}", lon=f"{place.lon:.6f}")
            _text(point, "name", _clean(name))
            _text(point, "desc", _clean(remark))
    ET.indent(root)
    return Written(ET.tostring(root, encoding="utf-8", xml_declaration=True), _unplaced(week, places))


def geojson_of(week: PlannedWeek) -> Written:
    """Return a line for each day of a van and a point for each stop; longitude comes first."""
    places = _places(week)
    features: list[dict[str, Any]] = []
    for day in _used(week):
        points = _points(week, day, places)
        facts = {"date": day.day.isoformat(), "van": day.van_name, "km": round(day.drive_km, 1)}
        if len(points) > 1:
            features.append(_feature("LineString", [_position(place) for *_, place in points], facts))
        for order, stop in enumerate(day.stops, 1):
            place = places.get(stop.code)
            if place is not None:
                at = {"arrive": clock_words(stop.arrive), "leave": clock_words(stop.leave)}
                named = {**facts, "site": stop.code, "name": stop.name, "order": order, **at}
                features.append(_feature("Point", _position(place), named))
    content = json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False, indent=1)
    return Written(content.encode(), _unplaced(week, places))


def _feature(kind: str, coordinates: Any, facts: dict[str, Any]) -> dict[str, Any]:  # noqa: ANN401 - points or lines
    return {"type": "Feature", "geometry": {"type": kind, "coordinates": coordinates}, "properties": facts}


def _position(place: Place) -> list[float]:
    return [round(place.lon, 6), round(place.lat, 6)]


def _places(week: PlannedWeek) -> dict[str, Place]:
    return {site.key: site.place for site in week.draft.asked.sites if site.place is not None}


def _used(week: PlannedWeek) -> list[PlannedDay]:
    return [day for day in week.days if day.stops]


def _points(week: PlannedWeek, day: PlannedDay, places: dict[str, Place]) -> list[tuple[str, str, Place]]:
    van, base = week.draft.asked.vans[day.van], week.draft.asked.base
    start, end = van.start_place or base, van.end_place or base
    points = [("Start", f"Leave {clock_words(day.leave_base)}", start)] if start is not None else []
    points += [
        (stop.name, f"{clock_words(stop.arrive)} to {clock_words(stop.leave)}. {stop.why}", places[stop.code])
        for stop in day.stops if stop.code in places
    ]  # fmt: skip
    return [*points, *([("End", f"Back {clock_words(day.back)}", end)] if end is not None else [])]


def _unplaced(week: PlannedWeek, places: dict[str, Place]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(stop.name for stop in week.stops if stop.code not in places))


def _text(parent: ET.Element, name: str, text: str) -> None:
    ET.SubElement(parent, f"{{{GPX}}}{name}").text = text


def _clean(text: str) -> str:
    """Return a text without the characters that XML can't hold."""
    return "".join(sign for sign in text if sign in "\t\n" or " " <= sign <= "\ud7ff" or "\ue000" <= sign <= "\ufffd")

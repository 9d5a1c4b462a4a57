"""How far it is from place to place: over the globe times a road factor, or by a table that the user gives.

A great circle is an estimate; rivers and hills make roads longer than any one factor says. A table of the user's own
is better wherever he has one.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

from register.errors import Refused

EARTH_RADIUS_KM: Final = 6371.0088
"""The mean radius of the Earth (IUGG, GRS 80)."""

ROAD_FACTOR: Final = 1.3
"""How much longer roads are than the great circle; common practice, no source."""

SPEED_KMH: Final = 45.0
"""How fast a van gets on, towns and country together; common practice, no source."""

UNKNOWN_MINUTES: Final = 30
"""What a drive takes to or from a place nobody gave coordinates for, where no other drive is known either."""

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Place:
    """A point on the globe, in degrees north and east (WGS 84)."""

    lat: float
    lon: float

    def __str__(self) -> str:
        return f"{self.lat:.5f}, {self.lon:.5f}"


@dataclass(frozen=True, slots=True)
class Leg:
    """A drive as the user knows it. Minutes are worked out from the kilometres where he gave none."""

    km: float
    minutes: float | None = None


@dataclass(frozen=True, slots=True)
class Travel:
    """Kilometres and whole minutes from each place to each, in the order of the places; and what had to be assumed.

    `direct` says that no way through another place is shorter, as is so on a globe.
    """

    km: tuple[tuple[float, ...], ...]
    minutes: tuple[tuple[int, ...], ...]
    notes: tuple[str, ...] = ()
    direct: bool = False


@dataclass(frozen=True, slots=True)
class Pace:
    """How a distance over the globe becomes a drive."""

    road_factor: float = ROAD_FACTOR
    speed_kmh: float = SPEED_KMH

    def minutes(self, km: float) -> int:
        """Return the minutes of so many kilometres of road, rounded up."""
        return math.ceil(round(km / self.speed_kmh * 60, 6))


def place_from(text: str) -> Place | None:
    """Return the place that is typed as `lat, lon` in degrees; None for an empty text. Refused where it is none."""
    if not text.strip():
        return None
    parts = text.replace(";", ",").split(",")
    try:
        lat, lon = (float(part) for part in parts)
    except ValueError:
        raise Refused(
            f"“{text}” is not a place. Write latitude and longitude in degrees: -37.8136, 144.9631."
        ) from None
    if not (abs(lat) <= 90 and abs(lon) <= 180):  # noqa: PLR2004 - degrees of the globe
        raise Refused(
            f"“{text}” lies beyond the globe: latitude goes from -90 to 90 and comes first, longitude from -180 to 180."
        )
    return Place(lat, lon)


def great_circle_km(one: Place, other: Place) -> float:
    """Return the shortest way over the globe, taken as a ball (haversine formula: exact for near places too)."""
    north, south = math.radians(one.lat), math.radians(other.lat)
    up, across = south - north, math.radians(other.lon - one.lon)
    part = math.sin(up / 2) ** 2 + math.cos(north) * math.cos(south) * math.sin(across / 2) ** 2
    return 2 * EARTH_RADIUS_KM * math.asin(min(1.0, math.sqrt(part)))


def travel_between(
    codes: Sequence[str],
    places: Sequence[Place | None],
    pace: Pace = Pace(),
    given: Mapping[Pair, Leg] | None = None,
) -> Travel:
    """Return the travel between places that are named by codes, each with its place or None.

    `given` holds the drives that the user knows, by the codes of start and end. Where one direction is missing the
    other serves; where both are, the great circle; failing that the shortest way through other places; and last a
    drive as long as most others, which a note says.
    """
    legs = _legs(codes, places, pace, given or {})
    notes = []
    if given:
        notes += _holes(codes, legs, given)
        _through_others(legs)
    typical = _typical(legs)
    count = range(len(codes))
    full = [[_leg(legs[i][j], i == j, typical) for j in count] for i in count]
    unknown = [code for i, code in enumerate(codes) if all(legs[i][j] is None for j in count if j != i)]
    if unknown and len(codes) > 1:
        notes.append(
            f"How far it is to {', '.join(unknown)} is not known; {typical[1]} minutes were assumed. Give coordinates."
        )
    return Travel(
        tuple(tuple(km for km, _ in row) for row in full), tuple(tuple(took for _, took in row) for row in full),
        tuple(notes), direct=not given and all(place is not None for place in places),
    )  # fmt: skip


Known = tuple[float, int] | None


def _legs(
    codes: Sequence[str], places: Sequence[Place | None], pace: Pace, given: Mapping[Pair, Leg]
) -> list[list[Known]]:
    ready = {
        pair: (leg.km, pace.minutes(leg.km) if leg.minutes is None else math.ceil(round(leg.minutes, 6)))
        for pair, leg in given.items()
    }
    legs: list[list[Known]] = [[None] * len(codes) for _ in codes]
    for i, (code, place) in enumerate(zip(codes, places, strict=True)):
        for j in range(i + 1, len(codes)):
            there, back = ready.get((code, codes[j])), ready.get((codes[j], code))
            known = there or back
            other = places[j]
            if known is None and place is not None and other is not None:
                km = great_circle_km(place, other) * pace.road_factor
                known = (km, pace.minutes(km))
            legs[i][j], legs[j][i] = there or known, back or known
    return legs


def _holes(codes: Sequence[str], legs: list[list[Known]], given: Mapping[Pair, Leg]) -> list[str]:
    """Return a sentence about the drives that the user's table lacks in both directions."""
    pairs = [(one, other) for i, one in enumerate(codes) for other in codes[i + 1 :]]
    missing = [pair for pair in pairs if pair not in given and pair[::-1] not in given]
    if not missing:
        return []
    where = {code: place for place, code in enumerate(codes)}
    estimated = sum(legs[where[one]][where[other]] is not None for one, other in missing)
    how = "estimated over the globe" if estimated == len(missing) else "estimated, or led through other places"
    first, those = " to ".join(missing[0]), "it was" if len(missing) == 1 else "they were"
    return [f"The table of distances lacks {len(missing)} of {len(pairs)} drives (first: {first}); {those} {how}."]


def _through_others(legs: list[list[Known]]) -> None:
    """Fill what is not known by the shortest way through other places."""
    holes = {(i, j) for i, row in enumerate(legs) for j, leg in enumerate(row) if leg is None and i != j}
    if not holes:
        return
    size = range(len(legs))
    best = [list(row) for row in legs]
    for via in size:
        for i in size:
            first = best[i][via]
            if first is None:
                continue
            for j in size:
                second, known = best[via][j], best[i][j]
                if second is not None and (known is None or first[1] + second[1] < known[1]):
                    best[i][j] = (first[0] + second[0], first[1] + second[1])
    for i, j in holes:
        legs[i][j] = best[i][j]


def _typical(legs: list[list[Known]]) -> tuple[float, int]:
    known = [leg for i, row in enumerate(legs) for j, leg in enumerate(row) if leg is not None and i != j]
    if not known:
        return 0.0, UNKNOWN_MINUTES
    return median(km for km, _ in known), math.ceil(median(took for _, took in known))


def _leg(known: Known, same: bool, typical: tuple[float, int]) -> tuple[float, int]:  # noqa: FBT001 - private
    if same:
        return 0.0, 0
    return known if known is not None else typical

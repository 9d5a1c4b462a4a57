"""The week: which sites on which day, in which van, in which order, at what time; and what is left out, and why."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from register.planning.asked import Asked
from register.planning.explain import split_words, unplaced_words
from register.planning.problem import DAY, Problem, Shift
from register.planning.site_week import Early, Offer, Premises, Span, Task, anyway, offer
from register.planning.travel import Leg, Pair, Place, great_circle_km, travel_between
from register.planning.ways import Part, open_hours, stop_of

MOST_EXTRA: Final = 60
"""How many sites that need not be visited yet are thought about: those worth most."""

UNKNOWN_DRIVE: Final = 30.0

BASE: Final = "the base"
"""The base's name among the places; sites have codes in capitals."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A week made ready for a solver: the problem, and for each of its stops what is done there.

    `left_out` says by site why nothing can be planned there; `notes` are sentences about what had to be assumed.
    `unplaced` are the stops without coordinates, which are planned last.
    """

    asked: Asked
    problem: Problem
    parts: tuple[Part, ...]
    unplaced: tuple[int, ...]
    left_out: dict[str, str]
    notes: tuple[str, ...]
    pressing_left_out: frozenset[str] = frozenset()
    """Of the sites left out by request, those where something is overdue or due."""


def draft(asked: Asked) -> Draft:
    """Make a week ready for a solver."""
    sites = [site for site in asked.sites if site.key not in asked.leave_out]
    left_out = {site.key: "Left out as you asked." for site in asked.sites if site.key in asked.leave_out}
    places, shifts = _shifts(asked)
    near = drives_near(asked)
    offers = _offers(sites, asked, near)
    notes: list[str] = []
    parts: list[Part] = []
    for each in offers:
        parts += _parts(each, _longest(each.site, shifts, asked, near), notes, pinned=each.site.key in asked.pins)
    names = [BASE, *(f"{BASE} {number}" for number in range(1, len(places)))]
    codes = [*names, *(each.site.key for each in offers)]
    travel = travel_between(codes, [*places, *(each.site.place for each in offers)], asked.pace, _given(asked))
    index = {code: place for place, code in enumerate(codes)}
    stops = []
    for part in parts:
        stop, why = stop_of(part, asked, shifts, index[part.offer.site.key])
        if why:
            left_out[part.offer.site.key] = why
        stops.append(stop)
    unplaced = tuple(
        number for number, part in enumerate(parts) if part.offer.site.place is None and not _known(part, asked)
    )
    if unplaced:
        notes.append(unplaced_words([parts[number].offer.site.name for number in unplaced]))
    notes += _about(asked, travel.notes if asked.given else ())
    pressing = frozenset(key for key in left_out if key in asked.leave_out and _presses(asked, key))
    for key in pressing:
        left_out[key] = "Left out as you asked, though something there is due or overdue."
    problem = Problem(travel, tuple(stops), tuple(shifts))
    return Draft(asked, problem, tuple(parts), unplaced, left_out, tuple(notes), pressing)


def _presses(asked: Asked, key: str) -> bool:
    """Whether something at a site is overdue or due by the end of the week."""
    site = next(site for site in asked.sites if site.key == key)
    return any(task.due is None or task.due <= asked.last for task in site.tasks)


def _about(asked: Asked, found: Sequence[str]) -> list[str]:
    """Return what else is to be said of what was asked."""
    notes = list(found)
    if not asked.vans:
        notes.append("There is no van, so nothing can be planned. Enter one under Firm.")
    if asked.base is None and not all(van.start_place for van in asked.vans):
        notes.append("The base has no coordinates, so drives from and to it are assumed. Type them as lat, lon.")
    known = {site.key for site in asked.sites}
    unknown = sorted({*asked.pins, *asked.leave_out} - known)
    if unknown:
        notes.append(f"There is nothing to plan at {', '.join(unknown)}.")
    return notes


def _known(part: Part, asked: Asked) -> bool:
    return any(part.offer.site.key in pair for pair in asked.given)


def drives_near(asked: Asked) -> dict[str, float]:
    """Return what a visit adds to a day's drives, about: a share of the way from the base and back."""
    base = asked.base or next((van.start_place for van in asked.vans if van.start_place is not None), None)
    found = {}
    for site in asked.sites:
        leg = asked.given.get(("", site.key))
        if leg is not None:
            took = asked.pace.minutes(leg.km) if leg.minutes is None else leg.minutes
            found[site.key] = 2 * asked.drive_share * took
        elif base is not None and site.place is not None:
            km = great_circle_km(base, site.place) * asked.pace.road_factor
            found[site.key] = 2 * asked.drive_share * asked.pace.minutes(km)
    return found


def _given(asked: Asked) -> dict[Pair, Leg]:
    """Return the drives that the user knows, the base, whose code is empty, under its name here."""
    return {(one or BASE, other or BASE): leg for (one, other), leg in asked.given.items()}


def _shifts(asked: Asked) -> tuple[list[Place | None], list[Shift]]:
    """Return the places where vans start and end, the base first, and the shifts of the week."""
    places: list[Place | None] = [asked.base]

    def known(place: Place | None) -> int:
        if place is None:
            return 0
        if place not in places:
            places.append(place)
        return places.index(place)

    shifts = []
    for day in range(7):
        on = asked.monday + timedelta(days=day)
        for number, van in enumerate(asked.vans):
            if on < asked.first or on not in asked.worked or on.weekday() not in van.days:
                continue
            start, end = (asked.lunch.packed(day * DAY + minute) for minute in (van.start, van.end))
            if end > start:
                shifts.append(Shift(number, day, start, end, known(van.start_place), known(van.end_place), van.crew))
    return places, shifts


def _offers(sites: Sequence[Premises], asked: Asked, near: Mapping[str, float]) -> list[Offer]:
    span = Span(asked.first, asked.last, asked.last_day)
    found = [offer(site, span, near.get(site.key, UNKNOWN_DRIVE)) for site in sites]
    return _worth_a_look([anyway(each, span) if each.site.key in asked.pins else each for each in found], asked)


def _worth_a_look(offers: Iterable[Offer], asked: Asked) -> list[Offer]:
    """Return the offers of sites that must be visited or are pinned, and of others those that are worth most."""
    every = list(offers)
    needed = [each for each in every if each.must or each.site.key in asked.pins]
    extra = [each for each in every if not each.must and each.worth >= 1 and each.site.key not in asked.pins]
    extra = sorted(extra, key=lambda each: (-each.worth, each.site.key))[:MOST_EXTRA]
    return sorted([*needed, *extra], key=lambda each: each.site.key)


def _longest(site: Premises, shifts: Sequence[Shift], asked: Asked, near: Mapping[str, float]) -> int:
    """Return the most minutes that one visit of a site can take."""
    drive = round(near.get(site.key, UNKNOWN_DRIVE))
    return max(
        (min(closes, shift.end - drive) - max(opens, shift.start + drive) for shift in shifts
         for opens, closes in open_hours(site, asked, shift.day)),
        default=0,
    )  # fmt: skip


def _parts(each: Offer, longest: int, notes: list[str], *, pinned: bool) -> list[Part]:
    """Return what is done at a site, split over several visits where a day can't hold it."""
    room = longest - each.site.ready
    early = each.early if each.must_minutes + each.early_minutes <= room else ()
    if each.must_minutes <= room or room <= 0:
        if not each.must and not early:  # more than a day holds: what is due first is worth it too
            early = _first_that_fit(each.early, room)
        return [Part(each, each.must, early, 1, 1)] if each.must or early or pinned or room <= 0 else []
    shares: list[list[Task]] = [[]]
    filled = 0.0
    for task in each.must:
        if filled + task.minutes > room and shares[-1]:
            shares.append([])
            filled = 0.0
        shares[-1].append(task)
        filled += task.minutes
    notes.append(split_words(each.site.name, round(each.must_minutes), len(shares)))
    return [Part(each, tuple(share), (), number, len(shares)) for number, share in enumerate(shares, 1)]


def _first_that_fit(early: Sequence[Early], room: float) -> tuple[Early, ...]:
    kept, filled = [], 0.0
    for each in early:
        filled += each.task.minutes
        if filled > room:
            break
        kept.append(each)
    return tuple(kept)

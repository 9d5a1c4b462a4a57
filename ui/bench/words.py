"""What the bench says: the verdict in a sentence, what it means, the checks with their counts, limits in few words."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from register.domain.limits import Limit, NoLimit, Unsettled
from register.domain.look import look_points
from register.domain.measures import SYMBOL, TRIPS, plain_number
from register.domain.places import CURRENT_WORDS, place_heading, place_words
from register.domain.records import Finding, Place
from register.domain.words import Check, Result, counted
from register.services.bench.worksheet import Live, Worksheet

HALF: Final = Decimal("0.5")
TITLES: Final = {
    Check.EARTH_RESISTANCE: "Earth",
    Check.POLARITY: "Polarity",
    Check.INSULATION_RESISTANCE: "Insulation",
    Check.LEAKAGE_CURRENT: "Leakage",
}


def times(multiple: Decimal) -> str:
    """Return a multiple as it stands in a head: "½×", "5×"."""
    return "½×" if multiple == HALF else f"{plain_number(multiple)}×"


def limit_words(limit: Limit | Unsettled | NoLimit) -> str:
    """Return a limit in the few words that fit a head: "at most 300 ms", "15 to 30 mA", "must not trip"."""
    if isinstance(limit, Unsettled):
        return "limit not known yet"
    if isinstance(limit, NoLimit):
        return "no limit"
    if limit.least is not None and limit.most is not None:
        return f"{plain_number(limit.least)} to {limit.value_words(limit.most)}"
    return limit.words


def capital(said: str) -> str:
    """Return a sentence with its first letter large."""
    return f"{said[:1].upper()}{said[1:]}"


def few(names: Sequence[str], most: int = 5) -> str:
    """Return names one after the other, those beyond a few as their count: "A, B and 3 more"."""
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


@dataclass(frozen=True, slots=True)
class Said:
    """What the panel says of a verdict: its sentence, what that means, and where its limit stands."""

    sentence: str
    meaning: str
    source: str


def said(sheet: Worksheet, live: Live) -> Said:
    """Return the words for the verdict at this moment."""
    if live.judgement.verdict is Result.FAIL:
        return _fail(sheet, live)
    return _pass(live) if live.judgement.verdict is Result.PASS else _incomplete(live)


def _without_source(finding: Finding) -> str:
    """Return a finding's sentence without where its limit stands; that is said below the checks."""
    return finding.why.removesuffix(f" ({finding.source}).").removesuffix(".") + "."


def _fail(sheet: Worksheet, live: Live) -> Said:
    failed = [each for each in live.judgement.findings if each.result is Result.FAIL]
    worst = next(each for each in failed if live.judgement.why.startswith(each.why))
    parts = []
    if len(failed) > 1:
        parts.append(f"{counted(len(failed) - 1, 'other check fails', 'other checks fail')} too.")
    if worst.place.half_cycle is not None and len(failed) == 1:
        parts.append("The slower half-cycle counts.")
    if live.to_go:
        still = counted(live.to_go, "reading is", "readings are") if live.missing else "The look is"
        parts.append(f"{still} still missing; nothing that is missing can turn this into a pass.")
    else:
        parts.append("It must not be used: saving takes it out of service.")
    sentence = _without_source(worst)
    if worst.place.check is Check.LOOK:
        sentence = f"Wrong at the look: {', '.join(sheet.wrong_in_look)}."
    return Said(sentence, " ".join(parts), worst.source)


def _incomplete(live: Live) -> Said:
    undecided = [each for each in live.judgement.findings if each.result is Result.INCOMPLETE]
    if undecided:
        sentence = undecided[0].why
    elif live.to_go:
        sentence = _to_go(live)
    else:
        sentence = live.judgement.why
    passed = sum(1 for each in live.judgement.findings if each.result is Result.PASS and each.measure is not None)
    so_far = f"All {passed} so far are within their limits. " if passed > 1 and not undecided else ""
    return Said(sentence, f"{so_far}A record with gaps never passes.", "")


def _to_go(live: Live) -> str:
    count = len(live.missing)
    if not count:
        return "The look is still to go."
    if live.look_missing:
        return f"The look and {counted(count, 'reading')} to go."
    names = [place_words(place) for place in live.missing[:2]]
    if count <= len(names):
        return f"{counted(count, 'reading')} to go: {' and '.join(names)}."
    return f"{counted(count, 'reading')} to go, first the {names[0]}."


def _pass(live: Live) -> Said:
    findings = live.judgement.findings
    measured = [each for each in findings if each.measure is not None]
    if not measured:
        return Said("Nothing wrong was seen.", "That is all that is asked of it today.", findings[0].source)
    sentence = (
        f"All {len(measured)} readings are there and inside their limits."
        if len(measured) > 1
        else "The reading is there and inside its limit."
    )
    closest = max(measured, key=used)
    meaning = "No reading is near its limit." if used(closest) < NEAR else f"Closest to a limit: {_closest(closest)}"
    return Said(sentence, meaning, closest.source)


NEAR: Final = 0.5


def _closest(finding: Finding) -> str:
    return f"{place_heading(finding.place)}: {finding.measure}, limit {finding.limit}."


def used(finding: Finding) -> float:
    """Return how much of its limit a reading uses, from 0 to 1; 0 where that can't be said."""
    if finding.result is Result.FAIL:
        return 1.0
    measure = finding.measure
    if measure is None or measure.value is None or finding.result is not Result.PASS:
        return 0.0
    high = measure.value / finding.most if finding.most else Decimal(0)
    low = finding.least / measure.value if finding.least and measure.value else Decimal(0)
    return float(min(max(high, low), Decimal(1)))


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One line of the checks: how it stands, its name, and its count or the value that decides it.

    `result` is None of readings that decide nothing.
    """

    result: Result | None
    title: str
    value: str


def check_lines(sheet: Worksheet, live: Live) -> tuple[CheckLine, ...]:
    """Return the checks that are asked for, in working order."""
    lines = [_look_line(sheet)] if sheet.asks_look else []
    groups: dict[str, list[Place]] = {}
    for cell in live.cells:
        groups.setdefault(_group(cell.place), []).append(cell.place)
    return tuple(lines + [_line(title, places, live) for title, places in groups.items()])


def _look_line(sheet: Worksheet) -> CheckLine:
    points = look_points(sheet.item)
    seen = sheet.seen
    right = sum(1 for point in points if seen.get(point.id))
    wrong = sheet.wrong_in_look
    value = counted(len(wrong), "wrong", "wrong") if wrong else f"{right} of {len(points)}"
    return CheckLine(sheet.look_result or Result.INCOMPLETE, "Look", value)


def _group(place: Place) -> str:
    current = "" if place.test_current is None else f", {CURRENT_WORDS[place.test_current]}"
    if place.check is Check.TRIP_CURRENT:
        return f"Rising current{current}"
    if place.multiple is not None:
        return f"{'No trip' if place.multiple == HALF else 'Trip'} at {times(place.multiple)}{current}"
    return "Insulation or leakage" if place.check in EITHER else TITLES[place.check]


EITHER: Final = frozenset({Check.INSULATION_RESISTANCE, Check.LEAKAGE_CURRENT})


def _line(title: str, places: list[Place], live: Live) -> CheckLine:
    found = [live.found[place] for place in places if place in live.found]
    missing = sum(1 for place in places if place in live.missing)
    failed = [each for each in found if each.result is Result.FAIL]
    if failed:
        return CheckLine(Result.FAIL, title, str(max(failed, key=_size).measure))
    whole = len(found) + missing
    if not whole:
        return CheckLine(None, title, "not judged")
    done = sum(1 for each in found if each.result is Result.PASS)
    if done < whole or not found:
        return CheckLine(Result.INCOMPLETE, title, f"{done} of {whole}")
    return CheckLine(Result.PASS, title, worst_words(found))


def _size(finding: Finding) -> Decimal:
    return Decimal(0) if finding.measure is None or finding.measure.value is None else finding.measure.value


def worst_words(found: Iterable[Finding]) -> str:
    """Return the value that stands for several passes: the slowest, the worst, or their count where all are alike."""
    every = list(found)
    valued = [each for each in every if each.measure is not None and each.measure.value is not None]
    if not valued:
        return f"{len(every)} of {len(every)}"
    worst = max(valued, key=used)
    name = "slowest " if worst.place.check is Check.TRIP_TIME and len(every) > 1 else ""
    return f"{name}{worst.measure}"


def cell_name(place: Place, limit: Limit | Unsettled | NoLimit) -> str:
    """Return what a cell is called: "Outlet 3 at 180°, 5×, at most 40 ms"."""
    return f"{place_heading(place)}, {limit_words(limit)}"


def unit_of(limit: Limit | Unsettled | NoLimit, check: Check) -> str:
    """Return the unit that stands in a cell while it is typed in."""
    if isinstance(limit, Limit):
        return SYMBOL[limit.line.unit]
    return {Check.TRIP_TIME: "ms", Check.TRIP_CURRENT: "mA"}.get(check, "")


def is_trip(place: Place) -> bool:
    """Whether a place belongs into the grid of outlets, half-cycles and multiples."""
    return place.check in TRIPS


def is_word(text: str) -> bool:
    """Whether a cell's text is a word, which is written smaller than a number."""
    return not any(letter.isdigit() for letter in text)

"""The lines of a rulebook file: each [[interval]], [[checklist]] and [[limit]] read and checked by itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, NamedTuple

from register.domain.intervals import Interval, Occasion
from register.domain.measures import RIGHT, TRIPS, UNIT_OF
from register.domain.records import MULTIPLES
from register.domain.rulebook import (
    ChecklistLine,
    Confidence,
    Edition,
    Fact,
    IntervalLine,
    LimitLine,
    Other,
    Source,
    Strength,
)
from register.domain.toml_table import Table, one_of, shown
from register.domain.words import Check, Delay, Duty, Kind, SwitchType, TestCurrent, Unit, Waveform

_BOUNDS: Final = ("at_least", "above", "at_most", "below")
_MULTIPLES_WRITTEN: Final = ", ".join(f"{each:f}" for each in MULTIPLES)


@dataclass(frozen=True, slots=True)
class Names:
    """What the lines of a file may name: its editions, environment classes and groups of kinds, the base's included."""

    rulebook: str
    editions: Mapping[str, Edition]
    environments: frozenset[str]
    groups: Mapping[str, frozenset[Kind]]


def read_source(table: Table, names: Names) -> Source | None:
    """Return the source that a table names, in its keys source, edition and confidence."""
    text = table.text("source", "Every rule says where it stands: write the standard or regulation and its clause.")
    edition = table.text(
        "edition", f"Name one of the editions of this file: {', '.join(names.editions) or 'none yet'}."
    )
    confidence = table.word(
        "confidence", Confidence, f"Write how far the source can be trusted: {_listed(Confidence)}."
    )
    if edition and edition not in names.editions:
        table.complain("edition", f"{shown(edition)} is not an edition of this file.{one_of(edition, names.editions)}")
    if not text or confidence is None or edition not in names.editions:
        return None
    return Source(text, names.editions[edition], confidence)


def read_interval(table: Table, key: str, names: Names) -> IntervalLine | None:
    """Return one [[interval]], or None where something in it is wrong."""
    duty = table.word("duty", Duty, f"Write what falls due: {_listed(Duty)}.")
    kinds = read_kinds(table, names, "Write for which kinds of item, or groups of [kinds], the line holds.")
    environments = classes_named(table, "environments", names, "Write in which environment classes the line holds.")
    when = _when(table)
    strength = table.word("strength", Strength) or Strength.GUIDE
    place = classes_named(table, "place", names)
    only_if, unless = table.words("only_if", Fact), table.words("unless", Fact)
    only_with_switch = table.flag("only_with_switch")
    source, note, others = read_source(table, names), table.text("note"), _others(table)
    table.close()
    if table.faulty or duty is None or source is None:
        return None
    return IntervalLine(
        key=key,
        rulebook=names.rulebook,
        duty=duty,
        kinds=kinds,
        environments=environments,
        source=source,
        strength=strength,
        place=place,
        only_if=only_if,
        unless=unless,
        only_with_switch=only_with_switch,
        note=note,
        others=others,
        **when._asdict(),
    )


class _When(NamedTuple):
    every: Interval | None
    up_to: Interval | None
    on: Occasion | None
    first: Occasion | None


def _when(table: Table) -> _When:
    """Return how often the duty falls due: by the calendar (every, up_to, first) or on an occasion (on)."""
    when = _When(
        table.interval("every"), table.interval("up_to"), table.word("on", Occasion), table.word("first", Occasion)
    )
    if "every" in table and "on" in table:
        table.complain("on", "Give “every” or “on”, not both: a duty falls due by the calendar or on an occasion.")
    elif "every" not in table and "on" not in table:
        table.complain(
            "every", "The line does not say how often. Give “every” (such as P6M) or “on” (such as each-use)."
        )
    for key in ("up_to", "first"):
        if key in table and "every" not in table:
            table.complain(key, f"“{key}” goes with “every”: on an occasion there is nothing to add to.")
    if when.every is not None and when.up_to is not None and when.up_to <= when.every:
        table.complain("up_to", f"“up_to” ({when.up_to.words}) must be longer than “every” ({when.every.words}).")
    return when


def read_kinds(table: Table, names: Names, missing: str = "") -> frozenset[Kind]:
    """Return the kinds that a line names, one by one or by groups of [kinds]."""
    found: set[Kind] = set()
    for name in table.texts("kinds", missing):
        if name in names.groups:
            found |= names.groups[name]
        elif name in list(Kind):
            found.add(Kind(name))
        else:
            table.complain("kinds", f"{shown(name)} is not a kind of item.{one_of(name, (*names.groups, *Kind))}")
    return frozenset(found)


def classes_named(table: Table, key: str, names: Names, missing: str = "") -> frozenset[str]:
    """Return the environment classes that a line names under a key."""
    found = frozenset(table.texts(key, missing))
    for name in sorted(found - names.environments):
        choices = one_of(name, sorted(names.environments))
        table.complain(key, f"{shown(name)} is not an environment class of this file.{choices}")
    return found


def _others(table: Table) -> tuple[Other, ...]:
    found = []
    for entry in table.tables("others"):
        value = entry.text("value", "Write what the other source says.")
        source = entry.text("source", "Write which source says so.")
        entry.close()
        table.faulty |= entry.faulty
        found.append(Other(value, source))
    return tuple(found)


def read_checklist(table: Table, names: Names) -> ChecklistLine | None:
    """Return one [[checklist]], or None where something in it is wrong."""
    duty = table.word("duty", Duty, f"Write for which duty the checks are: {_listed(Duty)}.")
    kinds = read_kinds(table, names, "Write for which kinds of item, or groups of [kinds], the checks are.")
    per_item, per_outlet = _checks(table, "per_item"), _checks(table, "per_outlet")
    multiples = table.numbers("trip_time_at")
    source = read_source(table, names)
    table.close()
    for multiple in multiples:
        _check_multiple(table, "trip_time_at", multiple)
    if not table.faulty and not (per_item or per_outlet or multiples):
        table.complain("per_item", "The list asks for no check. Give per_item, per_outlet or trip_time_at.")
    if table.faulty or duty is None or source is None:
        return None
    return ChecklistLine(duty, kinds, source, per_item, per_outlet, multiples)


def _checks(table: Table, key: str) -> tuple[tuple[Check, ...], ...]:
    """Return checks written as words; "a or b" asks for one of the two."""
    choices = [check for check in Check if check not in TRIPS]
    found = []
    for entry in table.texts(key):
        wrong = [name for name in entry.split(" or ") if name not in choices]
        for name in wrong:
            table.complain(key, f"{shown(name)} is not a check that this list can ask for.{one_of(name, choices)}")
        if not wrong:
            found.append(tuple(Check(name) for name in entry.split(" or ")))
    return tuple(found)


def _check_multiple(table: Table, key: str, multiple: Decimal) -> None:
    if multiple not in MULTIPLES:
        table.complain(key, f"Trip times are measured at {_MULTIPLES_WRITTEN} times the rated residual current.")


class _Bounds(NamedTuple):
    at_least: Decimal | None
    at_least_passes: bool
    at_most: Decimal | None
    at_most_passes: bool

    @property
    def any(self) -> bool:
        return self.at_least is not None or self.at_most is not None


def read_limit(table: Table, key: str, names: Names) -> LimitLine | None:
    """Return one [[limit]], or None where something in it is wrong."""
    check = table.word("check", Check, "Write which quantity the limit is on, such as trip-time.")
    if check is Check.LOOK:
        table.complain("check", "A look has no limit: it passes or fails as seen.")
    kinds = read_kinds(table, names)
    narrowed = _narrowed(table) if check in TRIPS else _Narrowed()
    bounds = _bounds(table)
    unit = table.word("unit", Unit)
    of_rated, must_hold = table.flag("of_rated"), table.flag("must_hold")
    word = table.text("must_be")
    source, note, others = read_source(table, names), table.text("note"), _others(table)
    table.close()
    if check is not None and check is not Check.LOOK:
        _check_demand(table, check, bounds, must_hold=must_hold, word=word)
        _check_unit(table, check, bounds, unit, of_rated=of_rated)
    if table.faulty or check is None or source is None:
        return None
    return LimitLine(
        key=key,
        check=check,
        unit=UNIT_OF[check],
        source=source,
        kinds=kinds,
        of_rated=of_rated,
        must_hold=must_hold,
        word=word,
        note=note,
        others=others,
        **narrowed._asdict(),
        **bounds._asdict(),
    )


class _Narrowed(NamedTuple):
    types: frozenset[SwitchType] = frozenset()
    delays: frozenset[Delay] = frozenset()
    waveforms: frozenset[Waveform] = frozenset()
    test_current: TestCurrent | None = None
    multiple: Decimal | None = None
    rated_above: Decimal | None = None
    rated_up_to: Decimal | None = None


def _narrowed(table: Table) -> _Narrowed:
    """Return for which safety switches and test currents a limit on tripping is made."""
    multiple = table.number("multiple")
    if multiple is not None:
        _check_multiple(table, "multiple", multiple)
    return _Narrowed(
        frozenset(table.words("types", SwitchType)),
        frozenset(table.words("delays", Delay)),
        frozenset(table.words("waveforms", Waveform)),
        table.word("test_current", TestCurrent),
        multiple,
        table.number("rated_above"),
        table.number("rated_up_to"),
    )


def _bounds(table: Table) -> _Bounds:
    """Return both bounds. The key says whether the edge passes: at_least and at_most do, above and below don't."""
    at_least, above = table.number("at_least"), table.number("above")
    at_most, below = table.number("at_most"), table.number("below")
    if at_least is not None and above is not None:
        table.complain("above", "Give “at_least” (its edge passes) or “above” (its edge fails), not both.")
    if at_most is not None and below is not None:
        table.complain("below", "Give “at_most” (its edge passes) or “below” (its edge fails), not both.")
    lower = at_least if above is None else above
    upper = at_most if below is None else below
    if lower is not None and upper is not None and lower >= upper:
        key = "above" if above is not None else "at_least"
        table.complain(key, f"The least value ({lower:f}) must be smaller than the greatest ({upper:f}).")
    return _Bounds(lower, above is None, upper, below is None)


def _check_demand(table: Table, check: Check, bounds: _Bounds, *, must_hold: bool, word: str) -> None:
    """Complain unless the limit demands exactly one thing: a word, that the switch holds, or bounds."""
    if check is Check.POLARITY:
        if word != RIGHT or bounds.any or must_hold:
            table.complain("must_be", f'Polarity has one limit alone: write must_be = "{RIGHT}" and no bound.')
    elif word:
        table.complain("must_be", f"“must_be” is for polarity. Give {check.value} a bound, such as at_most.")
    elif must_hold and (bounds.any or check is not Check.TRIP_TIME):
        table.complain("must_hold", "“must_hold” is for trip-time and stands without a bound: the switch may not trip.")
    elif not must_hold and not any(key in table for key in _BOUNDS):
        table.complain("at_most", "The limit has no bound. Give at_least, above, at_most, below or must_hold.")


def _check_unit(table: Table, check: Check, bounds: _Bounds, unit: Unit | None, *, of_rated: bool) -> None:
    """Complain unless the numbers are in the quantity's own unit or in parts of the rated residual current."""
    own = UNIT_OF[check]
    if of_rated and check is not Check.TRIP_CURRENT:
        table.complain("of_rated", "Only a trip-current can be held to parts of the rated residual current.")
    elif of_rated and unit is not None:
        table.complain("unit", "Parts of the rated residual current have no unit. Leave “unit” out.")
    elif bounds.any and not of_rated and unit is not own and (unit is not None or "unit" not in table):
        table.complain("unit", f'A limit on {check.value} is in {own.value}: write unit = "{own.value}".')


def _listed(words: type[Duty | Confidence]) -> str:
    return ", ".join(word.value for word in words)

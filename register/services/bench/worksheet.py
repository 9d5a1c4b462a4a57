"""One item on the bench: what was seen and typed of it so far, and the verdict on that at every moment.

Nothing here reads or writes the register: a worksheet is a value, and each key press makes another one.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, time
from decimal import Decimal
from typing import Final

from register.domain.asked import Asked, what_is_asked
from register.domain.items import Item
from register.domain.leads import LengthFound, length_found
from register.domain.limits import Limit, NoLimit, Unsettled, limit_for
from register.domain.look import LENGTH, look_points
from register.domain.measures import TRIPS, Measure, read_measure
from register.domain.places import place_of
from register.domain.records import Finding, Judgement, Place, Reading, ReadingPlan, TestRecord
from register.domain.rulebook import Rulebook
from register.domain.verdict import judge
from register.domain.words import Bound, Check, Duty, Result, SetUp, TestCurrent
from register.errors import Refused

INSULATION_V: Final = (500, 250)
"""The voltages, d.c., at which insulation is measured: the usual one, and that for equipment with surge protection."""

_SHORT: Final = {"n": "no trip", "?": "no reading"}
_SHORT_POLARITY: Final = {"r": "right", "w": "wrong", "?": "no reading"}


@dataclass(frozen=True, slots=True)
class Cell:
    """A place for a reading, of a trip with a.c. unless it says otherwise.

    `either` are other places of which one is enough with this one.
    """

    place: Place
    limit: Limit | Unsettled | NoLimit
    either: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Worksheet:
    """What is known of one test so far. `look` says of each point looked at whether it was right.

    `typed` holds the text of every cell as it was typed, wrong ones too; `item` is what the rating plate says now.
    Of a record that is corrected, `extra` are the places of readings that nothing asks for any more, each with a cell
    of its own, and `kept` those for which no cell can be; they stay with it.
    """

    item: Item
    rulebook: Rulebook
    plan: ReadingPlan
    duties: tuple[Duty, ...]
    look: Mapping[str, bool] = field(default_factory=dict)
    typed: Mapping[Place, str] = field(default_factory=dict)
    set_up: SetUp | None = None
    insulation_v: int = INSULATION_V[0]
    extra: tuple[Place, ...] = ()
    kept: tuple[Reading, ...] = ()

    @property
    def begun(self) -> bool:
        """Whether anything was seen or typed that would be lost."""
        return bool(self.look) or any(text.strip() for text in self.typed.values())

    @property
    def length(self) -> LengthFound | None:
        """What the length of an extension lead says, held against its conductors and rating."""
        return length_found(self.item)

    @property
    def seen(self) -> Mapping[str, bool]:
        """What was seen of each point; a lead that is too long is wrong there, whatever was ticked."""
        length = self.length
        return {**self.look, LENGTH.id: False} if length is not None and length.too_long else self.look

    @property
    def look_result(self) -> Result | None:
        """Fail where anything seen was wrong, pass where all was right; None while something was not looked at."""
        seen = self.seen
        points = [seen.get(point.id) for point in look_points(self.item)]
        if False in points:
            return Result.FAIL
        return None if None in points else Result.PASS

    @property
    def wrong_in_look(self) -> tuple[str, ...]:
        """The titles of what was seen to be wrong."""
        seen = self.seen
        return tuple(point.title for point in look_points(self.item) if seen.get(point.id) is False)

    @property
    def asks_look(self) -> bool:
        """Whether a look is asked for at all."""
        return any(Check.LOOK in asked.checks for asked in self._asked())

    @property
    def insulation_measured(self) -> bool:
        """Whether an insulation resistance was typed."""
        return any(place.check is Check.INSULATION_RESISTANCE and text.strip() for place, text in self.typed.items())

    def _asked(self) -> tuple[Asked, ...]:
        return what_is_asked(self.duties, self.item, self.rulebook, self.plan)

    def cells(self) -> tuple[Cell, ...]:
        """Return every cell, asked for or extra: the trips outlet by outlet, then the other checks."""
        found: dict[Place, Cell] = {}
        for asked in self._asked():
            places = [replace(asked.place, check=check) for check in asked.checks if check is not Check.LOOK]
            for place in places:
                either = tuple(each for each in places if each != place)
                limit = limit_for(place, self.item, self.rulebook)
                found.setdefault(place, Cell(place, limit, either))
        for place in self.extra:
            found.setdefault(place, Cell(place, limit_for(place, self.item, self.rulebook)))
        return tuple(sorted(found.values(), key=lambda cell: in_working_order(cell.place)))

    def with_text(self, place: Place, text: str) -> "Worksheet":
        """Return the worksheet with another text in one cell."""
        return replace(self, typed={**self.typed, place: text})


def in_working_order(place: Place) -> tuple[bool, int, int, object]:
    """Return the key by which cells follow one another: trips by outlet, then check by check."""
    if place.check in TRIPS:
        return (False, place.outlet or 0, 0, column_order(place))
    return (True, _REST.index(place.check), place.outlet or 0, ())


def column_order(place: Place) -> tuple[int, bool, Decimal, int]:
    """Return the key by which the trips of one outlet follow one another: a.c. first, the rising current last."""
    current = _CURRENTS.index(place.test_current or TestCurrent.AC)
    half_cycle = -1 if place.half_cycle is None else place.half_cycle
    return (current, place.check is Check.TRIP_CURRENT, place.multiple or Decimal(0), half_cycle)


_CURRENTS: Final = (TestCurrent.AC, TestCurrent.HALF_WAVE, TestCurrent.DC)


_REST: Final = (
    Check.EARTH_RESISTANCE, Check.POLARITY, Check.INSULATION_RESISTANCE, Check.LEAKAGE_CURRENT, Check.LOOK,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Live:
    """The verdict at this moment. `found` and `faults` go by the cell's place; `missing` are cells in working order.

    A cell whose text is no reading is in `faults` with the sentence that says so, and is missing as well.
    """

    record: TestRecord
    judgement: Judgement
    cells: tuple[Cell, ...]
    found: Mapping[Place, Finding]
    faults: Mapping[Place, str]
    missing: tuple[Place, ...]
    look_missing: bool

    @property
    def to_go(self) -> int:
        """How many things are still to be seen or measured."""
        return len(self.missing) + self.look_missing


def live(sheet: Worksheet, on: date, at: time | None = None) -> Live:
    """Judge a worksheet as if the test were done at this moment."""
    cells = sheet.cells()
    readings, faults = _readings(sheet, cells)
    readings += sheet.kept
    set_up = sheet.set_up if any(each.check in TRIPS for each in readings) else None
    record = TestRecord(sheet.duties, readings, sheet.look_result, on, at, set_up)
    judgement = judge(record, sheet.item, sheet.rulebook, sheet.plan)
    places = {cell.place for cell in cells}
    found = {cell_of(each.place, places): each for each in judgement.findings}
    filled = {cell_of(place_of(each, sheet.item), places) for each in readings}
    missing = [
        cell.place
        for cell in cells
        if cell.place not in filled and not any(each in filled for each in cell.either)
        if not _second(cell) and cell.place not in sheet.extra
    ]
    look_missing = sheet.asks_look and sheet.look_result is None
    return Live(
        record=record,
        judgement=judgement,
        cells=cells,
        found=found,
        faults=faults,
        missing=tuple(missing),
        look_missing=look_missing,
    )


def _second(cell: Cell) -> bool:
    """Whether another place comes before this one and would do as well."""
    return any(in_working_order(each) < in_working_order(cell.place) for each in cell.either)


def cell_of(place: Place, cells: Collection[Place]) -> Place:
    """Return the cell of a finding or a reading, which name a.c. too, and the outlet of an item with one."""
    plain = plain_place(place)
    return plain if plain in cells else replace(plain, outlet=None)


def plain_place(place: Place) -> Place:
    """Return a place as a cell has it: without a.c., the test current that is used unless another is named."""
    return replace(place, test_current=None) if place.test_current is TestCurrent.AC else place


def _readings(sheet: Worksheet, cells: tuple[Cell, ...]) -> tuple[tuple[Reading, ...], dict[Place, str]]:
    """Return the readings that were typed, and a sentence for each text that is none."""
    readings: list[Reading] = []
    faults: dict[Place, str] = {}
    for cell in cells:
        text = sheet.typed.get(cell.place, "").strip()
        if not text:
            continue
        place = cell.place
        try:
            measure = typed_measure(place.check, text)
        except Refused as reason:
            faults[place] = str(reason)
            continue
        current = place.test_current or TestCurrent.AC if place.check in TRIPS else None
        readings.append(Reading(place.check, measure, place.outlet, place.half_cycle, place.multiple, current))
    return tuple(readings), faults


def typed_measure(check: Check, text: str) -> Measure:
    """Return the measure of a cell's text: as everywhere, and `n` for no trip, `?` for no reading, `r` and `w`."""
    short = _SHORT_POLARITY if check is Check.POLARITY else _SHORT
    return read_measure(check, short.get(text.strip().casefold(), text))


def no_reading(check: Check, text: str) -> bool:
    """Whether a cell's text says that the set-up gave nothing."""
    try:
        return typed_measure(check, text).bound is Bound.NO_READING
    except Refused:
        return False


def shown_text(check: Check, text: str) -> str:
    """Return a cell's text as it stands there once it is left: without unit, words in full; wrong typing is kept."""
    try:
        measure = typed_measure(check, text)
    except Refused:
        return text
    if measure.bound in {Bound.NO_TRIP, Bound.NO_READING} or measure.value is None:
        return str(measure)
    sign = "" if measure.bound is Bound.EXACT else measure.bound.value
    return f"{sign}{measure.value:f}"

"""The drives that the user knows, from a sheet of his: rows of from, to, km, minutes, or a square of km or minutes."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from register.domain.words import counted
from register.errors import Refused
from register.exchange.sheets.book import open_book
from register.exchange.sheets.cells import Row, Value, text_of
from register.planning.asked import PACE
from register.planning.travel import Leg, Pace, Pair

BASE: Final = "BASE"
MOST_DRIVES: Final = 60_000
MOST_NUMBER: Final = 2_000
"""Of km or minutes in one drive; more is a slip of the pen."""

MOST_TOLD: Final = 200

_HEADS: Final = {
    "from": "from", "start": "from", "to": "to", "end": "to", "km": "km", "kilometres": "km", "kilometers": "km",
    "distance": "km", "distance km": "km", "minutes": "minutes", "min": "minutes", "time": "minutes",
}  # fmt: skip
_UNITS: Final = {"": "km", "km": "km", "kilometres": "km", "minutes": "minutes", "min": "minutes"}


@dataclass(frozen=True, slots=True)
class WrongLine:
    """A line of the sheet, counted from 1, of which something was not taken, and why."""

    line: int
    why: str

    def __str__(self) -> str:
        return f"Line {self.line}: {self.why}"


@dataclass(frozen=True, slots=True)
class DrivesRead:
    """What a sheet of drives holds: by the codes of start and end, the base's being empty; and what was not taken.

    `places` counts the sites and the base between which drives are needed, `holes` the pairs of them that have a drive
    in neither direction, `first_hole` names one such pair; `worked_out` says that kilometres follow from minutes.
    """

    legs: dict[Pair, Leg]
    wrong: tuple[WrongLine, ...]
    places: int
    holes: int
    first_hole: str
    worked_out: bool

    @property
    def lines(self) -> list[str]:
        """What was found, in sentences."""
        said = [f"{counted(len(self.legs), 'drive')} between {self.places:,} places, the base included."]
        if self.holes:
            pairs, those = counted(self.holes, "pair of places has", "pairs of places have"), "those are"
            if self.holes == 1:
                those = "it is"
            said.append(
                f"{pairs} no drive, the first {self.first_hole}: {those} worked out over the globe, times the road"
                " factor."
            )
        if self.worked_out:
            said.append("Kilometres were not given; they follow from the minutes at the speed of your vans.")
        if self.wrong:
            said.append(f"{counted(len(self.wrong), 'line holds', 'lines hold')} something that was not taken.")
        return said


class _Reader:
    """Collects drives and what is wrong, line by line."""

    def __init__(self, codes: Collection[str], pace: Pace) -> None:
        self.codes, self.pace = {*codes, BASE}, pace
        self.legs: dict[Pair, Leg] = {}
        self.wrong: list[WrongLine] = []
        self.worked_out = False

    def code(self, line: int, value: Value) -> str | None:
        """Return the code of a site, empty for the base; None, with what is wrong, where it is none."""
        said = text_of(value).upper()
        if said in self.codes:
            return "" if said == BASE else said
        why = f"“{said}” is no site of this register. Write a site's code, or BASE." if said else "A code is missing."
        self.say(line, why)
        return None

    def say(self, line: int, why: str) -> None:
        if len(self.wrong) < MOST_TOLD:
            self.wrong.append(WrongLine(line, why))

    def number(self, line: int, value: Value, unit: str) -> float | None:
        """Return a number of km or minutes; None where the cell is empty, or, with what is wrong, is none."""
        said = text_of(value)
        if not said:
            return None
        try:
            found = float(said.replace(",", "."))
        except ValueError:
            found = -1.0
        if 0 <= found <= MOST_NUMBER:
            return found
        self.say(line, f"“{said}” is no number of {unit}. Give one from 0 to {MOST_NUMBER}.")
        return None

    def drive(self, line: int, pair: Pair, km: float | None, minutes: float | None) -> None:
        """Take one drive; kilometres follow from minutes where they are not given."""
        if pair[0] == pair[1] or (km is None and minutes is None):
            return
        if km is None:
            assert minutes is not None
            km, self.worked_out = round(minutes * self.pace.speed_kmh / 60, 1), True
        leg = Leg(km, minutes)
        if self.legs.setdefault(pair, leg) != leg:
            names = " to ".join(code or BASE for code in pair)
            self.say(line, f"{names} stands there twice with other numbers; the first were taken.")
        if len(self.legs) > MOST_DRIVES:
            raise Refused(f"The sheet has more than {MOST_DRIVES:,} drives. Leave out places that are no sites.")


def read_drives(path: Path, codes: Collection[str], pace: Pace = PACE) -> DrivesRead:
    """Return the drives of a sheet, a workbook's first or a text table; `codes` are those of all sites.

    Refused where it is neither rows of from and to nor a square, or holds no drive at all.
    """
    with open_book(path) as book:
        rows = iter(next(iter(book.sheets)).rows() if book.sheets else ())
        head = next(rows, None)
        if head is None:
            raise Refused(f"“{path.name}” holds nothing. Write rows of from, to, km and minutes.")
        reader = _Reader(codes, pace)
        named = [_HEADS.get(text_of(value).casefold(), "") for value in head[1]]
        if "from" in named and "to" in named:
            _rows(reader, path, named, rows)
        else:
            _square(reader, path, head, rows)
    if not reader.legs:
        more = f" {reader.wrong[0]}" if reader.wrong else ""
        raise Refused(
            f"“{path.name}” holds no drive that can be taken. Give each row two codes and km or minutes.{more}"
        )
    return _read(reader)


def _rows(reader: _Reader, path: Path, named: list[str], rows: Iterable[Row]) -> None:
    """Read rows of from, to, km and minutes, in the order that the heads give."""
    if not {"km", "minutes"} & set(named):
        raise Refused(f"“{path.name}” gives neither km nor minutes. Add a column of one of them, headed so.")
    place = {name: at for at, name in enumerate(named) if name}
    for line, values in rows:
        cell = {name: values[at] if at < len(values) else None for name, at in place.items()}
        one, other = reader.code(line, cell["from"]), reader.code(line, cell["to"])
        km = reader.number(line, cell.get("km"), "km")
        minutes = reader.number(line, cell.get("minutes"), "minutes")
        if one is not None and other is not None:
            reader.drive(line, (one, other), km, minutes)


def _square(reader: _Reader, path: Path, head: Row, rows: Iterable[Row]) -> None:
    """Read a square: codes in the first line and the first column, and the unit in the corner, km where it is empty."""
    line, values = head
    unit = _UNITS.get(text_of(values[0]).casefold())
    if unit is None or len(values) < 2:  # noqa: PLR2004 - the corner and one code
        raise Refused(
            f"“{path.name}” is no table of drives. Head its columns from, to, km and minutes, or write a square with"
            " codes in its first line and column, and km or minutes in the corner."
        )
    ends = [reader.code(line, value) for value in values[1:]]
    for number, cells in rows:
        start = reader.code(number, cells[0])
        for end, value in zip(ends, cells[1:], strict=False):
            if start is not None and end is not None and start != end:
                found = reader.number(number, value, unit)
                reader.drive(number, (start, end), *((found, None) if unit == "km" else (None, found)))


def _read(reader: _Reader) -> DrivesRead:
    places = sorted("" if code == BASE else code for code in reader.codes)
    first, holes = "", 0
    for at, one in enumerate(places):
        for other in places[at + 1 :]:
            if (one, other) not in reader.legs and (other, one) not in reader.legs:
                holes, first = holes + 1, first or f"{one or BASE} to {other or BASE}"
    return DrivesRead(reader.legs, tuple(reader.wrong), len(places), holes, first, reader.worked_out)

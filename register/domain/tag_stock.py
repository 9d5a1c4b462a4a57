"""Label stock as measures: how large a label is, how labels stand on a sheet, and where each one is, in millimetres."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, NamedTuple

from register.domain.toml_table import Complaints, Table, parse_toml
from register.domain.words import counted
from register.errors import Problem, Refused

SMALLEST_MM: Final = 12.0
LARGEST_MM: Final = 450.0
MOST_LABELS: Final = 500
FARTHEST_NUDGE_MM: Final = 10.0


class NoSuchPlace(Refused):
    """The sheet has no such place to begin at."""


class Spot(NamedTuple):
    """Where one label is: the page, counted from 0, and its top left corner in mm."""

    page: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Stock:
    """One format of labels, in mm. A roll is a sheet with one label that is as large as the page."""

    id: str
    title: str
    width: float
    height: float
    page_width: float
    page_height: float
    across: int = 1
    down: int = 1
    left: float = 0.0
    top: float = 0.0
    gap_x: float = 0.0
    gap_y: float = 0.0

    @property
    def on_a_sheet(self) -> int:
        """How many labels a sheet has."""
        return self.across * self.down

    @property
    def a_roll(self) -> bool:
        """Whether each label is a page of its own."""
        return self.on_a_sheet == 1

    @property
    def words(self) -> str:
        """The measures in a few words: "62 × 38 mm, 21 on a sheet"."""
        size = f"{_mm(self.width)} × {_mm(self.height)} mm"
        return f"{size}, on a roll" if self.a_roll else f"{size}, {self.on_a_sheet} on a sheet"

    def spots(self, count: int, *, start: int = 1, nudge: tuple[float, float] = (0.0, 0.0)) -> tuple[Spot, ...]:
        """Return where so many labels are, row by row from place `start` (1 is the first) of the first sheet.

        `nudge` moves all of them to the right and down. NoSuchPlace for a start beyond the sheet,
        Refused for a nudge too far.
        """
        if not 1 <= start <= self.on_a_sheet:
            raise NoSuchPlace(
                f"Place {start} is not on the sheet: {self.title} has {counted(self.on_a_sheet, 'place')}."
                f" Give a number from 1 to {self.on_a_sheet}."
            )
        if max(map(abs, nudge)) > FARTHEST_NUDGE_MM:
            raise Refused(f"Labels can be nudged by at most {_mm(FARTHEST_NUDGE_MM)} mm. Check the stock instead.")
        return tuple(self._spot(place, nudge) for place in range(start - 1, start - 1 + count))

    def _spot(self, place: int, nudge: tuple[float, float]) -> Spot:
        page, within = divmod(place, self.on_a_sheet)
        row, column = divmod(within, self.across)
        x = self.left + column * (self.width + self.gap_x) + nudge[0]
        return Spot(page, x, self.top + row * (self.height + self.gap_y) + nudge[1])


def checked(stock: Stock) -> Stock:
    """Return a stock whose labels can be printed; refused with what is wrong with its measures."""
    for value in (stock.width, stock.height):
        if not SMALLEST_MM <= value <= LARGEST_MM:
            raise Refused(
                f"A label of {_mm(stock.width)} × {_mm(stock.height)} mm can't be used. Give from {_mm(SMALLEST_MM)} to"
                f" {_mm(LARGEST_MM)} mm."
            )
    if stock.across < 1 or stock.down < 1 or stock.on_a_sheet > MOST_LABELS:
        raise Refused(f"A sheet has 1 to {MOST_LABELS} labels. Check how many stand in a row and in a column.")
    if min(stock.left, stock.top, stock.gap_x, stock.gap_y) < 0:
        raise Refused("Margins and gaps can't be less than nothing. Check the measures of the sheet.")
    wide = stock.left + stock.across * stock.width + (stock.across - 1) * stock.gap_x
    high = stock.top + stock.down * stock.height + (stock.down - 1) * stock.gap_y
    if wide > stock.page_width + _SLACK or high > stock.page_height + _SLACK:
        raise Refused(
            f"The labels take {_mm(wide)} × {_mm(high)} mm, and the page has only {_mm(stock.page_width)} ×"
            f" {_mm(stock.page_height)}. Check the measures."
        )
    return stock


_SLACK: Final = 0.01
"""So many mm too much is a matter of rounding."""


def read_stocks(text: str, name: str) -> tuple[tuple[Stock, ...], list[Problem]]:
    """Return the formats that a TOML text describes, each [[stock]], and what is wrong with the others."""
    values = parse_toml(text, name)
    if isinstance(values, Problem):
        return (), [values]
    complaints = Complaints(name)
    top = Table(values, (), complaints)
    found = [stock for table in top.tables("stock") if (stock := _read(table)) is not None]
    top.close()
    return tuple(found), complaints.problems(text)


def _read(table: Table) -> Stock | None:
    id_ = table.text("id", "Give it a short name.")
    title = table.text("title", "Write what it is called in lists.")
    numbers = {key: table.number(key) for key in _NUMBERS}
    table.close()
    given = {key: float(value) for key, value in numbers.items() if value is not None}
    for key in ("width", "height"):
        if key not in given and not table.faulty:
            table.complain(key, f"The {key} of a label in mm is missing.")
    if table.faulty:
        return None
    try:
        return checked(stock_of(id_, title, given))
    except Refused as wrong:
        table.complain("width", str(wrong))
        return None


_NUMBERS: Final = (
    "width", "height", "page_width", "page_height", "across", "down", "left", "top", "gap_x", "gap_y"
)  # fmt: skip


def stock_of(id_: str, title: str, given: Mapping[str, float]) -> Stock:
    """Return a stock by its measures; without those of a page it is a roll."""
    return Stock(
        id_, title, given["width"], given["height"], given.get("page_width", given["width"]),
        given.get("page_height", given["height"]), int(given.get("across", 1)), int(given.get("down", 1)),
        given.get("left", 0.0), given.get("top", 0.0), given.get("gap_x", 0.0), given.get("gap_y", 0.0),
    )  # fmt: skip


def _mm(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")

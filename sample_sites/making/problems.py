"""Wrong rows of known kinds, planted among the good ones, and where each of them stands."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from typing import Final

from sample_sites.making.days import working_day_on_or_after
from sample_sites.making.premises import Site
from sample_sites.making.style import Style
from sample_sites.making.table import Cell, Row, Table

DAYS_AHEAD: Final = 45


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing known to be wrong: the row and column counted as a spreadsheet does, and the cell as it stands."""

    file: str
    sheet: str
    row: int
    column: str
    value: str
    problem: str
    what: str


@dataclass(frozen=True, slots=True)
class _Bench:
    """What a recipe works with. `spared` is a tag whose rows are left alone, `wrong` the rows planted so far."""

    style: Style
    tables: list[Table]
    today: date
    rng: Random
    first_unused: int
    spared: Cell
    wrong: list[Row] = field(default_factory=list)

    @property
    def items(self) -> Table:
        return self.tables[0]

    @property
    def tests(self) -> Table:
        return self.tables[-1]

    def copy_of(self, table: Table, *filled: str, where: Callable[[Row], bool] = lambda _: True) -> Row:
        """Put a copy of some row that has something in the columns named right below it, and return the copy."""
        places = [table.column(heading) for heading in filled]
        fit = [row for row in self.good_rows(table) if all(row[place] is not None for place in places) and where(row)]
        row = self.rng.choice(fit)
        table.rows.insert(table.place_of(row) + 1, copy := list(row))
        self.wrong.append(copy)
        return copy

    def good_rows(self, table: Table) -> list[Row]:
        """Return the rows that a problem may be made from: with a tag that is not spared, and not wrong already."""
        tag = table.column(self.style.headings.tag)
        tagged = [row for row in table.rows if row and row[tag] not in {None, self.spared}]
        return [row for row in tagged if not any(row is wrong for wrong in self.wrong)]

    def new_tag(self) -> Cell:
        """Return a tag number that no item has."""
        return self.style.tag(self.first_unused + len(self.wrong))


@dataclass(frozen=True, slots=True)
class _Planted:
    table: Table
    row: Row
    column: str
    what: str


def _set(table: Table, row: Row, heading: str, value: Cell) -> None:
    row[table.column(heading)] = value


def _day(bench: _Bench, value: Cell, what: str) -> _Planted:
    heads = bench.style.headings
    row = bench.copy_of(bench.tests, heads.tag, heads.day)
    _set(bench.tests, row, heads.day, value)
    if bench.style.letter in {"C", "D"}:  # one row an item there: the good row stays as it is
        _set(bench.tests, row, heads.tag, bench.new_tag())
    return _Planted(bench.tests, row, heads.day, what)


def _impossible_date(bench: _Bench) -> _Planted:
    year = bench.today.year - (bench.today.month <= 4)  # noqa: PLR2004 - April
    return _day(bench, bench.style.impossible_day(year), "April has 30 days")


def _future_date(bench: _Bench) -> _Planted:
    day = working_day_on_or_after(bench.today + timedelta(days=DAYS_AHEAD))
    return _day(bench, bench.style.day(day), "the test lies in the future")


def _before_1990(bench: _Bench) -> _Planted:
    return _day(bench, bench.style.day(date(1926, 3, 12)), "the year was mistyped: long before any such test")


def _trip(bench: _Bench, text: str, what: str) -> _Planted:
    heads = bench.style.headings
    assert heads.trip
    column = heads.trip(1)
    row = bench.copy_of(bench.tests, heads.tag, column)
    _set(bench.tests, row, column, bench.style.trip_time(text))
    if bench.style.letter == "D":
        _set(bench.tests, row, heads.tag, bench.new_tag())
    return _Planted(bench.tests, row, column, what)


def _negative(bench: _Bench) -> _Planted:
    return _trip(bench, "-12.4", "a time can't be negative")


def _letters(bench: _Bench) -> _Planted:
    return _trip(bench, "2O.4", "the letter O instead of a nought")


def _absurd(bench: _Bench) -> _Planted:
    return _trip(bench, "284000", "the decimal point was left out: beyond any instrument")


def _wrong_unit(bench: _Bench) -> _Planted:
    heads = bench.style.headings
    assert heads.earth
    row = bench.copy_of(bench.tests, heads.tag, heads.earth)
    _set(bench.tests, row, heads.earth, "0.31 Mohm")
    return _Planted(bench.tests, row, heads.earth, "earth resistance in megohm")


def _no_such_outlet(bench: _Bench) -> _Planted:
    heads = bench.style.headings
    assert heads.trip
    few, many = (
        heads.trip(1),
        max(column for column in bench.tests.head if column in {heads.trip(n) for n in range(2, 7)}),
    )
    place = bench.tests.column(heads.trip(2))
    row = bench.copy_of(bench.tests, heads.tag, few, where=lambda row: row[place] is None)
    _set(bench.tests, row, many, bench.style.trip_time("21.7"))
    return _Planted(bench.tests, row, many, "a reading on an outlet that the item does not have")


def _unknown_kind(bench: _Bench) -> _Planted:
    heads = bench.style.headings
    row = bench.copy_of(bench.items, heads.tag, heads.kind)
    for heading, value in ((heads.tag, bench.new_tag()), (heads.kind, "misc"), (heads.description, "See Ruth")):
        _set(bench.items, row, heading, value)
    return _Planted(bench.items, row, heads.kind, "a kind that is none")


def _unknown_class(bench: _Bench) -> _Planted:
    heads = bench.style.headings
    row = bench.copy_of(bench.items, heads.tag, heads.kind)
    _set(bench.items, row, heads.tag, bench.new_tag())
    _set(bench.items, row, heads.environment, "tbc")
    return _Planted(bench.items, row, heads.environment, "an environment class that is none")


def _missing_tag(bench: _Bench) -> _Planted:
    heads = bench.style.headings
    row = bench.copy_of(bench.items, heads.tag, heads.kind)
    _set(bench.items, row, heads.tag, None)
    return _Planted(bench.items, row, heads.tag, "no tag number")


def _duplicate_tag(bench: _Bench) -> _Planted:
    heads = bench.style.headings
    kind, tag = bench.items.column(heads.kind), bench.items.column(heads.tag)
    taken = bench.rng.choice(bench.good_rows(bench.items))
    other = bench.copy_of(bench.items, heads.tag, heads.kind, where=lambda row: row[kind] != taken[kind])
    _set(bench.items, other, heads.tag, taken[tag])
    if bench.items.place_of(other) < bench.items.place_of(taken):  # the wrong one is the second, which is left out
        del bench.items.rows[bench.items.place_of(other)]
        bench.items.rows.insert(bench.items.place_of(taken) + 1, other)
    return _Planted(bench.items, other, heads.tag, "the tag number of another item")


def _repeated_row(bench: _Bench) -> _Planted:
    heads = bench.style.headings
    row = bench.copy_of(bench.tests, heads.tag, heads.day)
    return _Planted(bench.tests, row, heads.tag, "the same row a second time")


RECIPES: Final[dict[str, Callable[[_Bench], _Planted]]] = {
    "impossible-date": _impossible_date,
    "future-date": _future_date,
    "before-1990": _before_1990,
    "negative-reading": _negative,
    "letters-in-reading": _letters,
    "absurd-reading": _absurd,
    "wrong-unit": _wrong_unit,
    "no-such-outlet": _no_such_outlet,
    "unknown-kind": _unknown_kind,
    "unknown-class": _unknown_class,
    "missing-tag": _missing_tag,
    "duplicate-tag": _duplicate_tag,
    "repeated-row": _repeated_row,
}


def plant(
    site: Site,
    style: Style,
    tables: list[Table],
    *,
    file: str,
    today: date,
    rng: Random,
    first_unused: int,
    spared: Cell,
) -> list[Problem]:
    """Put the wrong rows of a site into its tables, and return where they stand once all of them do.

    Tags from `first_unused` on are given to rows that must not look like a good item; the tag `spared` is left alone.
    """
    bench = _Bench(style, tables, today, rng, first_unused, spared)
    planted = [(name, RECIPES[name](bench)) for name in site.problems]
    return [
        Problem(
            file=file,
            sheet=wrong.table.sheet,
            row=wrong.table.number_of(wrong.row),
            column=wrong.column,
            value=_text(wrong.row[wrong.table.column(wrong.column)]),
            problem=name,
            what=wrong.what,
        )
        for name, wrong in planted
    ]


def _text(cell: Cell) -> str:
    return "" if cell is None else str(cell)

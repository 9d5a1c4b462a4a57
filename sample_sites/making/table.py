"""A sheet before it is written: what stands above, the headings, the rows, what stands below."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

Cell = str | int | Decimal | date | None
Row = list[Cell]


@dataclass(slots=True)
class Table:
    """One table of a file. `sheet` is empty in a CSV file. Rows are matched to the headings by place."""

    sheet: str
    head: list[str]
    rows: list[Row]
    above: list[Row] = field(default_factory=list)
    below: list[Row] = field(default_factory=list)

    def column(self, heading: str) -> int:
        """Return the place of a heading, from 0."""
        return self.head.index(heading)

    def place_of(self, row: Row) -> int:
        """Return the place of this very row, from 0; there may be others like it."""
        return next(place for place, each in enumerate(self.rows) if each is row)

    def number_of(self, row: Row) -> int:
        """Return the number of a row as a spreadsheet counts, from 1 at the top of the sheet."""
        return len(self.above) + 1 + self.place_of(row) + 1


def table_of(sheet: str, records: Iterable[dict[str, Cell]], order: Iterable[str]) -> Table:
    """Return the table of records keyed by heading, with only those columns of `order` that anything stands in."""
    records = list(records)
    used = {heading for record in records for heading, value in record.items() if value is not None}
    head = [heading for heading in order if heading in used]
    return Table(sheet, head, [[record.get(heading) for heading in head] for record in records])

"""Cells merged over several rows: what stands in the first of them holds for all."""

from collections.abc import Iterable, Iterator, Sequence

from register.errors import Refused
from register.exchange.sheets.cells import MOST_CELLS, Row, Span, Value


def spread_down(rows: Iterable[Row], spans: Sequence[Span]) -> Iterator[Row]:
    """Yield the rows, each with what reaches down to it from a merged cell above. Nothing is written over.

    Refused where the cells taken apart would be more than a sheet may have.
    """
    ahead = sorted(spans, reverse=True)
    reaching: dict[int, tuple[int, Value]] = {}
    stated = 0
    for number, values in rows:
        filled = _filled(values, number, reaching) if reaching else values
        stated += len(filled)
        if stated > MOST_CELLS:
            raise Refused(
                f"A sheet has more than {MOST_CELLS:,} cells once its merged ones are taken apart. Take them apart in "
                "a spreadsheet program, and delete what stands far beside the list."
            )
        while ahead and ahead[-1].first <= number:
            span = ahead.pop()
            value = values[span.column] if span.column < len(values) else None
            if span.first == number and value is not None:
                reaching[span.column] = span.last, value
        yield number, filled


def _filled(values: tuple[Value, ...], number: int, reaching: dict[int, tuple[int, Value]]) -> tuple[Value, ...]:
    cells = list(values)
    for column, (last, value) in list(reaching.items()):
        if last < number:
            del reaching[column]
            continue
        cells.extend([None] * (column + 1 - len(cells)))
        if cells[column] is None:
            cells[column] = value
    return tuple(cells)

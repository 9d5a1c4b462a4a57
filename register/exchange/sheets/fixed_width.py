"""Text tables without a separator, whose columns stand under one another."""

import re
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Final

SAMPLE: Final = 400
LEAST_LINES: Final = 3
SURE_LINES: Final = 12
"""With so many lines one blank between columns will do; with fewer there must be two."""

_GAPS: Final = re.compile(r"\S {2,}(?=\S)")
_LEAST_COLUMNS: Final = 3


def starts_of(lines: Iterator[str], separator: str) -> tuple[int, ...]:
    """Return where the columns of aligned text begin; empty where it is not aligned.

    The first line with gaps is taken for the headings: where it has nothing, no column begins, and where it has the
    separator that the file may have, it is not aligned text.
    """
    sample = [line.rstrip() for line in islice(lines, SAMPLE)]
    aligned = [line for line in sample if len(_GAPS.findall(line)) >= _LEAST_COLUMNS - 1]
    if len(aligned) < LEAST_LINES or separator in aligned[0]:
        return ()
    width = max(map(len, aligned))
    blank = [all(place >= len(line) or line[place] == " " for line in aligned) for place in range(width)]
    least = 1 if len(aligned) >= SURE_LINES else 2
    starts = [0, *(at for at in range(least, width) if not blank[at] and all(blank[at - least : at]))]
    named = [
        start
        for start, end in zip(starts, [*starts[1:], width], strict=True)
        if start == 0 or aligned[0][start:end].strip()
    ]
    return tuple(named) if len(named) >= _LEAST_COLUMNS else ()


def cut(line: str, starts: Sequence[int]) -> list[str]:
    """Return the cells of a line; a line that runs over where columns begin is one cell."""
    line = line.rstrip()
    if any(start < len(line) and line[start - 1] != " " for start in starts if start):
        return [line.strip()]
    return [line[start:end].strip() for start, end in zip(starts, [*starts[1:], len(line)], strict=True)]

"""On which line of a TOML text each table and key stands, so that a problem can name it.

`tomllib` keeps no lines. This walks over a text that `tomllib` has already accepted, statement by statement.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Final

Path = tuple[str | int, ...]
"""The way to a value: names of tables and keys, and places in lists counted from 0."""

_PIECE: Final = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}(?!")'
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*"
    r"|[\[\]{}]"
    r"|\n"
    r"|[^\"'#\n\[\]{}]+"
    r"|.",
    re.DOTALL,
)
_NAME: Final = re.compile(r'"(?:\\.|[^"\\])*"|\'[^\']*\'|[A-Za-z0-9_-]+')
_HEAD: Final = re.compile(r'(?:"(?:\\.|[^"\\])*"|\'[^\']*\'|[^"\'=])*')


def toml_lines(text: str) -> dict[Path, int]:
    """Return the line, counted from 1, of every table header and key. `text` is valid TOML."""
    lines: dict[Path, int] = {}
    counts: Counter[Path] = Counter()
    table: Path = ()
    for line, statement in _statements(text):
        names = _names(statement)
        if statement.startswith("["):
            table = _table(names, counts, many=statement.startswith("[["))
            lines.setdefault(table, line)
        else:
            for length in range(1, len(names) + 1):
                lines.setdefault((*table, *names[:length]), line)
    return lines


def line_of(lines: Mapping[Path, int], path: Path) -> int:
    """Return the line of a value, or of the nearest table around it; 1 for what stands nowhere in the file."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return 1


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Yield each header and each key with its value, without comments, and the line on which it starts."""
    line, depth = 1, 0
    start, pieces = 1, ""
    for match in _PIECE.finditer(text + "\n"):
        piece = match[0]
        if piece == "\n" and depth == 0:
            if pieces.strip():
                yield start, pieces.strip()
            pieces = ""
        elif not piece.startswith("#"):
            if not pieces.strip():
                start = line
            pieces += piece
            depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(piece, 0)
        line += piece.count("\n")


def _names(statement: str) -> tuple[str, ...]:
    head = _HEAD.match(statement)
    assert head is not None  # the pattern matches nothing as well
    return tuple(name[1:-1] if name[0] in "\"'" else name for name in _NAME.findall(head[0]))


def _table(names: tuple[str, ...], counts: Counter[Path], *, many: bool) -> Path:
    """Return the way to the table of a header; inside a list of tables it is the latest one."""
    path: Path = ()
    for place, name in enumerate(names):
        path = (*path, name)
        if many and place == len(names) - 1:
            counts[path] += 1
        if counts[path]:
            path = (*path, counts[path] - 1)
    return path

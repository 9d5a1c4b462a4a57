"""How answers are printed: a table for people, or JSON alone for programs."""

import codecs
import io
import json
import os
import shutil
import sys
import textwrap
from collections.abc import Iterable, Sequence
from contextlib import suppress
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from typing import Any, Final, TextIO

from register.domain.explain import day_words

_GAP: Final = "  "
_NARROWEST: Final = 24


def print_json(value: object) -> None:
    """Print a value as JSON: dates in ISO 8601, exact numbers as text."""
    json.dump(value, sys.stdout, ensure_ascii=False, indent=2, default=_plain)
    print()


def tell(answer: str, code: int) -> int:
    """Write a command's whole answer to standard output; return its exit code, or 1 where it can't be written.

    A letter that the terminal or file can't hold is written as JSON escapes it.
    """
    out = sys.stdout
    if out is None:  # it was closed before the program began
        return code
    if isinstance(out, io.TextIOWrapper) and out.errors in _NO_WAY_OUT:
        out.reconfigure(errors=_ESCAPED)
    try:
        out.write(answer)
        out.flush()
    except BrokenPipeError:  # the reader has gone away; there is nobody to tell
        _forget(out)
    except OSError as error:
        _forget(out)
        notice(f"The answer can't be written: {error.strerror}. The command itself was carried out.")
        return 1
    return code


def _forget(out: TextIO) -> None:
    """Send what is left of an answer nowhere, so that the end of the program does not try again to write it."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), out.fileno())


def _escape(error: UnicodeError) -> tuple[str, int]:
    """Return letters that can't be encoded as JSON escapes them, and where to go on."""
    assert isinstance(error, UnicodeEncodeError)
    return json.dumps(error.object[error.start : error.end])[1:-1], error.end


_NO_WAY_OUT: Final = frozenset({"strict", "surrogateescape"})
"""Ways of writing that raise an error at a letter that can't be encoded: Python's own choices, by locale."""
_ESCAPED: Final = "retest-register.escaped"
codecs.register_error(_ESCAPED, _escape)


def _plain(value: object) -> Any:  # noqa: ANN401 - whatever JSON holds
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, set | frozenset | tuple):
        return list(value)
    raise TypeError(f"{type(value).__name__} has no form in JSON")


def print_table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Print rows under their heads; the last column is wrapped to the width of the terminal."""
    lines = [[cell(value) for value in row] for row in rows]
    widths = [max(len(line[place]) for line in [list(heads), *lines]) for place in range(len(heads) - 1)]
    used = sum(widths) + len(_GAP) * len(widths)
    room = max(_NARROWEST, shutil.get_terminal_size((120, 24)).columns - used)
    for line in [list(heads), ["-" * len(head) for head in heads], *lines]:
        start = "".join(value.ljust(width) + _GAP for value, width in zip(line, widths, strict=False))
        parts = textwrap.wrap(line[-1], room) or [""]
        print((start + parts[0]).rstrip())
        for part in parts[1:]:
            print(" " * used + part)


def cell(value: object) -> str:
    """Return a value as it stands in a table."""
    if value is None:
        return "-"
    if isinstance(value, date):
        return day_words(value)
    return str(value)


def notice(text: str) -> None:
    """Tell the user something beside the answer; nobody where standard error was closed before the program began."""
    if sys.stderr is not None:  # print would take standard output in its place
        print(text, file=sys.stderr)

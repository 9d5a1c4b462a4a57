"""Tables of a TOML file as they are read: every key checked, every mistake kept with its place, none raised."""

import re
import tomllib
from collections.abc import Iterable, Mapping
from decimal import Decimal
from difflib import get_close_matches
from enum import StrEnum
from typing import Final, TypeVar

from register.domain.intervals import Interval
from register.domain.toml_lines import Path, line_of, toml_lines
from register.errors import Problem, Refused

Word = TypeVar("Word", bound=StrEnum)

_AT_LINE: Final = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
_NUMBER: Final = re.compile(r"^[0-9]{1,7}(?:\.[0-9]{1,6})?$")
_LONGEST_SHOWN: Final = 40


class Complaints:
    """What is wrong in one file, gathered while it is read."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._found: list[tuple[Path, str]] = []

    def __bool__(self) -> bool:
        return bool(self._found)

    def add(self, path: Path, message: str) -> None:
        """Keep one mistake with its place."""
        self._found.append((path, message))

    def problems(self, text: str) -> list[Problem]:
        """Return the mistakes as problems in the order of the file's lines."""
        lines = toml_lines(text)
        problems = [Problem(f"{self._name}, {_place(path)}", line_of(lines, path), said) for path, said in self._found]
        return sorted(problems, key=lambda problem: problem.line or 0)


def _place(path: Path) -> str:
    """Return the way to a value as it looks in the file: "[[interval]] 3, every" or "[edition.x], title"."""
    head, rest = str(path[0]), path[1:]
    if rest and isinstance(rest[0], int):
        head, rest = f"[[{head}]] {rest[0] + 1}", rest[1:]
    elif rest:
        depth = 1 if len(rest) > 1 else 0
        head, rest = f"[{'.'.join([head, *map(str, rest[:depth])])}]", rest[depth:]
    words = [head]
    for step in rest:
        if isinstance(step, int):
            words[-1] += f" {step + 1}"
        else:
            words.append(step)
    return ", ".join(words)


def parse_toml(text: str, name: str) -> dict[str, object] | Problem:
    """Return the values of a TOML text, or the one problem that keeps it from being read at all."""
    try:
        return tomllib.loads(text)
    except RecursionError:
        return Problem(name, None, "The file is nested too deeply to be read.")
    except ValueError as wrong:
        said = str(wrong)
        at = _AT_LINE.search(said)
        line = int(at["line"]) if at and at["line"] else text.count("\n") + 1
        said = said[: at.start()] if at else said
        return Problem(
            name,
            line,
            f"The text can't be read as TOML from here: {said[:1].lower()}{said[1:]}. Check the quotes, brackets and "
            "equals signs on this line and the one before.",
        )


def one_of(value: str, choices: Iterable[str]) -> str:
    """Return the sentences that say what a word could have been: the nearest first, then all."""
    known = [choice for choice in choices if choice]
    near = get_close_matches(value, known, n=1)
    hint = f" Did you mean “{near[0]}”?" if near else ""
    return f"{hint} It can be: {', '.join(known)}." if known else " There is none to choose from."


def shown(value: object) -> str:
    """Return a value as it is quoted in a sentence, cut where it is long."""
    text = " ".join(str(value).split())
    return f"“{text}”" if len(text) <= _LONGEST_SHOWN else f"“{text[:_LONGEST_SHOWN]}…”"


class Table:
    """One table of the file. Each method reads one key; what is wrong goes to the complaints.

    A key that is wrong reads as if it were missing, and `faulty` is set. `close` complains of keys never asked for.
    """

    def __init__(self, values: Mapping[str, object], path: Path, complaints: Complaints) -> None:
        self.path = path
        self.faulty = False
        self._values = values
        self._complaints = complaints
        self._asked: list[str] = []

    def __contains__(self, key: str) -> bool:
        return key in self._values

    def complain(self, key: str, message: str, *, within: Path = ()) -> None:
        """Keep a mistake at a key of this table, or deeper within it."""
        self.faulty = True
        self._complaints.add((*self.path, key, *within), message)

    def _get(self, key: str, missing: str = "") -> object | None:
        """Return a key's value; complain with `missing` where it is not there and that sentence is given."""
        self._asked.append(key)
        value = self._values.get(key)
        if value is None and missing:
            self.complain(key, f"The key “{key}” is missing. {missing}")
        return value

    def text(self, key: str, missing: str = "") -> str:
        """Return a text without blanks around it. `missing` is the sentence that asks for it where it is required."""
        value = self._get(key, missing)
        if value is None:
            return ""
        if not isinstance(value, str):
            self.complain(key, f'Write {shown(value)} in quotes: {key} = "…".')
            return ""
        if not value.strip():
            self.complain(key, f"The key “{key}” is empty. {missing}".rstrip())
        return " ".join(value.split())

    def texts(self, key: str, missing: str = "") -> tuple[str, ...]:
        """Return a list of texts."""
        value = self._get(key, missing)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(each, str) and each.strip() for each in value):
            self.complain(key, f'Write a list of words in quotes: {key} = ["…", "…"].')
            return ()
        if not value:
            self.complain(key, f"The list “{key}” is empty. Name at least one, or leave the key out.")
        return tuple(" ".join(each.split()) for each in value)

    def flag(self, key: str, *, default: bool = False) -> bool:
        """Return a yes or no."""
        value = self._get(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            self.complain(key, f"Write {key} = true or {key} = false, without quotes.")
            return default
        return value

    def word(self, key: str, words: type[Word], missing: str = "") -> Word | None:
        """Return one of a fixed set of words."""
        value = self.text(key, missing)
        return self._as_word(key, value, words) if value else None

    def words(self, key: str, words: type[Word], missing: str = "") -> tuple[Word, ...]:
        """Return some of a fixed set of words."""
        found = [self._as_word(key, value, words) for value in self.texts(key, missing)]
        return tuple(word for word in found if word is not None)

    def _as_word(self, key: str, value: str, words: type[Word]) -> Word | None:
        try:
            return words(value)
        except ValueError:
            self.complain(key, f"{shown(value)} is not known here.{one_of(value, words)}")
            return None

    def number(self, key: str) -> Decimal | None:
        """Return a number that is exact: written in quotes, or whole."""
        value = self._get(key)
        return None if value is None else self._as_number(key, value)

    def numbers(self, key: str) -> tuple[Decimal, ...]:
        """Return a list of exact numbers."""
        value = self._get(key)
        if value is None:
            return ()
        if not isinstance(value, list) or not value:
            self.complain(key, f'Write a list of numbers: {key} = ["1"].')
            return ()
        found = [self._as_number(key, each) for each in value]
        return tuple(number for number in found if number is not None)

    def _as_number(self, key: str, value: object) -> Decimal | None:
        if isinstance(value, float):
            self.complain(key, f'Write {shown(value)} in quotes, as {key} = "{value}", so that it stays exact.')
            return None
        text = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
        if not isinstance(text, str) or not _NUMBER.match(text.strip()):
            self.complain(key, f"{shown(value)} is not a number of the kind meant here, such as 300 or “0.5”.")
            return None
        return Decimal(text.strip())

    def interval(self, key: str) -> Interval | None:
        """Return an interval written as an ISO 8601 duration."""
        value = self.text(key)
        if not value:
            return None
        try:
            return Interval.parse(value)
        except Refused as wrong:
            self.complain(key, str(wrong))
            return None

    def named_tables(self, key: str) -> dict[str, "Table"]:
        """Return the tables [key.NAME] by their names."""
        found = {}
        for name, value in self._dict(key).items():
            if isinstance(value, dict):
                found[name] = Table(value, (*self.path, key, name), self._complaints)
            else:
                self._complaints.add((*self.path, key, name), f"Write this as a table, under a line [{key}.NAME].")
        return found

    def table(self, key: str) -> "Table":
        """Return a table inside this one: [key]. It is empty where there is none."""
        return Table(self._dict(key), (*self.path, key), self._complaints)

    def _dict(self, key: str) -> dict[str, object]:
        value = self._get(key)
        if isinstance(value, dict):
            return value
        if value is not None:
            self.complain(key, f"Write this as a table, under a line [{key}].")
        return {}

    def tables(self, key: str) -> list["Table"]:
        """Return the tables of a list: each [[key]], or each {…} of an inline list."""
        value = self._get(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            how = f"under a line [[{key}]]" if not self.path else f"as {key} = [{{ … }}]"
            self.complain(key, f"Write each entry as a table of its own, {how}.")
            return []
        return [Table(each, (*self.path, key, place), self._complaints) for place, each in enumerate(value)]

    def close(self) -> None:
        """Complain of every key that nobody asked for."""
        for key in self._values:
            if key not in self._asked:
                near = get_close_matches(key, self._asked, n=1)
                hint = f" Did you mean “{near[0]}”?" if near else ""
                self.complain(key, f"{shown(key)} is not a key of this table.{hint} Keys: {', '.join(self._asked)}.")

    def written(self) -> tuple[str, ...]:
        """Return the keys that are there, for tables whose keys are names of the user's own."""
        return tuple(self._values)

"""JSON read strictly: exact numbers, known keys, and one sentence that names the place of whatever is wrong."""

import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from enum import StrEnum
from typing import Final, NoReturn, TypeVar

from register.domain.text import clean_text
from register.errors import Refused

LARGEST_BYTES: Final = 20_000_000
LONGEST_TEXT: Final = 2_000

_QUOTED: Final = 40
_DAY_LENGTH: Final = len("2026-11-20")
_MOMENT: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?:[T ][0-9]{2}:[0-9]{2}\S*)?")
_NUMBER: Final = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,9})?")

Choice = TypeVar("Choice", bound=StrEnum)
Whatever = TypeVar("Whatever")


def parse_json(text: str | bytes) -> object:
    """Return what a JSON text says, numbers with a point as exact `Decimal`.

    Refused where it is empty, larger than 20 MB, not UTF-8 or JSON, says a key twice in one object, or nests too deep.
    """
    if len(text) > LARGEST_BYTES:
        raise Refused(f"The JSON text is larger than {LARGEST_BYTES // 1_000_000} MB. Split it into several.")
    try:
        plain = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        if not plain.strip():
            raise Refused("The JSON text is empty. Check that it is the right file, or what was to write it.")
        return json.loads(plain, parse_float=Decimal, parse_constant=_no_constant, object_pairs_hook=_once)
    except UnicodeDecodeError:
        raise Refused("The text is not in UTF-8, so it can't be read as JSON. Save it as UTF-8.") from None
    except json.JSONDecodeError as wrong:
        raise Refused(f"The text is not JSON: {wrong.msg} at line {wrong.lineno}, column {wrong.colno}.") from None
    except RecursionError:
        raise Refused("The JSON text is nested too deep to be read. Check that it is the right file.") from None
    except ValueError:
        raise Refused("The JSON text holds a number of thousands of digits. Check that it is the right file.") from None


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise Refused(f"The key {quoted(twice)} stands twice in one object. Leave one of them out.")
    return found


def _no_constant(word: str) -> NoReturn:
    raise Refused(f"{word} is not a number. Give the value measured, or the bound no-reading.")


def quoted(value: object) -> str:
    """Return a value as it is quoted in a sentence, cut short."""
    if isinstance(value, str):
        text = clean_text(value)
        return f"“{text}”" if len(text) <= _QUOTED else f"“{text[: _QUOTED - 1]}…”"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, dict | list):
        return "an object" if isinstance(value, dict) else "a list"
    return quoted(str(value))[1:-1]


def at(where: str, key: str) -> str:
    """Return the place of a key: "entry 2, reading 3, “outlet”"."""
    return ", ".join(part for part in (where, f"“{key}”" if key else "") if part)


def refuse(where: str, message: str) -> NoReturn:
    """Refuse with a sentence that opens with the place."""
    sentence = f"{where}: {message}" if where else message
    raise Refused(f"{sentence[:1].upper()}{sentence[1:]}")


@dataclass(frozen=True, slots=True)
class Fields:
    """One JSON object and where it stands. Each method returns one key's value or refuses with place and reason.

    A key that is missing or null counts as not given.
    """

    where: str
    values: dict[str, object]

    @classmethod
    def of(cls, value: object, where: str, known: Iterable[str]) -> "Fields":
        """Return the fields of a JSON object. Refused where it is something else or has a key that is not known."""
        if not isinstance(value, dict):
            refuse(where or "the document", f"{quoted(value)} stands where an object in braces is expected.")
        keys = list(known)
        for key in value:
            if key not in keys:
                refuse(where, f"the key {quoted(key)} is not known. It is one of: {', '.join(keys)}.")
        return cls(where, value)

    def given(self, key: str) -> bool:
        """Whether the key is there and says something."""
        return self.values.get(key) is not None

    def wrong(self, key: str, message: str) -> NoReturn:
        """Refuse because of one key."""
        refuse(at(self.where, key), message)

    def need(self, key: str) -> object:
        """Return the value of a key that must be there."""
        if not self.given(key):
            self.wrong(key, "it is missing. Add it.")
        return self.values[key]

    def text(self, key: str) -> str:
        """Return a text on one line, without what can't be seen; empty where it is not given."""
        value = self.values.get(key)
        if value is None:
            return ""
        if not isinstance(value, str):
            self.wrong(key, f"{quoted(value)} is not a text in quotes.")
        if len(value) > LONGEST_TEXT:
            self.wrong(key, f"has {len(value)} characters; {LONGEST_TEXT} are the most.")
        return clean_text(value)

    def choice(self, key: str, choices: type[Choice], among: Iterable[Choice] | None = None) -> Choice | None:
        """Return one of a list of words; None where it is not given."""
        value = self.values.get(key)
        if value is None:
            return None
        return self._word(key, value, choices, among)

    def choices(self, key: str, choices: type[Choice]) -> tuple[Choice, ...]:
        """Return a list of words from a list; empty where it is not given."""
        return tuple(self._word(key, value, choices, None) for value in self.list(key))

    def _word(self, key: str, value: object, choices: type[Choice], among: Iterable[Choice] | None) -> Choice:
        words = [each.value for each in among or choices]
        if value not in words:
            self.wrong(key, f"{quoted(value)} is not one of: {', '.join(words)}.")
        return choices(value)

    def list(self, key: str) -> list[object]:
        """Return a list; empty where it is not given."""
        value = self.values.get(key)
        if value is None:
            return []
        if not isinstance(value, list):
            self.wrong(key, f"{quoted(value)} stands where a list in brackets is expected.")
        return value

    def whole(self, key: str, least: int, most: int) -> int | None:
        """Return a whole number between two, both included; None where it is not given."""
        value = self.values.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            self.wrong(key, f"{quoted(value)} is not a whole number from {least} to {most}, without quotes.")
        return value

    def number(self, key: str, most: int) -> Decimal | None:
        """Return an exact number above 0, given as text or as a number; None where it is not given."""
        value = self.values.get(key)
        return None if value is None else self._number(key, value, most)

    def numbers(self, key: str, most: int) -> tuple[Decimal, ...]:
        """Return a list of exact numbers above 0; empty where it is not given."""
        return tuple(self._number(key, value, most) for value in self.list(key))

    def _number(self, key: str, value: object, most: int) -> Decimal:
        text = self.written(key, value)
        if not _NUMBER.fullmatch(text) or not 0 < Decimal(text) <= most:
            self.wrong(key, f"{quoted(value)} is not a number above 0 and up to {most}.")
        return Decimal(text)

    def written(self, key: str, value: object) -> str:
        """Return a number as it was written, whether in quotes or not."""
        if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
            self.wrong(key, f"{quoted(value)} is neither a number nor a text in quotes.")
        return str(value)

    def truth(self, key: str) -> bool:
        """Return true or false; false where it is not given."""
        value = self.values.get(key)
        if value is None:
            return False
        if not isinstance(value, bool):
            self.wrong(key, f"{quoted(value)} is neither true nor false, without quotes.")
        return value

    def moment(self, key: str) -> tuple[date, time | None]:
        """Return a day, and the time of day where it is given, as written there; a zone is left aside."""
        value = self.need(key)
        text = value if isinstance(value, str) and _MOMENT.fullmatch(value) else ""
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            self.wrong(key, f"{quoted(value)} is not a date such as 2026-11-20, or 2026-11-20T14:30 with the time.")
        return moment.date(), moment.time() if len(text) > _DAY_LENGTH else None

    def settle(self, key: str, make: Callable[[], Whatever]) -> Whatever:
        """Return what `make` returns; a sentence with which it refuses gets the place in front, and the key if any."""
        try:
            return make()
        except Refused as refused:
            self.wrong(key, str(refused))

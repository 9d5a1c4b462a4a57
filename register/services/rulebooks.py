"""The rulebooks that come with the program, a user's own from a file, and what one asks of an item."""

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Final

from register.domain.rulebook import IntervalLine, Rulebook
from register.domain.rulebook_lookup import condition_words, interval_lines, interval_words
from register.domain.rulebook_reader import extended_id, read_rulebook
from register.domain.words import Kind
from register.errors import Refused, Unavailable

LARGEST_BYTES: Final = 1_000_000
_SHOWN: Final = 5


def rulebook_ids() -> tuple[str, ...]:
    """Return the ids of the rulebooks that come with the program, in the order of the alphabet."""
    names = (entry.name for entry in files("resources").joinpath("rulebooks").iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


@lru_cache
def rulebook(id_: str) -> Rulebook:
    """Return a rulebook that comes with the program, read once. Refused for an id that is not among them."""
    if id_ not in rulebook_ids():
        raise Refused(f"There is no rulebook “{id_}”. There are: {', '.join(rulebook_ids())}.")
    return _read(_own_text(id_), f"{id_}.toml")


def find_rulebook(name: str) -> Rulebook:
    """Return the rulebook of an id, or the user's own where the name is that of a file (it ends in .toml)."""
    return rulebook_from_file(Path(name)) if name.casefold().endswith(".toml") else rulebook(name)


def rulebook_from_file(path: Path) -> Rulebook:
    """Return the rulebook in a user's own file, which may extend one that comes with the program.

    Refused where anything in it is wrong, with table, key and line, and where it takes the id of another
    rulebook; Unavailable where the file can't be read.
    """
    text = _text_of(path)
    book = _read(text, path.name)
    if book.id in rulebook_ids() and text != _own_text(book.id):
        raise Refused(
            f"The file {path.name} calls itself “{book.id}”, which is a rulebook of the program and says something "
            "else. Give it an id of its own."
        )
    return book


def _own_text(id_: str) -> str:
    return files("resources").joinpath("rulebooks", f"{id_}.toml").read_text(encoding="utf-8")


def _text_of(path: Path) -> str:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except OSError as wrong:
        raise Unavailable(f"The rulebook file {path} can't be read: {wrong.strerror}. Check the name.") from wrong
    if len(content) > LARGEST_BYTES:
        raise Refused(f"The file {path.name} is larger than {LARGEST_BYTES // 1_000_000} MB. Choose a rulebook.")
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise Refused(f"The file {path.name} is not text in UTF-8, so it can't be read. Save it as UTF-8.") from None


def _read(text: str, name: str) -> Rulebook:
    base_id = extended_id(text)
    base = rulebook(base_id) if base_id in rulebook_ids() else None
    book, problems = read_rulebook(text, name=name, base=base)
    if book is not None:
        return book
    if len(problems) == 1:
        raise Refused(f"The rulebook {name} is not used, because something in it is wrong.\n{problems[0]}")
    shown = "\n".join(map(str, problems[:_SHOWN]))
    left = len(problems) - _SHOWN
    more = f"\nand {left} more." if left > 0 else ""
    raise Refused(f"The rulebook {name} is not used, because {len(problems)} things in it are wrong.\n{shown}{more}")


@dataclass(frozen=True, slots=True)
class IntervalRow:
    """One line of a rulebook as it holds for the kind and the environment class that were asked for."""

    rulebook: str
    environment: str
    kind: Kind
    line: IntervalLine

    @property
    def words(self) -> str:
        """How often, and under which conditions: "every 12 months, unless it is connected to a safety switch"."""
        return ", ".join(filter(None, [interval_words(self.line), condition_words(self.line)]))

    def as_json(self) -> dict[str, object]:
        """Return the row as `interval --json` prints it: `every` with `up_to` where it is a range, or `on`."""
        line = self.line
        when = {"every": line.every, "up_to": line.up_to, "on": line.on, "first": line.first}
        return {
            "duty": line.duty.value,
            **{key: str(value) for key, value in when.items() if value is not None},
            "words": self.words,
            "strength": line.strength.value,
            "rulebook": self.rulebook,
            "taken_from": line.rulebook if line.rulebook != self.rulebook else None,
            "environment": self.environment,
            "kind": self.kind.value,
            "place": sorted(line.place),
            "only_if": [fact.value for fact in line.only_if],
            "unless": [fact.value for fact in line.unless],
            "source": line.source.text,
            "edition": line.source.edition.title,
            "confidence": line.source.confidence.value,
            "note": line.note,
            "others": [{"value": other.value, "source": other.source} for other in line.others],
        }


def interval_rows(
    book: Rulebook, kind: Kind, environment: str, place: str | None = None, *, has_switch: bool = False
) -> tuple[IntervalRow, ...]:
    """Return what a rulebook asks of a kind of item in an environment class, one row a duty.

    `place` and `has_switch` are as in `interval_lines`. Refused for a class that the rulebook doesn't have.
    """
    lines = interval_lines(book, kind=kind, environment=environment, place=place, has_switch=has_switch)
    return tuple(IntervalRow(book.id, environment, kind, line) for line in lines)

"""Tag numbers in ranges: each van or holder has its own, so that two laptops never give out the same number."""

import re
from dataclasses import dataclass
from typing import Final

from register.domain.text import LONGEST_TAG
from register.domain.words import counted
from register.errors import Refused

FEW: Final = 25
"""So few numbers left are said to be few: order tags and ask for another range."""

MOST_DIGITS: Final = 9
_PLAIN: Final = re.compile(r"[0-9A-Z $%*+\-./:]*")
"""The letters that a code holds in its shortest form: figures, capitals, blank and $ % * + - . / :"""


@dataclass(frozen=True, slots=True)
class Numbers:
    """Tag numbers from `first` to `last` with so many digits behind a prefix: "RR-000123"."""

    prefix: str
    digits: int
    first: int
    last: int

    def written(self, number: int) -> str:
        """Return a number as it stands on a tag."""
        return f"{self.prefix}{number:0{self.digits}d}"

    @property
    def words(self) -> str:
        """The range in words: "RR-000100 to RR-000199"."""
        return f"{self.written(self.first)} to {self.written(self.last)}"

    def holds(self, tag: str) -> bool:
        """Whether a tag's number is one of these."""
        figures = tag.removeprefix(self.prefix)
        plain = figures.isascii() and figures.isdecimal() and len(figures) == self.digits
        return plain and tag.startswith(self.prefix) and self.first <= int(figures) <= self.last

    def overlaps(self, other: "Numbers") -> bool:
        """Whether any tag number is in both, however each is parted into prefix and digits."""
        mine, theirs = self.parted, other.parted
        return mine[:2] == theirs[:2] and mine[2] <= theirs[3] and theirs[2] <= mine[3]

    @property
    def parted(self) -> tuple[str, int, int, int]:
        """Stem, digits, first and last, with the figures at the prefix's end counted as digits."""
        stem = self.prefix.rstrip("0123456789")
        ahead = self.prefix[len(stem) :]
        more = int(ahead or 0) * 10**self.digits
        return stem, self.digits + len(ahead), self.first + more, self.last + more


def numbers_of(prefix: str, digits: int, first: int, last: int) -> Numbers:
    """Return a range of tag numbers; refused with a sentence where it can't be one."""
    if not _PLAIN.fullmatch(prefix) or prefix != prefix.strip():
        raise Refused(
            f"The prefix “{prefix}” has letters that a small code can't hold. Use capitals, figures and - . / only."
        )
    if not 1 <= digits <= MOST_DIGITS or len(prefix) + digits > LONGEST_TAG:
        raise Refused(f"A tag number has 1 to {MOST_DIGITS} digits and at most {LONGEST_TAG} characters in all.")
    if not 0 <= first <= last:
        raise Refused(f"A range runs from a smaller to a larger number, not from {first} to {last}.")
    if last >= 10**digits:
        raise Refused(f"{last} does not fit in {counted(digits, 'digit')}. Give more digits.")
    return Numbers(prefix, digits, first, last)

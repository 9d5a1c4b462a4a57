"""What became of a scan, always by its word, its sign and its colour together."""

from enum import StrEnum
from typing import Final

from register.domain.words import Result


class Became(StrEnum):
    """What became of a scan, in the words of its line."""

    FOUND = "found"
    ON_BENCH = "on the bench"
    PASS = "pass"  # noqa: S105 - not a password
    FAIL = "fail, withdrawn"
    INCOMPLETE = "incomplete"
    ASIDE = "put aside"
    AGAIN = "done today"
    ELSEWHERE = "at another site"
    LOOKED_UP = "unknown"
    UNKNOWN = "unknown, kept"
    REFUSED = "not taken"
    UNDONE = "undone"
    CORRECTED = "corrected"


GLYPHS: Final = {
    Became.FOUND: "tick", Became.ON_BENCH: "scan", Became.PASS: "tick", Became.FAIL: "cross", Became.INCOMPLETE: "gap",
    Became.ASIDE: "again", Became.AGAIN: "again", Became.ELSEWHERE: "elsewhere", Became.LOOKED_UP: "unknown",
    Became.UNKNOWN: "unknown", Became.REFUSED: "unknown", Became.UNDONE: "back",
    Became.CORRECTED: "again",
}  # fmt: skip
TONES: Final = {
    Became.FOUND: "service", Became.PASS: "service", Became.FAIL: "overdue", Became.ASIDE: "soon",
    Became.AGAIN: "soon", Became.ELSEWHERE: "soon",
}  # fmt: skip
"""The colours, by the names of their tokens; all others are those of the unknown."""

OF_VERDICT: Final = {Result.PASS: Became.PASS, Result.FAIL: Became.FAIL, Result.INCOMPLETE: Became.INCOMPLETE}

"""What a scanner sends, told apart from what hands type: pace, prefix, ending, repeats, and what a test label shows.

A scanner types like a keyboard, only faster than any hand. Nothing here knows of widgets or of the clock.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

PACE_MS: Final = 50
"""Keys closer together than this come from a scanner."""
LEAST: Final = 6
"""So many of them in a row are a scan, wherever the cursor stands."""
REST_MS: Final = 120
"""A scanner that sends nothing at the end has ended after this rest."""
REPEAT_MS: Final = 2_000
"""The same code within this time is the same pull of the trigger."""


class Ending(StrEnum):
    """What a scanner sends after a code."""

    ENTER = "enter"
    TAB = "tab"
    CR_LF = "cr-lf"
    NONE = "none"


ENDING_WORDS: Final = {
    Ending.ENTER: "Enter",
    Ending.TAB: "Tab",
    Ending.CR_LF: "Enter twice (CR and LF)",
    Ending.NONE: "nothing",
}


@dataclass(frozen=True, slots=True)
class Scanner:
    """How the scanner of this computer is set. `prefix` is what it sends before each code."""

    ending: Ending = Ending.ENTER
    prefix: str = ""

    def code(self, sent: str) -> str:
        """Return what was sent without the prefix."""
        return sent[len(self.prefix) :] if self.prefix and sent.startswith(self.prefix) else sent


class Repeats:
    """Knows the last code, so that one held under the beam is taken once."""

    def __init__(self) -> None:
        self._code, self._at = "", 0

    def same(self, code: str, at_ms: int) -> bool:
        """Whether a code is the last one again within two seconds."""
        known = " ".join(code.upper().split())
        same = known == self._code and 0 <= at_ms - self._at < REPEAT_MS
        if not same:
            self._code, self._at = known, at_ms
        return same

    def forget(self) -> None:
        """Take the next code for a new one, whatever it is."""
        self._code = ""


@dataclass(frozen=True, slots=True)
class Heard:
    """What a test label showed. `wrong` says what to change on the scanner, empty where nothing need be."""

    scanner: Scanner
    said: tuple[str, ...]
    wrong: str = ""


def heard(printed: str, sent: str, ending: Ending) -> Heard:
    """Compare what a scanner sent with what is printed on the label."""
    printed, plain = printed.strip(), sent.strip()
    at = plain.casefold().rfind(printed.casefold())
    if printed and at >= 0 and at + len(printed) == len(plain):
        prefix = plain[:at]
        whole = (
            f"After a code it sends {ENDING_WORDS[ending]}.",
            f"Before a code it sends “{prefix}”, which is left out from now on." if prefix else "It sends no prefix.",
            _case(printed, plain[at:]),
            "The keyboard layout fits: every character arrived as printed.",
        )
        return Heard(Scanner(ending, prefix), whole)
    changed = _layout(printed, plain)
    if changed:
        said = (f"After a code it sends {ENDING_WORDS[ending]}.", f"“{printed}” arrived as “{plain}”.")
        return Heard(Scanner(ending), said, f"{changed} Set the scanner to this computer's keyboard and read it again.")
    wrong = f"That is not “{printed}”. Write what is printed on the label, and read it again."
    return Heard(Scanner(ending), (f"“{plain}” arrived.",), wrong)


def _case(printed: str, came: str) -> str:
    if came == printed:
        return "Capitals arrive as printed."
    if came == printed.swapcase():
        return "Capitals and small letters arrive exchanged (caps lock?); tags are read in capitals either way."
    small = "small letters" if came == printed.lower() else "capitals" if came == printed.upper() else "mixed letters"
    return f"It sends {small}; tags are read in capitals either way."


_LAYOUTS: Final = (
    ("a German keyboard", str.maketrans("yzYZ-/_", "zyZYß-?")),
    ("a French keyboard", str.maketrans("aqzwAQZWm-", "qawzQAWZ,)")),
    ("a French keyboard", str.maketrans("aqzwAQZW1234567890-", "qawzQAWZ&é\"'(-è_çà)")),
    ("a Nordic keyboard", str.maketrans("-/_", "+-?")),
)


def _layout(printed: str, came: str) -> str:
    """Say by which keyboard's layout the one could have become the other; empty where by none that is known."""
    for name, table in _LAYOUTS:
        if printed.translate(table).casefold() == came.casefold():
            return f"The characters arrive as on {name}."
    if len(printed) == len(came) and sorted(map(str.isalnum, printed)) != sorted(map(str.isalnum, came)):
        return "Some characters arrive as others: the scanner and this computer have different keyboard layouts."
    if (
        len(printed) == len(came)
        and sum(a.casefold() != b.casefold() for a, b in zip(printed, came, strict=True)) <= len(came) // 2
    ):
        return "Some characters arrive as others: the scanner and this computer have different keyboard layouts."
    return ""

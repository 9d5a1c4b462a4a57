"""Words as they stand alone on the screen."""

from enum import StrEnum

from register.domain.words import spoken


def headed(word: StrEnum) -> str:
    """Return a word of the trade as it begins a line: "Cord set", "Class I appliance"."""
    said = spoken(word)
    return f"{said[:1].upper()}{said[1:]}"

"""Text made fit to keep: what people type, scan and paste, without what can't be seen."""

import unicodedata
from typing import Final

from register.errors import Refused

LONGEST_TAG: Final = 64


def clean_text(text: str) -> str:
    """Return the text in Unicode's compatible form (NFKC), on one line, without control characters, trimmed.

    Line breaks and tabs become a blank; marks that can't be seen (control, direction, zero width) are dropped.
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    seen = _without_unseen(" ".join(text.split()))
    return " ".join(_without_unseen(unicodedata.normalize("NFKC", seen)).split())


def clean_tag(text: str) -> str:
    """Return a tag's number as it is kept: cleaned and in upper case.

    Refused when nothing is left of it, or more than 64 characters.
    """
    plain = text.isascii() and text.isprintable()
    tag = " ".join(text.upper().split()) if plain else clean_text(clean_text(text).upper())
    if not tag:
        raise Refused("The tag is empty. Scan or type the number on the tag.")
    if len(tag) > LONGEST_TAG:
        raise Refused(
            f"“{tag[:24]}…” has {len(tag)} characters; a tag's number has at most {LONGEST_TAG}. "
            "Check that only the tag was scanned."
        )
    return tag


def _without_unseen(text: str) -> str:
    if text.isprintable():
        return text
    return "".join(letter for letter in text if not unicodedata.category(letter).startswith("C"))

"""How tags are spoken of in the window: sorts, counts, and which items get none."""

import math
from collections.abc import Sequence
from typing import Final

from register.domain.tag_face import Face
from register.domain.tag_words import TagKind
from register.domain.words import counted
from ui.tags.sheet import Sheets

KINDS: Final = (
    (None, "What each item needs"),
    (TagKind.PASS, "Pass tag"),
    (TagKind.OUT_OF_SERVICE, "Out-of-service tag"),
    (TagKind.NEW_TO_SERVICE, "New-to-service tag"),
)
FEW: Final = 3
"""So many refusals are said in full; the others are counted."""


def tags_on_pages(sheets: Sheets) -> str:
    """Return how many tags there are, and on how many pages: "24 tags on 2 pages"."""
    said = counted(sheets.count, "tag")
    if sheets.stock.a_roll or not sheets.count:
        return said
    return f"{said} on {counted(len(sheets.pages), 'page')}"


def refusals(refused: Sequence[str]) -> str:
    """Return which items get no tag, and why."""
    if not refused:
        return ""
    rest = len(refused) - FEW
    more = f" And {rest:,} more." if rest > 0 else ""
    return " ".join(refused[:FEW]) + more


def reasons(face: Face) -> str:
    """Return what stands on a tag, each with what asks for it, one a line."""
    lines = [f"{line.label}: {'; '.join(line.sources)}." for line in face.lines]
    if face.colour is not None:
        lines.append(f"Colour {face.colour.colour}, of the quarter of the test: {face.colour.source}.")
    return "\n".join(lines)


def millimetres(said: str) -> float | None:
    """Return a number of mm as it was typed; None where it is none."""
    try:
        found = float(said.replace(",", "."))
    except ValueError:
        return None
    return found if math.isfinite(found) else None

"""Tags by themselves: a van's stock for a day drawn on sheets, each with a code that was never drawn before."""

import os
from collections.abc import Iterator
from datetime import timedelta
from itertools import count
from typing import Final

from register.domain.tag_face import Face, TagFacts, face_of
from register.domain.tag_words import TagField, TagKind
from register.services.rulebooks import rulebook
from register.services.tag_stock import stocks_known
from tests.bench.made_up import TODAY
from tests.bench.timing import Effort, Line, medians

MANY: Final = 240
GOAL: Final = 1.0


def lines(effort: Effort) -> Iterator[Line]:
    """Measure tags drawn at 203 dots to the inch."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from ui.tags.sheet import laid_out, picture
    from ui.window import application

    application()
    stock, numbers = stocks_known()[0], count()

    def draw() -> None:
        sheets = laid_out([_face(f"RR-{next(numbers):06d}") for _ in range(MANY)], stock)
        for page in range(len(sheets.pages)):
            picture(sheets, page)

    (seconds,) = medians(draw, effort=effort)
    yield Line(f"{MANY} tags drawn", seconds, "s", goal=GOAL)


def _face(number: str) -> Face:
    values = {
        TagField.TESTED: TODAY, TagField.RETEST: TODAY + timedelta(days=90), TagField.TESTER: "Asha Pell",
        TagField.LICENCE: "L 1", TagField.FIRM: "Bay firm",
    }  # fmt: skip
    return face_of(TagFacts(TagKind.PASS, number, "construction", values), rulebook("au-in-service"))

"""Formats of labels: those that come with the program, and the firm's own by its measures."""

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any, Final

from register.domain.tag_stock import Stock, checked, read_stocks, stock_of
from register.errors import Refused
from resources import RESOURCES

OWN: Final = "own"
MEASURES: Final = (
    ("width", "Label width"), ("height", "Label height"), ("page_width", "Page width"),
    ("page_height", "Page height"), ("across", "Labels in a row"), ("down", "Rows on a page"),
    ("left", "Left margin"), ("top", "Top margin"), ("gap_x", "Gap between columns"), ("gap_y", "Gap between rows"),
)  # fmt: skip
"""The measures of a format in mm, and two numbers, each with its label. The first two are needed."""


@lru_cache(maxsize=1)
def stocks_known() -> tuple[Stock, ...]:
    """Return the formats that come with the program."""
    file = RESOURCES / "tag_stock.toml"
    found, problems = read_stocks(file.read_text(encoding="utf-8"), file.name)
    assert not problems, problems
    return found


def own_stock(given: Mapping[str, Any]) -> Stock:
    """Return the firm's own format; refused where its measures can't be."""
    known = {name for name, _label in MEASURES}
    if not {"width", "height"} <= set(given) <= known:
        raise Refused("An own format of labels needs the width and the height of a label in mm.")
    if not all(isinstance(each, int | float) and math.isfinite(each) for each in given.values()):
        raise Refused("The measures of a format of labels are numbers of mm.")
    made = checked(stock_of(OWN, "Our own labels", given))
    return replace(made, title=f"Our own, {made.words}")


def stocks(own: Mapping[str, Any] | None) -> tuple[Stock, ...]:
    """Return all formats, the firm's own last."""
    return (*stocks_known(), *([own_stock(own)] if own else []))


def stock(name: str, own: Mapping[str, Any] | None = None) -> Stock:
    """Return a format by its name; refused for one that does not exist."""
    found = next((each for each in stocks(own) if each.id == name), None)
    if found is None:
        names = ", ".join(each.id for each in stocks(own))
        raise Refused(f"There is no format of labels “{name}”. There are: {names}.")
    return found

"""The columns of the list of items, and the layout in which a user keeps them."""

from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import Final

from register.domain.words import CONTRACTORS_DUTIES, Duty, Standing, first_word
from register.services.item_list import ListedItem
from register.store.lists import Sort
from ui.dates import away, shown
from ui.look.widgets import standing_word
from ui.table.model import Column

GROWING: Final = {"item": 5, "site": 4, "duty": 1}
"""The columns that share what a wide window has left, in these parts."""

GIVING_WAY: Final = {"site": 150, "item": 120}
"""The columns that a narrow window may make narrower, and how narrow."""

HIDDEN: Final = frozenset({"kind", "environment", "serial", "tested"})
"""The columns that are shown only when somebody asks for them."""


DUTIES: Final = tuple(first_word(duty) for duty in Duty if duty in CONTRACTORS_DUTIES)
WITHDRAWN, UNDONE = "until a pass", "never done"
"""What stands beside the date where it is no number of days."""


@dataclass(frozen=True, slots=True)
class Layout:
    """How a user keeps the list: columns by key, widths in pixels where he changed them, and the order of rows."""

    order: tuple[str, ...] = ()
    hidden: frozenset[str] = HIDDEN
    widths: dict[str, int] = field(default_factory=dict)
    sort: str = Sort.DUE.value
    descending: bool = False


def columns(today: date) -> tuple[Column, ...]:
    """Return every column, those shown at first and the others, in their usual order."""
    return (
        Column("standing", "Standing", lambda row: standing_word(row.standing), 118, "standing"),
        Column("tag", "Tag", lambda row: row.tag, 106, "tag", Sort.TAG),
        Column("item", "Item", lambda row: row.description, 178, "name", Sort.DESCRIPTION),
        Column("kind", "Kind", lambda row: first_word(row.kind), 168, "text", Sort.KIND),
        Column("serial", "Serial", lambda row: row.serial, 110, "code"),
        Column("site", "Site and area", lambda row: f"{row.site}\t{row.area}", 224, "two", Sort.SITE),
        Column("environment", "Environment", lambda row: row.environment, 150),
        Column("duty", "Duty", _duty, 138, words=DUTIES),
        Column("tested", "Last test", lambda row: shown(row.last_tested) or "never", 96, "number"),
        Column("due", "Next due", partial(_due, today), 192, "date", Sort.DUE, (WITHDRAWN, UNDONE)),
    )


def _duty(row: ListedItem) -> str:
    return "" if row.duty is None or row.standing is Standing.REMOVED else first_word(row.duty)


def _due(today: date, row: ListedItem) -> str:
    """Return the date that an item must not be used beyond, and how far it is; words where there is none."""
    if row.standing is Standing.REMOVED:
        return f"{shown(row.removed_on)}\tremoved"
    if row.standing is Standing.WITHDRAWN:
        return f"no date\t{WITHDRAWN}"
    if row.next_due is None:
        return f"before use\t{UNDONE}" if row.untested else "no date\t"
    return f"{shown(row.next_due)}\t{away(row.next_due, today)}"

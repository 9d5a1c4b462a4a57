"""What falls due by the end of a week, overdue included: the list that a week is worked by."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy.engine import Connection

from register.services.questions import DueDuty, due_duties
from register.services.settings import setting


@dataclass(frozen=True, slots=True)
class DueList:
    """The contractor's duties that are due by a day, by site and area, the longest due first.

    `place` names the site, or says that it is all of them. Duties never done come first in their area.
    """

    firm: str
    place: str
    as_at: date
    by: date
    rows: tuple[DueDuty, ...]

    @property
    def items(self) -> int:
        """On how many items the duties are."""
        return len({row.item_id for row in self.rows})


def due_list(
    connection: Connection, today: date, by: date, *, site: str | None = None, place: str = "All sites"
) -> DueList:
    """Return what is due by a day at one site, named by its id, or at all; `place` is how it is headed."""
    rows = due_duties(connection, today, within_days=(by - today).days, site=site, contractors=True)
    rows.sort(key=_order)
    return DueList(setting(connection, "firm", ""), place, today, by, tuple(rows))


def _order(row: DueDuty) -> tuple[str, str, str, date, str, str]:
    return row.site_name, row.site, row.area, row.due or date.min, row.tag, row.duty

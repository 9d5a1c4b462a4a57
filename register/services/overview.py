"""What the register holds, in a few numbers."""

from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Standing
from register.services.packs.identity import field_pack
from register.services.questions import soon_days
from register.services.settings import setting
from register.store.lists import ItemFilter, count_by_standing
from register.store.tables import Site


@dataclass(frozen=True, slots=True)
class Overview:
    """Whose register it is, whether its data are samples, and how much there is. `items` leaves removed ones out.

    `field_pack` says whose field pack it is, empty for an office's own register.
    """

    firm: str
    sample: bool
    sites: int
    items: int
    overdue: int
    untested: int
    withdrawn: int
    field_pack: str = ""


def overview(connection: Connection, today: date) -> Overview:
    """Return the register in a few numbers, as on a day."""
    counts = count_by_standing(connection, ItemFilter(today, soon_days=soon_days(connection)))
    return Overview(
        firm=setting(connection, "firm", ""),
        sample=bool(setting(connection, "sample", default=False)),
        sites=int(connection.execute(sa.select(sa.func.count()).select_from(Site)).scalar_one()),
        items=sum(count for standing, count in counts.items() if standing is not Standing.REMOVED),
        overdue=counts.get(Standing.OVERDUE, 0),
        untested=counts.get(Standing.UNTESTED, 0),
        withdrawn=counts.get(Standing.WITHDRAWN, 0),
        field_pack=_field_pack(connection, today),
    )


def _field_pack(connection: Connection, today: date) -> str:
    pack = field_pack(connection)
    if pack is None:
        return ""
    return pack.words if today <= pack.expires_on else f"{pack.words}, expired"

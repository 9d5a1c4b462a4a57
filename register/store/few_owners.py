"""For somebody who sees few items of a register on a server: his own are found by indexes, through his sites.

The server holds him to his owners' rows by rules that an index can't answer, so that a statement which goes by an index
of all rows, such as that of the latest records, looks at everybody's until it has found enough of his.
"""

from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.tables import Item, Record, Site
from register.store.types import SQLITE

FEW: Final = 5_000
"""Of more items than these, all their records take longer to read than the latest of everybody's."""

_OF_HIS_ITEMS: Final = Item.site_id == sa.any_(sa.func.array(sa.select(Site.id).scalar_subquery()))
OF_HIS_RECORDS: Final = Record.item_id == sa.any_(
    sa.func.array(sa.select(Item.id).where(_OF_HIS_ITEMS).scalar_subquery())
)
"""Records of items that he sees, found one item after the other. Only a server understands it."""

_SOME: Final = sa.select(sa.func.count()).select_from(sa.select(Item.id).where(_OF_HIS_ITEMS).limit(FEW + 1).subquery())


def sees_few(connection: Connection) -> bool:
    """Whether the register is on a server, and the login sees few items of it."""
    return connection.dialect.name != SQLITE and int(connection.execute(_SOME).scalar_one()) <= FEW

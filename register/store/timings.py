"""When the latest records were made: what minutes of work are learnt from."""

from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.store.few_owners import OF_HIS_RECORDS, sees_few
from register.store.tables import Item, Record, RecordDuty

LATEST: Final = 3_000
"""So many of the latest records are looked at: enough to learn from, and soon read in a register of any size."""


def latest_timings(connection: Connection) -> list[Row[Any]]:
    """Return the latest records of which the time of day is known, each duty of theirs as a row.

    All of the oldest day are left out where there are more, so that what is read doesn't hang on the order of rows.
    """
    his = (OF_HIS_RECORDS,) if sees_few(connection) else ()
    since = connection.execute(_SINCE.where(*his)).scalar()
    after = () if since is None else (Record.tested_on > since,)
    return list(connection.execute(_TIMED.where(*his, *after)))


_SINCE: Final = sa.select(Record.tested_on).order_by(Record.tested_on.desc()).offset(LATEST).limit(1)
_TIMED: Final = (
    sa.select(
        Record.id, Record.tested_on, Record.tested_at, Record.tester, Item.site_id, Item.kind, RecordDuty.duty,
    )
    .join(Item, Item.id == Record.item_id)
    .join(RecordDuty, RecordDuty.record_id == Record.id)
    .where(Record.tested_at.is_not(None), Record.as_found == sa.false(), Record.tester != "")
)  # fmt: skip

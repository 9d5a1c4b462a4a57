"""The table of seals: after each change, what the rows that it wrote hold, as a link in the chain of the history."""

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from register.store.tables import Table


class Seal(Table):
    """What one change left of the rows that it touched, in digests. Only ever added to.

    It follows in the chain on event `seq`, and on the seal of the `part` before where there is one of the same event.
    """

    __tablename__ = "seal"
    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    part: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    rows: Mapped[bytes] = mapped_column(sa.LargeBinary)
    hash: Mapped[str]

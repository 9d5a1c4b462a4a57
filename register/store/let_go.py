"""What was kept for as long as it had to be, and then removed because the contractor said so."""

from datetime import date, datetime

from sqlalchemy.orm import Mapped, mapped_column

from register.store.tables import Table
from register.store.types import Key


class LetGo(Table):
    """A record or a picture that is no longer kept: which it was, of which item and day. Only ever added to.

    The tables of records and of photos let go of no row that is neither named here nor kept among those taken back.
    """

    __tablename__ = "let_go"
    id: Mapped[str] = mapped_column(Key, primary_key=True)
    kind: Mapped[str]
    item_id: Mapped[str] = mapped_column(Key, index=True)
    day: Mapped[date]
    let_go_by: Mapped[str]
    let_go_at: Mapped[datetime]

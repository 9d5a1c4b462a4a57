"""What owners ask about their items, until somebody has answered it."""

from datetime import date

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from register.store.tables import Keyed, Table
from register.store.types import Key


class OwnerQuery(Keyed, Table):
    """One question or wish of an owner, as it came back in a workbook. `workbook` is the chain's head in that one.

    `asks` is his answer in the workbook's words; `settled_on` is empty while it is open.
    """

    __tablename__ = "owner_query"
    __table_args__ = (UniqueConstraint("item_id", "workbook", "asks", "text"), {"sqlite_strict": True})
    item_id: Mapped[str] = mapped_column(Key, ForeignKey("item.id"))
    workbook: Mapped[str]
    asks: Mapped[str]
    text: Mapped[str]
    asked_by: Mapped[str]
    asked_on: Mapped[date]
    settled_on: Mapped[date | None]
    settled_by: Mapped[str] = mapped_column(default="")
    settlement: Mapped[str] = mapped_column(default="")

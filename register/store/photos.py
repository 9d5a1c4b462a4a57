"""Photos of what was taken out of service. A picture is kept once, under an id made from its content."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from register.store.tables import Keyed, Table
from register.store.types import Key


class Photo(Table):
    """One picture, as it is shown: `form` is "jpeg" or "png". Only ever added to; an undo takes none away."""

    __tablename__ = "photo"
    id: Mapped[str] = mapped_column(Key, primary_key=True)
    sha256: Mapped[str]
    form: Mapped[str]
    width: Mapped[int]
    height: Mapped[int]
    picture: Mapped[bytes] = mapped_column(sa.LargeBinary)


class WithdrawalPhoto(Keyed, Table):
    """What a picture shows: an item as it was when it was taken out of service."""

    __tablename__ = "withdrawal_photo"
    __table_args__ = (sa.UniqueConstraint("withdrawal_id", "photo_id"), {"sqlite_strict": True})
    withdrawal_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("withdrawal.id"))
    item_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("item.id"), index=True)
    photo_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("photo.id"), index=True)
    added_by: Mapped[str]
    added_at: Mapped[datetime]

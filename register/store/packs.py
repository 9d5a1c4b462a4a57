"""Field packs: what the office remembers of each, and how a field register was when it was packed."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from register.store.tables import Keyed, Table
from register.store.types import Structure


class Pack(Keyed, Table):
    """A field pack that the office made: of which sites (codes), for whom, until when, and what came back."""

    __tablename__ = "pack"
    sites: Mapped[Any] = mapped_column(Structure)
    holder: Mapped[str]
    made_at: Mapped[datetime]
    made_on: Mapped[date]
    expires_on: Mapped[date]
    items: Mapped[int]
    merged_at: Mapped[datetime | None]
    counts: Mapped[Any] = mapped_column(Structure, default=dict)


class PackBase(Table):
    """A row of a field register as it was packed; `kept` is empty for rows that never change."""

    __tablename__ = "pack_base"
    __table_args__ = ({"sqlite_strict": True, "sqlite_with_rowid": False},)
    kind: Mapped[str] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(primary_key=True)
    kept: Mapped[Any] = mapped_column(Structure, nullable=True)

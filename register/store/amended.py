"""Records that count no more: those that were corrected, and those that an undo took back. None is ever lost."""

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from register.store.tables import Keyed, Table
from register.store.types import Key, Structure


class Correction(Keyed, Table):
    """Why a record counts no more, and which record stands in its place, if any. The record itself stays as it was."""

    __tablename__ = "correction"
    record_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("record.id"), unique=True)
    new_record_id: Mapped[str | None] = mapped_column(Key, sa.ForeignKey("record.id"))
    reason: Mapped[str]
    made_by: Mapped[str]
    made_at: Mapped[datetime]


class TakenBack(Keyed, Table):
    """A record that was entered and then undone, word for word, with its duties and readings. Only ever added to.

    The tables of records let go of no row that is not kept here.
    """

    __tablename__ = "taken_back"
    record_id: Mapped[str] = mapped_column(Key, index=True)
    item_id: Mapped[str] = mapped_column(Key, index=True)
    kept: Mapped[Any] = mapped_column(Structure)
    made_by: Mapped[str]
    made_at: Mapped[datetime]


def stands(record_id: Any) -> sa.ColumnElement[bool]:  # noqa: ANN401 - a column
    """Return the condition that a record, by its id, was not corrected."""
    return record_id.not_in(sa.select(Correction.record_id))  # type: ignore[no-any-return]

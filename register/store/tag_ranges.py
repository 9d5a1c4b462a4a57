"""Ranges of tag numbers. None is ever deleted, so that no number is given out twice."""

from datetime import date

from sqlalchemy.orm import Mapped, mapped_column

from register.store.tables import Table, Versioned


class TagRange(Versioned, Table):
    """Tag numbers that one holder, such as a van, may give out. `following` is the next one to be given."""

    __tablename__ = "tag_range"
    holder: Mapped[str]
    prefix: Mapped[str]
    digits: Mapped[int]
    first: Mapped[int]
    last: Mapped[int]
    following: Mapped[int]
    ended_on: Mapped[date | None] = mapped_column(default=None)

"""The tables of visits: how each site is entered, the vans, and the weeks that were planned."""

from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from register.store.tables import Keyed, Table, Versioned
from register.store.types import Key, Structure


class SiteVisiting(Table):
    """How a site is visited: where it is, when it can be entered, by how many, whom to ask, what to mind.

    `place` is typed as `lat, lon`; `hours` holds from and until in minutes of the day, by the day of the week.
    """

    __tablename__ = "site_visiting"
    site_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("site.id"), primary_key=True)
    place: Mapped[str]
    hours: Mapped[Any] = mapped_column(Structure)
    ready_minutes: Mapped[int]
    crew: Mapped[int]
    contact: Mapped[str]
    hazards: Mapped[str]


class Van(Versioned, Table):
    """A van with its crew. `position` orders them; places are typed as `lat, lon`, the base where empty."""

    __tablename__ = "van"
    name: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    start: Mapped[int]
    until: Mapped[int]
    crew: Mapped[int]
    days: Mapped[Any] = mapped_column(Structure)
    start_place: Mapped[str]
    end_place: Mapped[str]
    ended_on: Mapped[date | None]


class Visit(Keyed, Table):
    """A site on a day of a planned week. One that was dropped stays, cancelled, so that calendars can be told.

    `sequence` counts how often it was changed. Times are minutes of the day; `part` numbers the visits of a site whose
    work is split; `doing` is the planner's word for what is done there. Tag numbers from `tags_first` to `tags_last`
    are set aside for it, both empty where there are none.
    """

    __tablename__ = "visit"
    __table_args__ = (
        sa.UniqueConstraint("week", "site_id", "part"),
        sa.Index("ix_visit_day", "day"),
        {"sqlite_strict": True},
    )
    week: Mapped[date]
    site_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("site.id"))
    part: Mapped[int]
    day: Mapped[date]
    van_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("van.id"))
    position: Mapped[int]
    arrive: Mapped[int]
    leave: Mapped[int]
    minutes: Mapped[int]
    doing: Mapped[str]
    pinned: Mapped[bool]
    locked: Mapped[bool]
    cancelled: Mapped[bool]
    sequence: Mapped[int]
    tags_first: Mapped[str] = mapped_column(default="")
    tags_last: Mapped[str] = mapped_column(default="")


class VisitDuty(Table):
    """A duty that a visit is to do; `early` and why where it is not due yet."""

    __tablename__ = "visit_duty"
    __table_args__ = ({"sqlite_strict": True, "sqlite_with_rowid": False},)
    visit_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("visit.id"), primary_key=True)
    item_id: Mapped[str] = mapped_column(Key, sa.ForeignKey("item.id"), primary_key=True)
    duty: Mapped[str] = mapped_column(primary_key=True)
    early: Mapped[bool]
    why: Mapped[str]

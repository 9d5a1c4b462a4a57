"""Records that count no more, in words: corrected, or taken back by an undo; by whom, when and why."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.words import Result
from register.store.amended import Correction, TakenBack
from register.store.tables import Record

CORRECTION_COLUMNS: Final = (
    Correction.reason.label("corrected_why"), Correction.made_by.label("corrected_by"),
    Correction.made_at.label("corrected_at"), Correction.new_record_id.label("corrected_to"),
)  # fmt: skip
"""What is read of a record's correction, beside the record; all None where it has none."""


@dataclass(frozen=True, slots=True)
class Undone:
    """A record that an undo took back: what it said, who took it back, and when."""

    id: str
    tested_on: date
    verdict: Result
    tester: str
    by: str
    at: datetime


def corrected_words(row: Any) -> str:  # noqa: ANN401 - a row of any question
    """Return that a record was corrected, by whom, when and why; empty where it wasn't."""
    if row.corrected_by is None:
        return ""
    how = "Corrected by a new record" if row.corrected_to else "Corrected, with nothing in its place,"
    return f"{how} on {day_words(row.corrected_at.date())} by {row.corrected_by}: {row.corrected_why.rstrip('.')}."


def undone_records(connection: Connection, item_id: str) -> tuple[Undone, ...]:
    """Return the records of an item that were undone and not done again, the one undone last first."""
    statement = (
        sa.select(TakenBack)
        .where(TakenBack.item_id == item_id, TakenBack.record_id.not_in(sa.select(Record.id)))
        .order_by(TakenBack.id.desc())
    )
    found: dict[str, Undone] = {}
    for row in connection.execute(statement.with_only_columns(*TakenBack.__table__.columns)):
        said = row.kept["record"]
        found.setdefault(
            row.record_id,
            Undone(
                row.record_id, date.fromisoformat(said["tested_on"]), Result(said["verdict"]), said["tester"],
                row.made_by, row.made_at,
            ),
        )  # fmt: skip
    return tuple(found.values())

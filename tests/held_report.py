"""An owner's report with all its rows in memory, to be looked at when the register is closed again."""

from dataclasses import dataclass, fields

from register.services.owners.rows import (
    DueRow,
    OwnDutyRow,
    OwnerReport,
    RecordRow,
    RegisterRow,
    WithdrawnRow,
)


@dataclass(frozen=True, slots=True)
class HeldReport(OwnerReport):
    """A report whose rows are tuples."""

    items: tuple[RegisterRow, ...] = ()
    due: tuple[DueRow, ...] = ()
    withdrawn: tuple[WithdrawnRow, ...] = ()
    own_duties: tuple[OwnDutyRow, ...] = ()
    records: tuple[RecordRow, ...] = ()
    measured: tuple[RecordRow, ...] = ()
    failed: tuple[RecordRow, ...] = ()


ROWS = ("items", "due", "withdrawn", "own_duties", "records", "measured", "failed")


def held(report: OwnerReport) -> HeldReport:
    """Return a report with its rows read."""
    known = {each.name: getattr(report, each.name) for each in fields(report)}
    return HeldReport(**known | {name: tuple(known[name]) for name in ROWS})

"""What a spreadsheet says, row by row, in the register's words: the hand-over from reading a sheet to taking it in."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from register.domain.items import SafetySwitch
from register.domain.records import TestRecord
from register.domain.words import Condition, Kind, Result


class RowPlace(NamedTuple):
    """Where a row stands in the file: its sheet and its number there, counted from 1 as a spreadsheet does."""

    sheet: str
    row: int


@dataclass(frozen=True, slots=True)
class RowProblem:
    """One thing wrong in one row: the column's heading, the value as written, and why it can't be taken."""

    place: RowPlace
    column: str
    value: str
    reason: str
    refused: bool = True
    """False where the row is taken all the same and this is only to be known."""
    same_as: str = ""
    """The tag of the known item that the row's new one may be."""
    in_mapping: str = ""
    """What a mapping says to put it right, for whoever writes one."""


class Became(StrEnum):
    """What taking a row in did to its item or its test."""

    NEW = "new"
    CHANGED = "changed"
    SAME = "as it was"


@dataclass(frozen=True, slots=True)
class IntakeItem:
    """One item as a row states it. None and empty mean that the row says nothing of it.

    `mark` is the item's key in the register that wrote the file, where one did.
    """

    place: RowPlace
    tag: str
    site: str
    site_name: str = ""
    owner: str = ""
    area: str = ""
    kind: Kind | None = None
    description: str = ""
    serial: str = ""
    environment: str | None = None
    area_environment: str | None = None
    outlets: int | None = None
    safety_switch: SafetySwitch | None = None
    rated_current_a: Decimal | None = None
    earlier_tags: tuple[str, ...] = ()
    condition: Condition = Condition.IN_USE
    since: date | None = None
    moved_in_use: bool | None = None
    protected_by_switch: bool | None = None
    risk_factor: bool | None = None
    removed_on: date | None = None
    not_found: bool = False
    out_of_service: bool = False
    """The row says that the item must not be used. A failed test, where there is one, says so by itself."""
    remarks: str = ""
    mark: str = ""


@dataclass(frozen=True, slots=True)
class IntakeRecord:
    """One test as a row states it.

    `as_found` is the result written in the sheet; it stands as *verdict as found* where readings are missing.
    `mark` is the record's key in the register that wrote the file, where one did.
    """

    place: RowPlace
    tag: str
    site: str
    record: TestRecord
    as_found: Result | None = None
    tester: str = ""
    instrument: str = ""
    remarks: str = ""
    mark: str = ""


@dataclass(frozen=True, slots=True)
class SheetRows:
    """Everything that one file says: its items, its tests, and what could not be read."""

    items: tuple[IntakeItem, ...] = ()
    records: tuple[IntakeRecord, ...] = ()
    problems: tuple[RowProblem, ...] = field(default=())
    rows_read: int = 0

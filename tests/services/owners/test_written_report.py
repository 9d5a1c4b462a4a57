"""A report's end of the history, held against the register: what was cut off or changed since is said."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from register.errors import Refused
from register.services.owners.written_report import told_by_report
from register.store import chain
from tests.desk import Desk


@pytest.fixture
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """The file as somebody who has it can write to it, without the guards of its history."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        yield connection


@pytest.fixture
def report(desk: Desk) -> tuple[str, str]:
    """What the cover of a report says, after which work went on."""
    desk.site()
    for number in range(10):
        desk.item(f"S-{number}")
    with desk.read() as connection:
        end = chain.head(connection)
    desk.item("S-LATER")
    return f"{end.count:,}", end.hash[:8]


def said(desk: Desk, report: tuple[str, str]) -> str:
    with desk.read() as connection:
        return told_by_report(connection, *report)


def test_what_goes_on_from_a_report_is_its_register(desk: Desk, report: tuple[str, str]) -> None:
    assert said(desk, report) == ""
    assert said(desk, (report[0], f" {report[1].upper()} ")) == ""


def test_an_end_that_was_cut_off_is_said(desk: Desk, report: tuple[str, str], raw: sqlite3.Connection) -> None:
    for lost, missing in ((1, "the last of them is missing."), (10, "the last 10 of them are missing.")):
        last = int(report[0]) - lost
        raw.execute("DELETE FROM event WHERE seq > ?", (last,))
        raw.execute("DELETE FROM seal WHERE seq > ?", (last,))
        before = f"The report was written when {report[0]} events were recorded, and now there are {last}: "
        assert said(desk, report) == before + missing


def test_another_end_in_its_place_is_said(desk: Desk, report: tuple[str, str], raw: sqlite3.Connection) -> None:
    raw.execute("DELETE FROM event WHERE seq > ?", (int(report[0]) - 10,))
    raw.execute("DELETE FROM seal WHERE seq > ?", (int(report[0]) - 10,))
    for number in range(10):
        desk.item(f"X-{number}")
    assert said(desk, report).startswith(
        f"The history does not go through the report's check mark {report[1]} at event"
    )


@pytest.mark.parametrize("deed", ["UPDATE event SET actor = 'nobody' WHERE seq = 3", "reordered"])
def test_what_was_changed_before_the_end_is_said_with_its_place(
    desk: Desk, report: tuple[str, str], raw: sqlite3.Connection, deed: str
) -> None:
    if deed == "reordered":
        for one, other in ((3, -1), (4, 3), (-1, 4)):
            raw.execute("UPDATE event SET seq = ? WHERE seq = ?", (other, one))
    else:
        raw.execute(deed)
    assert said(desk, report) == "The history was changed from outside at event 3, which the report covers."
    assert any("The history was changed from outside at event 3" in fault for fault in desk.faults())


@pytest.mark.parametrize(
    ("events", "mark", "sentence"),
    [
        ("many", "e8ec6af3", "“many” is no number of events. Copy it from the report, such as 4,377."),
        ("0", "e8ec6af3", "“0” is no number of events. Copy it from the report, such as 4,377."),
        ("12", "e8ec", "“e8ec” is no check mark. Copy the letters and digits from the report, 8 of them."),
        ("12", "e8ec6afx", "“e8ec6afx” is no check mark. Copy the letters and digits from the report, 8 of them."),
    ],
)
def test_what_stands_on_no_report_is_refused(desk: Desk, events: str, mark: str, sentence: str) -> None:
    with pytest.raises(Refused) as refused:
        said(desk, (events, mark))
    assert str(refused.value) == sentence

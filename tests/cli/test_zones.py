"""The computer's zone changes, or its clocks do in the night: what is due stays, and so do the times of visits."""

import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from register.services.week.visiting import VanFacts, keep_van
from register.store.engine import open_register
from tests.cli.conftest import Shell
from tests.registers import changing

ZONES = ("Australia/Sydney", "UTC", "America/New_York", "Pacific/Kiritimati", "Australia/Lord_Howe")
SPRING, AUTUMN = ("2026-10-03", "2026-W41"), ("2027-04-03", "2027-W14")
"""The days before clocks are changed in New South Wales (first Sundays of October and April), and the weeks after."""


@pytest.fixture
def move_to(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Let the computer be in another zone."""

    def move(zone: str) -> None:
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield move
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize(("today", "week"), [SPRING, AUTUMN])
def test_what_is_due_and_when_each_site_is_visited_is_the_same_in_every_zone(
    yard: Shell, tmp_path: Path, move_to: Callable[[str], None], today: str, week: str
) -> None:
    calendar = tmp_path / "week.ics"
    with closing(open_register(yard.db)) as register, changing(register) as change:
        keep_van(change, VanFacts("Van 1"))
    said = set()
    for zone in ZONES:
        move_to(zone)
        due = yard.run("--today", today, "due", "--within", "60", "--json")
        yard.run("--today", today, "plan", "--week", week, "--effort", "0", "--ics", str(calendar))
        lines = calendar.read_text(encoding="utf-8").splitlines()
        times = [line for line in lines if line.startswith(("DTSTART", "DTEND"))]
        said.add((due, *times))
    (alike,) = said
    assert "YD-000" in alike[0]
    assert [line for line in alike if line.startswith("DTSTART")] != []

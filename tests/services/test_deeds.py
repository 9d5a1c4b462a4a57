"""Whatever is done leaves at least one event, and a deed that fails half-way leaves nothing at all."""

from collections.abc import Callable
from datetime import date

import pytest
import sqlalchemy as sa

from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.words import Condition, Duty, Kind, WithdrawalReason
from register.services.conditions import change_condition
from register.services.intake.rows import SheetRows
from register.services.intake.taking_in import take_in
from register.services.items import NewItem, add_item, find_item
from register.services.marks import mark_done
from register.services.moves import change_area_class, move_item
from register.services.overrides import NewOverride, add_override, end_override
from register.services.people import add_instrument, add_tester
from register.services.places import NewSite, add_site, area_named, known_site, owner_named
from register.services.recording import record_tests
from register.services.settings import begin, set_setting
from register.services.withdrawals.deeds import remove, withdraw
from register.store.engine import Change
from register.store.tables import Override, Table
from tests.desk import INSPECTION, SLOW, SOUND, Desk, entry, give_class
from tests.registers import TODAY
from tests.services.sheet import YARD, item, sheet_test

LEAD = Kind.EXTENSION_LEAD
FILE = SheetRows((item("N1", outlets=1),), (sheet_test("N1", readings=SOUND),))


def the(change: Change, tag: str) -> str:
    return find_item(change.session.connection(), tag)


def yard(change: Change) -> str:
    return known_site(change.session.connection(), "YARD")


def shed(change: Change) -> str:
    return area_named(change, yard(change), "Shed")


def decision(change: Change) -> NewOverride:
    months = Interval.parse("P1M")
    return NewOverride(Scope.ITEM, the(change, "L1"), INSPECTION, months, "wet", "Ona Petrie", TODAY, date(2027, 1, 1))


DEEDS: list[tuple[str, Callable[[Change], object], list[str]]] = [
    ("begin", lambda c: begin(c, firm="Ridge", contact="4 Slip Lane"), ["register:create"] + ["setting:change"] * 3),
    ("set a setting", lambda c: set_setting(c, "soon_days", 7), ["setting:change"]),
    ("enter an owner", lambda c: owner_named(c, "Sable"), ["owner:add"]),
    (
        "enter a site",
        lambda c: add_site(c, NewSite("MILL", "Mill", "Sable", "au-in-service", "hire")),
        ["owner:add", "site:add"],
    ),
    ("enter an area", lambda c: area_named(c, yard(c), "Loft", "benign"), ["area:add"]),
    ("enter a tester", lambda c: add_tester(c, "Ona Petrie", "L-1"), ["tester:add"]),
    ("enter an instrument", lambda c: add_instrument(c, "SN 9"), ["instrument:add"]),
    ("enter an item", lambda c: add_item(c, NewItem("X1", shed(c), LEAD, TODAY)), ["item:add"]),
    ("move an item", lambda c: move_item(c, the(c, "L1"), area_named(c, yard(c), "Office")), ["area:add", "item:move"]),
    ("give an item a class", lambda c: give_class(c, the(c, "L1"), "hire"), ["item:change"]),
    ("give an area a class", lambda c: change_area_class(c, shed(c), "hire"), ["area:change"]),
    (
        "put an item in store",
        lambda c: change_condition(c, the(c, "L1"), Condition.STORED, since=TODAY),
        ["item:change"],
    ),
    (
        "record a pass",
        lambda c: record_tests(c, [entry("L1", TODAY, (INSPECTION,), SOUND, tester="", instrument="")]),
        ["record:add", "tester:add"],
    ),
    (
        "record a fail",
        lambda c: record_tests(c, [entry("P1", TODAY, readings=[*SOUND, *SLOW])]),
        ["record:add", "tester:add", "instrument:add", "withdrawal:open"],
    ),
    (
        "withdraw an item",
        lambda c: withdraw(c, the(c, "L1"), reason=WithdrawalReason.DAMAGED, tag_number="OUT-1"),
        ["withdrawal:open", "withdrawal:change"],
    ),
    ("remove an item", lambda c: remove(c, the(c, "L1"), reason="scrapped"), ["item:remove"]),
    ("mark a duty done", lambda c: mark_done(c, the(c, "P1"), Duty.BUTTON_PRESS, TODAY), ["mark:add"]),
    ("decide on another interval", lambda c: add_override(c, decision(c)), ["override:add"]),
    (
        "end a decision",
        lambda c: end_override(c, c.session.scalars(sa.select(Override.id)).one(), "dry again"),
        ["override:end"],
    ),
    (
        "take in a file",
        lambda c: take_in(c, FILE, YARD, file_name="yard.csv", sha256="00"),
        ["area:add", "item:add", "record:add", "intake:take"],
    ),
]  # fmt: skip


@pytest.fixture
def bench(desk: Desk) -> Desk:
    """A hotel's switch and a lead, with a decision made for the lead's area."""
    desk.site("YARD", "residential")
    desk.item("P1", area="Shed")
    desk.item("L1", LEAD, area="Shed")
    return desk


def content(desk: Desk) -> dict[str, list]:
    """Return every row of every table."""
    with desk.read() as connection:
        return {
            name: sorted(map(str, connection.execute(sa.select(table)).all()))
            for name, table in Table.metadata.tables.items()
        }


def prepared(desk: Desk, name: str) -> None:
    if name == "end a decision":
        with desk.change() as change:
            add_override(change, decision(change))


@pytest.mark.parametrize(("name", "deed", "events"), DEEDS, ids=[each[0] for each in DEEDS])
def test_a_deed_leaves_its_events_and_no_faults(
    bench: Desk, name: str, deed: Callable[[Change], object], events: list[str]
) -> None:
    prepared(bench, name)
    before = len(bench.events())
    with bench.change() as change:
        deed(change)
    assert bench.events(before) == events
    assert bench.faults() == ()


def fail_after(change: Change, deed: Callable[[Change], object]) -> None:
    deed(change)
    raise RuntimeError("the power went")


@pytest.mark.parametrize(("name", "deed"), [each[:2] for each in DEEDS], ids=[each[0] for each in DEEDS])
def test_a_deed_cut_off_before_its_end_leaves_nothing(bench: Desk, name: str, deed: Callable[[Change], object]) -> None:
    prepared(bench, name)
    before = content(bench)
    with pytest.raises(RuntimeError, match="the power went"), bench.change() as change:
        fail_after(change, deed)
    assert content(bench) == before


@pytest.mark.parametrize(("name", "deed"), [each[:2] for each in DEEDS], ids=[each[0] for each in DEEDS])
def test_a_deed_rehearsed_leaves_nothing(bench: Desk, name: str, deed: Callable[[Change], object]) -> None:
    prepared(bench, name)
    before = content(bench)
    with bench.change(keep=False) as change:
        deed(change)
    assert content(bench) == before

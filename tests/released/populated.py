"""A register with something in every table, to be kept as one of a released layout: an invented firm and its customers.

It is made by the program's own services, with its field pack, the work that came back and an owner's workbook beside.
Keys are counted instead of drawn, so that it packs small.
"""

import itertools
import os
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Final
from unittest.mock import patch

from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.words import Condition, Duty, Kind, Result, WithdrawalReason
from register.exchange.pack import merge_file, open_pack, write_pack, write_work
from register.exchange.workbook import write_owner_workbook
from register.planning.kept_settings import PlanSettings
from register.planning.travel import place_from
from register.services.bench.aside import drop_code, set_aside
from register.services.conditions import change_condition
from register.services.corrections import correct_record, void_record
from register.services.deciding import decide, end_decision
from register.services.intake.taking_in import IntakeChoices
from register.services.marks import mark_done
from register.services.moves import change_area_class, move_item
from register.services.overrides import NewOverride
from register.services.owners.queries import note_query, open_queries, settle_query
from register.services.owners.report import owner_report
from register.services.people import keep_instrument, keep_tester
from register.services.places import known_site
from register.services.replacing import replace_item
from register.services.retention import keeping, let_go
from register.services.settings import begin, set_setting
from register.services.tag_ranges import add_range
from register.services.tags import new_tag
from register.services.team import let_in
from register.services.undo import Steps
from register.services.week.kept import keep_week
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.plan_settings import keep_plan_settings
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from register.services.withdrawals.deeds import remove
from register.store.access import Role
from register.store.engine import create_register, open_register
from tests.desk import INSPECTION, OPERATING, QUICK, SLOW, SOUND, Desk, entry
from tests.domain.verdict_rules import both, earth, insulation, polarity
from tests.pictures import png
from tests.registers import ACTOR, TODAY
from tests.services.sheet import item, sheet_test, take

LONG_AGO: Final = date(2017, 5, 2)
EXPIRES: Final = TODAY + timedelta(days=14)
REVIEW: Final = TODAY + timedelta(days=300)
AT: Final = datetime(2026, 11, 20, 15, tzinfo=UTC)
FIELD: Final = "Asha Pell"
LEAD: Final = (earth("0.2", 1), polarity("right", 1), insulation(">100"))
IN_STORE: Final = 1_000
"""So many appliances lie in one store, for the weight of it."""


@dataclass(frozen=True, slots=True)
class Made:
    """The register, one that was opened from its field pack, that pack, the work of another, an owner's workbook."""

    office: Path
    field: Path
    pack: Path
    work: Path
    workbook: Path


def populate(folder: Path) -> Made:
    """Make all of it in a folder."""
    made = Made(*(folder / name for name in ("office.register", "field.register", "yard.fieldpack", "yard.fieldwork",
                                             "hall.xlsx")))  # fmt: skip
    with patch.object(os, "urandom", _counted(itertools.count(1))), closing(create_register(made.office)) as register:
        desk = Desk(register)
        for part in (_set_up, _fill_the_store, _test, _take_out_of_service, _correct, _change, _decide, _plan):
            part(desk)
        _send_out(desk, made)
        _undo(desk)
    return made


def _counted(numbers: Iterator[int]) -> Callable[[int], bytes]:
    return lambda size: b"".join((next(numbers) << 4).to_bytes(10) for _ in range(0, size, 10))[:size]


def _set_up(desk: Desk) -> None:
    with desk.change() as change:
        begin(change, firm="Saltbush Test and Tag", contact="office of the yard")
        keep_tester(change, ACTOR, "L-1", date(2027, 3, 1))
        keep_instrument(change, "SN 4411", "Tester", date(2027, 1, 31))
        set_setting(change, "soon_days", 21)
        let_in(change, ACTOR, Role.CONTRACTOR, ())
        let_in(change, FIELD, Role.CONTRACTOR, ())
    for code, environment in (("YARD", "construction"), ("HALL", "benign"), ("STORE", "workshop")):
        desk.site(code, environment)
        desk.area(code, "Front", "residential" if code == "HALL" else None)


def _fill_the_store(desk: Desk) -> None:
    """Enter most of the items as a spreadsheet does, the first of them with the date of their last test."""
    tags = [f"ST-{number:04}" for number in range(IN_STORE)]
    choices = IntakeChoices(site="STORE")
    rows = [item(tag, Kind.APPLIANCE_CLASS_2, description=f"Lamp {tag[-1]}", row=row) for row, tag in enumerate(tags)]
    records = [sheet_test(tag, date(2026, 3, 1 + row % 28), Result.PASS, row=row) for row, tag in enumerate(tags[:80])]
    take(desk, tuple(rows), tuple(records), choices)


def _test(desk: Desk) -> None:
    for number in range(8):
        desk.item(f"S-{number}", site="YARD", area="Front" if number % 2 else "", since=date(2016, 1, 1))
    desk.item("K-1", Kind.APPLIANCE_CLASS_1, "HALL", description="Kettle, “Brücke” pattern", remarks="by the door")
    desk.item("L-1", Kind.EXTENSION_LEAD, "HALL", area="Front")
    for day in (LONG_AGO, date(2026, 5, 31)):
        for number in range(8):
            slow = number == 3 and day != LONG_AGO
            desk.on(day).test(f"S-{number}", readings=[*SOUND, *(SLOW if slow else QUICK)])
    desk.test("S-1", duties=(OPERATING,), readings=QUICK)
    with desk.change() as change:
        mark_done(change, desk.id("S-1"), Duty.BUTTON_PRESS, TODAY)


def _take_out_of_service(desk: Desk) -> None:
    desk.withdraw("S-4", WithdrawalReason.DAMAGED, "OUT-7", photo=png(9))
    desk.withdraw("S-5", WithdrawalReason.OVERDUE, "OUT-8")
    desk.test("S-5")
    with desk.change() as change:
        remove(change, desk.id("S-6"), reason="Scrapped")
        let_go(change, keeping(change.session.connection(), desk.today).before)


def _correct(desk: Desk) -> None:
    wrong, void = (desk.test(tag, duties=(OPERATING,), readings=both("31"), remarks="wrong") for tag in ("S-0", "S-2"))
    with desk.change() as change:
        correct_record(change, wrong.id, entry("S-0", TODAY, (OPERATING,), both("26")), "Read off wrongly")
        void_record(change, void.id, "Another switch")


def _change(desk: Desk) -> None:
    front, hall = desk.area("YARD", "Slip"), desk.area("HALL", "Kitchen")
    with desk.change() as change:
        move_item(change, desk.id("S-2"), front)
        move_item(change, desk.id("L-1"), hall)
        change_area_class(change, front, "workshop")
        change_condition(change, desk.id("S-7"), Condition.REPAIRED, since=TODAY)
        replace_item(change, desk.id("K-1"), tag="K-2")
        band = add_range(change, holder=FIELD, prefix="R-", digits=4, first=1, last=50)
        new_tag(change, desk.id("S-7"), range_id=band)
        set_aside(change, "UNKNOWN-1", known_site(change.session.connection(), "YARD"))
        set_aside(change, "UNKNOWN-2")
        drop_code(change, "UNKNOWN-2")
        note_query(change, desk.id("L-1"), "hall.xlsx", "Query", "Whose lead is this?")
        note_query(change, desk.id("L-1"), "hall.xlsx", "Query", "Where is it kept?")
        settle_query(change, open_queries(change.session.connection())[0].id, "The caterer's")


def _decide(desk: Desk) -> None:
    with desk.change() as change:
        site = known_site(change.session.connection(), "HALL")
        for duty in (Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME):
            new = NewOverride(Scope.SITE, site, duty, Interval.of(months=3), "Hard use", "Jo Brandt", TODAY, REVIEW)
            decide(change, new)
        end_decision(change, Scope.SITE, site, Duty.OPERATING_TIME, "Use is lighter now")


def _plan(desk: Desk) -> None:
    with desk.change() as change:
        keep_plan_settings(change, PlanSettings(base=place_from("-37.90, 148.60")))
        keep_van(change, VanFacts("Van 1"))
        for code, place in (("YARD", "-37.95, 148.70"), ("HALL", "-37.90, 148.61")):
            site = known_site(change.session.connection(), code)
            keep_visiting(change, site, Visiting(place, contact="Gate code 5", hazards="forklifts"))
    with desk.read() as connection:
        week = plan_week(connection, desk.today, WeekAsk(TODAY + timedelta(days=3), effort=0.1))
    with desk.change() as change:
        keep_week(change, week)


def _send_out(desk: Desk, made: Made) -> None:
    """Send two packs: of one the work comes back, the other is still out when the layout changes."""
    first = made.pack.with_name("first.fieldpack")
    said = {"holder": FIELD, "expires_on": EXPIRES, "actor": ACTOR, "at": AT, "today": TODAY}
    write_pack(desk.register, first, sites=("HALL",), **said)
    _work_in_the_field(first, made.field.with_name("first.register"), made.work.with_name("first.fieldwork"), "L-1")
    merge_file(desk.register, made.work.with_name("first.fieldwork"), actor=ACTOR, at=AT, today=TODAY)
    write_pack(desk.register, made.pack, sites=("YARD",), **said)
    _work_in_the_field(made.pack, made.field, made.work, "S-1")
    with desk.read() as connection:
        write_owner_workbook(owner_report(connection, known_site(connection, "HALL"), TODAY), made.workbook)


def _work_in_the_field(pack: Path, target: Path, work: Path, tag: str) -> None:
    open_pack(pack, target, today=TODAY)
    with closing(open_register(target)) as register:
        field = Desk(register)
        field.test(tag, **({} if tag.startswith("S") else {"readings": LEAD, "duties": (INSPECTION,)}))
        write_work(register, work, actor=FIELD, at=AT, today=TODAY)


def _undo(desk: Desk) -> None:
    """Undo a test, and another that is done again."""
    steps = Steps()
    desk.register.watch(steps)
    for tag in ("S-1", "S-2"):
        desk.test(tag, duties=(OPERATING,), readings=both("29"))
    for deed in (steps.undo, steps.undo, steps.redo):
        with desk.change() as change:
            deed(change)

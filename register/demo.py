"""The whole job on an invented contractor's spreadsheets: from what he has to what an owner is told."""

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.words import Standing, WithdrawalReason
from register.errors import Refused, Unavailable
from register.exchange.records_json import read_records
from register.exchange.sheets.mapping import Mapping
from register.exchange.sheets.mapping_file import read_mapping
from register.exchange.taking_in import read_file, take_in_reading
from register.exchange.workbook import write_owner_workbook
from register.planning.kept_settings import PlanSettings
from register.planning.travel import place_from
from register.services.check import check
from register.services.intake.taking_in import IntakeChoices
from register.services.items import find_item
from register.services.owners.report import owner_report
from register.services.people import add_instrument, add_tester
from register.services.places import NewSite, add_site, area_named, known_site
from register.services.questions import DueDuty, due_duties, overdue_sites
from register.services.recording import record_tests
from register.services.settings import begin, setting
from register.services.week.kept import keep_week
from register.services.week.plan import WeekAsk, plan_week, week_code
from register.services.week.plan_settings import keep_plan_settings
from register.services.week.text import week_lines
from register.services.week.visiting import (
    USUAL_HOURS,
    WEEKDAYS,
    VanFacts,
    Visiting,
    days_from,
    hours_from,
    keep_van,
    keep_visiting,
)  # fmt: skip
from register.services.withdrawals.deeds import withdraw
from register.stopping import go_on
from register.store.engine import Change, Register, create_register, open_register
from resources import RESOURCES

if TYPE_CHECKING:
    from sample_sites.make import SampleFile

ACTOR: Final = "demo"
OUT_OF_SERVICE_TAG: Final = "OUT-0001"
PLAN_EFFORT: Final = 1.0
"""Seconds, about, to seek the week's routes: few sites need no more."""


@dataclass(frozen=True, slots=True)
class DemoSite:
    """A site with items that must not be used, and the reason of the one that is longest overdue."""

    code: str
    name: str
    overdue: int
    untested: int
    oldest: date | None
    tag: str
    why: str


@dataclass(frozen=True, slots=True)
class DemoReport:
    """What the demo did and found."""

    today: date
    register: str
    sites: int
    items: int
    records: int
    left_out: int
    overdue: tuple[DemoSite, ...]
    tag: str
    verdict: str
    why: str
    out_of_service_tag: str
    workbooks: tuple[str, ...]
    failure_in: str
    week: str
    week_plan: tuple[str, ...]
    faults: tuple[str, ...]


def run_demo(today: date, out: Path, *, at: datetime) -> DemoReport:
    """Do the whole job in a folder: the sheets, the register and the workbooks are in it afterwards.

    A sample register of an earlier demo is made anew; refused where another file stands in its place.
    """
    sheets = out / "spreadsheets"
    with _writing(out):
        out.mkdir(parents=True, exist_ok=True)
    register = _fresh(out / "demo.register")
    try:
        made = _made_sheets(sheets, today)
        plan = tomllib.loads((sheets / "sites.toml").read_text(encoding="utf-8"))
        with register.change(actor=ACTOR, at=at, today=today) as change:
            _set_up(change, plan)
        left_out = 0
        for sheet in made:
            said, mapping = IntakeChoices(site=sheet.site_code), _mapping(sheet.style)
            reading = read_file(register, sheet.path, said, today=today, mapping=mapping)
            done = take_in_reading(register, sheet.path, reading, said, actor=ACTOR, at=at, today=today)
            left_out += done.taken.refused
        with register.read() as connection:
            overdue = _overdue(connection, today)
        failed = _fail_and_withdraw(register, sheets / plan["demo"]["record"], plan["demo"], at, today)
        week = _plan_next_week(register, at, today)
        books = _workbooks(register, [sheet.site_code for sheet in made], out, today)
        with register.read() as connection:
            found = check(connection)
    finally:
        register.close()
    return DemoReport(
        today=today, register=str(out / "demo.register"), sites=found.counts["sites"], items=found.counts["items"],
        records=found.counts["records"], left_out=left_out, overdue=overdue, tag=failed[0], verdict=failed[1],
        why=failed[2], out_of_service_tag=OUT_OF_SERVICE_TAG, workbooks=tuple(books.values()),
        failure_in=books[plan["demo"]["site"]], week=week[0], week_plan=week[1], faults=found.faults,
    )  # fmt: skip


def _made_sheets(folder: Path, today: date) -> "list[SampleFile]":
    """Write the contractor's spreadsheets into a folder and return them."""
    from sample_sites.make import make

    with _writing(folder):
        return make(folder, today)


@contextmanager
def _writing(folder: Path) -> Iterator[None]:
    """Say in one sentence where a folder can't be written."""
    try:
        yield
    except OSError as error:
        raise Unavailable(
            f"The demo's files can't be written to “{folder}” ({error.strerror}). Choose another folder."
        ) from None


def _fresh(path: Path) -> Register:
    """Return a new register at this path; only a sample register may stand there before."""
    if path.exists():
        earlier = open_register(path)
        try:
            with earlier.read() as connection:
                sample = bool(setting(connection, "sample", default=False))
        finally:
            earlier.close()
        if not sample:
            raise Refused(f"{path} is a register of real data; it was left as it is. Choose another folder with --out.")
        path.unlink()
    return create_register(path)


def _set_up(change: Change, plan: dict[str, Any]) -> None:
    """Enter the contractor, his people and instruments, and his customers' sites with their areas."""
    begin(change, firm=plan["firm"]["name"], sample=True, contact=plan["firm"]["base"])
    for tester in plan["testers"]:
        add_tester(change, tester["name"], tester["licence"])
    for instrument in plan["instruments"]:
        add_instrument(change, instrument["serial"], instrument["name"], instrument["calibration_due"])
    file = RESOURCES.parent / "sample_sites" / "making" / "visiting.toml"
    visiting = tomllib.loads(file.read_text(encoding="utf-8"))
    _set_up_vans(change, visiting)
    for site in plan["sites"]:
        key = add_site(
            change,
            NewSite(
                code=site["code"], name=site["name"], owner=site["owner"], rulebook=site["rulebook"],
                environment=site["environment"], address=f"{site['address']}, {site['suburb']}",
                access=site["access"],
            ),
        )  # fmt: skip
        for area in site["areas"]:
            area_named(change, key, area["name"], area["environment"])
        if site["code"] in visiting["sites"]:
            keep_visiting(change, key, _visiting(visiting["sites"][site["code"]]))


def _set_up_vans(change: Change, visiting: dict[str, Any]) -> None:
    keep_plan_settings(change, PlanSettings(base=place_from(visiting["base"])))
    for van in visiting["vans"]:
        start, until = hours_from(f"{van['from']}-{van['until']}")
        days = days_from(van["days"]) if "days" in van else WEEKDAYS
        keep_van(change, VanFacts(van["name"], start=start, until=until, people=van["people"], days=days))


def _visiting(said: dict[str, Any]) -> Visiting:
    """Return how a sample site is visited."""
    days = days_from(said["days"]) if "days" in said else WEEKDAYS
    hours = hours_from(said["hours"]) if "hours" in said else USUAL_HOURS
    return Visiting(
        place=said["place"],
        hours=dict.fromkeys(sorted(days), hours),
        ready_minutes=said["ready"],
        people=said.get("people", 1),
        contact=said.get("contact", ""),
        hazards=said.get("hazards", ""),
    )


def _mapping(style: str) -> Mapping | None:
    """Return how the contractor's sheets of one style are read, where their own words are not enough."""
    path = RESOURCES.parent / "sample_sites" / "mappings" / f"{style}.toml"
    return read_mapping(path) if path.exists() else None


def _overdue(connection: Connection, today: date) -> tuple[DemoSite, ...]:
    """Return the sites with items that must not be used, each with the duty that is longest overdue and why."""
    worst: dict[str, DueDuty] = {}
    for duty in due_duties(connection, today, contractors=True):
        if duty.standing is Standing.OVERDUE:
            worst.setdefault(duty.site, duty)
    found = []
    for site in overdue_sites(connection, today):
        first = worst.get(site.code)
        tag, reason = (first.tag, first.why[0]) if first is not None else ("", "")
        found.append(DemoSite(site.code, site.name, site.overdue, site.untested, site.oldest, tag, reason))
    return tuple(found)


def _fail_and_withdraw(
    register: Register, record: Path, demo: dict[str, Any], at: datetime, today: date
) -> tuple[str, str, str]:
    """Take in the demo's record, whose second outlet trips too late, and fix the out-of-service tag it calls for."""
    entries = read_records(record.read_bytes(), today=today)
    with register.change(actor=ACTOR, at=at, today=today) as change:
        judgement = record_tests(change, entries)[0].judgement
        assert judgement is not None
        item = find_item(change.session.connection(), demo["tag"], site=demo["site"])
        withdraw(change, item, reason=WithdrawalReason.FAILED, tag_number=OUT_OF_SERVICE_TAG, told="the yard's office")
    return demo["tag"], judgement.verdict.value, judgement.why


def _plan_next_week(register: Register, at: datetime, today: date) -> tuple[str, tuple[str, ...]]:
    """Plan the week after this one, keep it in the register, and return which it is and the plan in words."""
    ask = WeekAsk(today + timedelta(days=7), effort=PLAN_EFFORT)
    with register.read() as connection:
        week = plan_week(connection, today, ask, progress=lambda _done, _all: go_on())
    with register.change(actor=ACTOR, at=at, today=today) as change:
        keep_week(change, week)
    return week_code(ask.monday), tuple(week_lines(week))


def _workbooks(register: Register, codes: list[str], out: Path, today: date) -> dict[str, str]:
    """Write the owner workbook of every site and return their paths by the site's code."""
    written = {}
    for code in codes:
        path = out / "owners" / f"{code.lower()}-{today.isoformat()}.xlsx"
        with _writing(path.parent):
            path.parent.mkdir(parents=True, exist_ok=True)
        with register.read() as connection:
            write_owner_workbook(owner_report(connection, known_site(connection, code), today), path)
        written[code] = str(path)
    return written


def demo_text(report: DemoReport) -> str:
    """Return the report in words, as it is printed."""
    lines = [
        f"The register of an invented contractor, made for {day_words(report.today)} from the spreadsheets he has:",
        (
            f"{report.sites} sites, {report.items:,} items with those removed, {report.records:,} tests;"
            f" {report.left_out} left out as wrong."
        ),
        "",
        "What must not be used, and why:",
    ]
    for site in report.overdue:
        counts = [f"{site.overdue} overdue"] if site.overdue else []
        counts += [f"{site.untested} with a test never done"] if site.untested else []
        lines.append(f"  {site.code:9}{site.name}: {', '.join(counts)}")
        if site.tag:
            lines.append(f"           longest: {site.tag}. {site.why}")
    lines += [
        "",
        f"Tested today: {report.tag}. {report.verdict.capitalize()}.",
        f"  {report.why}",
        f"  Withdrawn at once, out-of-service tag {report.out_of_service_tag}.",
        "",
        f"Next week, {report.week}, as it was planned:",
        *(f"  {line}" for line in report.week_plan),
        "",
        f"Owner workbooks: {len(report.workbooks)} in {Path(report.failure_in).parent}",
        f"  The failure stands in {report.failure_in}",
        f"The register: {report.register}",
    ]
    agreed = "It was checked: the file, its history, and every date agree with records and rules."
    lines += report.faults or [agreed]
    lines.append(
        "Local codes and licensed practice decide; this program reminds and keeps records, it does not certify."
    )
    return "\n".join(lines)

"""Vans, days off, pace, drives, minutes, visits: what is wrong is said beside its field, and what was typed stays."""

from collections.abc import Callable
from datetime import date, time
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QPushButton
from pytestqt.qtbot import QtBot

from register.domain.words import Kind
from register.planning.learnt import Learnt
from register.planning.travel import Leg, Place
from register.services.places import known_site
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.plan_settings import days_off, drives, keep_plan_settings, named_days, plan_settings
from register.services.week.visiting import VanFacts, keep_van, vans, visiting
from tests.desk import Desk
from tests.ui.conftest import TODAY, RecordedMessages
from ui.asking.dialog import Dialog
from ui.asking.fields import Field
from ui.asking.van import VanDialog
from ui.asking.visiting import VisitingDialog
from ui.firm.drives_dialog import DrivesDialog
from ui.firm.page import FirmPage
from ui.firm.plan_dialogs import DaysOffDialog, PaceDialog
from ui.firm.sites import SitesSection
from ui.firm.vans import VansSection
from ui.firm.work import WorkSection, learnt_words
from ui.program import Program
from ui.week.page import WeekPage
from ui.week.stop_dialog import StopDialog

Settled = Callable[[], None]


@pytest.fixture
def section(program: Program, settled: Settled) -> VansSection:
    """The section in front."""
    program.frame.go("firm", "vans")
    settled()
    page = program.frame.front
    assert isinstance(page, FirmPage)
    assert isinstance(page.front, VansSection)
    return page.front


def put(field: Field, said: str) -> None:
    """Write into a field."""
    if isinstance(field.widget, QPlainTextEdit):
        field.widget.setPlainText(said)
        return
    assert isinstance(field.widget, QLineEdit)
    field.widget.setText(said)


def text(field: Field) -> str:
    assert isinstance(field.widget, QLineEdit)
    return field.widget.text()


def save(dialog: Dialog, settled: Settled) -> None:
    next(each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary").click()
    settled()


def opened(kind: type[Dialog], settled: Settled) -> Dialog:
    settled()
    found = [each for each in QApplication.topLevelWidgets() if isinstance(each, kind) and each.isVisible()]
    assert len(found) == 1
    return found[0]


def test_a_van_is_added_changed_and_gone_and_comes_back_by_its_name(
    section: VansSection, desk: Desk, settled: Settled
) -> None:
    section.add_van()
    dialog = opened(VanDialog, settled)
    assert isinstance(dialog, VanDialog)
    for field, said in (
        (dialog.name, "Long van"), (dialog.people, "many"), (dialog.hours, "7-4"), (dialog.start, "the yard"),
        (dialog.base, "-37.9, 148.6"),
    ):  # fmt: skip
        put(field, said)
    save(dialog, settled)
    assert dialog.people.complaint == "“many” does not fit here. Give a whole number from 1 to 9."
    assert "07:00-15:30" in dialog.hours.complaint
    assert "-37.8136" in dialog.start.complaint
    assert (text(dialog.hours), text(dialog.start)) == ("7-4", "the yard")
    for field, said in ((dialog.people, "2"), (dialog.hours, "7:00-15:00"), (dialog.start, "-37.8,148.5")):
        put(field, said)
    save(dialog, settled)
    with desk.read() as connection:
        (row,) = vans(connection)
        assert plan_settings(connection).base == Place(-37.9, 148.6)
    assert row.facts == VanFacts("Long van", 420, 900, 2, start_place="-37.80000, 148.50000")

    section.change_van()
    dialog = opened(VanDialog, settled)
    assert isinstance(dialog, VanDialog)
    assert not dialog.base.isVisible()
    put(dialog.start, "")
    save(dialog, settled)
    section.end_van()
    settled()
    with desk.read() as connection:
        assert vans(connection) == []
    assert section._no_van.isVisible()
    with desk.change() as change:
        keep_van(change, VanFacts("Long van"))
    with desk.read() as connection:
        assert [each.facts for each in vans(connection)] == [VanFacts("Long van")]


def test_days_off_are_added_and_a_holiday_is_worked(section: VansSection, desk: Desk, settled: Settled) -> None:
    section.add_days()
    dialog = opened(DaysOffDialog, settled)
    assert isinstance(dialog, DaysOffDialog)
    put(dialog.first, "2026-12-21")
    put(dialog.last, "2026-12-20")
    save(dialog, settled)
    assert dialog.last.complaint.startswith("That is before")
    put(dialog.last, "2026-12-23")
    put(dialog.why, "Yard shut")
    save(dialog, settled)
    first, last = date(2026, 12, 20), date(2026, 12, 26)
    with desk.read() as connection:
        found = {each.day: each.why for each in days_off(connection, first, last)}
    assert {day.day for day, why in found.items() if why == "Yard shut"} == {21, 22, 23}
    christmas = date(2026, 12, 25)
    assert found[christmas] == "Christmas Day"
    assert section.days.view.select_key(christmas.isoformat())
    section.turn()
    settled()
    with desk.read() as connection:
        assert christmas not in {each.day for each in days_off(connection, first, last)}
        assert next(each for each in named_days(connection, christmas, christmas)).worked
    assert section._turn.text() == "Have it off"
    section.turn()
    settled()
    with desk.read() as connection:
        assert christmas in {each.day for each in days_off(connection, first, last)}


def test_base_pace_and_lunch_are_kept_and_each_field_says_what_is_wrong(
    section: VansSection, desk: Desk, settled: Settled
) -> None:
    section.change_pace()
    dialog = opened(PaceDialog, settled)
    assert isinstance(dialog, PaceDialog)
    wrong = (
        (dialog.base, "12 Hill St", "latitude"), (dialog.factor, "0.5", "from 1 to 5"), (dialog.speed, "x", "from 1"),
        (dialog.lunch_at, "noon", "12:00"), (dialog.lunch, "-3", "from 0 to 120"),
    )  # fmt: skip
    for field, said, _more in wrong:
        put(field, said)
    save(dialog, settled)
    for field, said, more in wrong:
        assert more in field.complaint
        assert text(field) == said
    for (field, _said, _more), right in zip(wrong, ("-37.9,148.6", "1,4", "50", "12:30", "45"), strict=True):
        put(field, right)
    save(dialog, settled)
    with desk.read() as connection:
        kept = plan_settings(connection)
    assert (kept.base, kept.pace.road_factor, kept.pace.speed_kmh) == (Place(-37.9, 148.6), 1.4, 50)
    assert (kept.lunch.at, kept.lunch.minutes) == (750, 45)
    assert "Base -37.90000, 148.60000" in section.about.text()


def test_how_a_site_is_visited_is_asked_from_its_row(program: Program, desk: Desk, settled: Settled) -> None:
    program.frame.go("firm", "sites")
    settled()
    page = program.frame.front
    assert isinstance(page, FirmPage)
    assert isinstance(page.front, SitesSection)
    page.front.change_visits()
    dialog = opened(VisitingDialog, settled)
    assert isinstance(dialog, VisitingDialog)
    put(dialog.place, "148.7")
    put(dialog.ready, "400")
    put(dialog.hours[0], "early")
    save(dialog, settled)
    assert "latitude and longitude" in dialog.place.complaint
    assert dialog.ready.complaint == "“400” does not fit here. Give a whole number from 0 to 240."
    assert dialog.hours[0].complaint == "“early” are no hours. Write 08:00-16:30."
    for field, said in (
        (dialog.place, "-37.95, 148.7"), (dialog.ready, "25"), (dialog.hours[0], "09:00-12:00"), (dialog.hours[4], ""),
        (dialog.contact, "Ruth at the desk"), (dialog.hazards, "Forklifts\nin the yard"),
    ):  # fmt: skip
        put(field, said)
    save(dialog, settled)
    with desk.read() as connection:
        facts = visiting(connection, known_site(connection, "YARD"))
    assert (facts.place, facts.ready_minutes) == ("-37.95000, 148.70000", 25)
    assert facts.hours[0] == (540, 720)
    assert sorted(facts.hours) == [0, 1, 2, 3]
    assert (facts.contact, facts.hazards) == ("Ruth at the desk", "Forklifts in the yard")


def test_a_site_that_is_never_open_is_not_kept(program: Program, settled: Settled) -> None:
    program.frame.go("firm", "sites")
    settled()
    page = program.frame.front
    assert isinstance(page, FirmPage)
    assert isinstance(page.front, SitesSection)
    page.front.change_visits()
    dialog = opened(VisitingDialog, settled)
    assert isinstance(dialog, VisitingDialog)
    for field in dialog.hours:
        put(field, "")
    save(dialog, settled)
    assert dialog.isVisible()
    assert dialog.hours[0].complaint.startswith("A site that is never open")
    dialog.reject()


def test_the_week_leads_to_vans_and_to_how_a_stop_is_visited(
    qtbot: QtBot, program: Program, desk: Desk, settled: Settled, messages: RecordedMessages
) -> None:
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
        keep_plan_settings(change, plan_settings(change.session.connection()))
    with desk.read() as connection:
        assert plan_week(connection, TODAY, WeekAsk(TODAY, effort=0)).stops
    program.jobs.changed.emit()
    program.frame.go("week")
    settled()
    page = program.frame.front
    assert isinstance(page, WeekPage)
    page.sheet.opened.emit("YARD")
    stop = opened(StopDialog, settled)
    assert isinstance(stop, StopDialog)
    stop.visits.click()
    dialog = opened(VisitingDialog, settled)
    assert isinstance(dialog, VisitingDialog)
    put(dialog.place, "-37.95, 148.7")
    save(dialog, settled)
    qtbot.waitUntil(lambda: page.week is not None and "No coordinates" not in str(page.sheet.cards))
    assert messages.failures == []
    program.frame.deeds.do("week.vans")
    settled()
    front = program.frame.front
    assert isinstance(front, FirmPage)
    assert isinstance(front.front, VansSection)


def test_drives_are_taken_in_from_a_sheet_and_forgotten(
    section: VansSection, desk: Desk, settled: Settled, messages: RecordedMessages, tmp_path: Path
) -> None:
    wrong, right = tmp_path / "wrong.csv", tmp_path / "right.csv"
    wrong.write_text("colour,taste\nred,sweet\n")
    right.write_text("from,to,km,minutes\nBASE,YARD,12,20\nYARD,NOWHERE,3,4\n")
    section.change_drives()
    dialog = opened(DrivesDialog, settled)
    assert isinstance(dialog, DrivesDialog)
    messages.files += [wrong]
    dialog.pick.click()
    settled()
    assert not dialog.keep.isEnabled()
    messages.files += [right]
    dialog.pick.click()
    settled()
    assert dialog.found.text().startswith("1 drive between 2 places")
    assert dialog.wrong.text().startswith("Line 3: “NOWHERE” is no site")
    dialog.keep.click()
    settled()
    with desk.read() as connection:
        assert drives(connection) == {("", "YARD"): Leg(12, 20)}
    assert "1 drive of your own" in section.about.text()
    section.change_drives()
    dialog = opened(DrivesDialog, settled)
    assert isinstance(dialog, DrivesDialog)
    dialog.forget.click()
    settled()
    with desk.read() as connection:
        assert drives(connection) == {}
    assert messages.failures == []


def test_minutes_learnt_from_records_stand_beside_the_usual_ones(
    program: Program, desk: Desk, settled: Settled
) -> None:
    program.frame.go("firm", "work")
    settled()
    page = program.frame.front
    assert isinstance(page, FirmPage)
    work = page.front
    assert isinstance(work, WorkSection)
    assert not work.learnt[Kind.PORTABLE_SAFETY_SWITCH].isVisible()
    for number in range(21):
        desk.item(f"T-{number}")
        desk.test(f"T-{number}", at=time(8 + number // 6, number % 6 * 10))
    work.refresh()
    settled()
    assert work.learnt[Kind.PORTABLE_SAFETY_SWITCH].text() == "10 min (learnt from 20)"
    assert work.learnt[Kind.PORTABLE_SAFETY_SWITCH].isVisible()
    assert "yours hold" in learnt_words(Learnt(Decimal("10.0"), Decimal(2), 20), own=True)

"""The firm by keyboard: sections, sites and areas with their dates, people, hours, settings, copies and the check."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from register.domain.words import Check, Kind
from register.services import people
from register.services.copying import folder_beside
from register.services.firm import areas, change_site, sites
from register.services.settings import setting
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from ui.firm import people_dialog
from ui.firm.area_dialog import AreaDialog
from ui.firm.care import CareSection
from ui.firm.page import FirmPage
from ui.firm.people import PeopleSection
from ui.firm.section import Section
from ui.firm.settings_form import FolderLine, SettingsSection
from ui.firm.site_dialog import SiteDialog
from ui.firm.sites import SitesSection
from ui.firm.work import WorkSection
from ui.look.widgets import FocusRing
from ui.program import Program

Settled = Callable[[], None]
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def page(program: Program, settled: Settled) -> FirmPage:
    """The page in front, on its first section."""
    program.frame.go("firm")
    settled()
    front = program.frame.front
    assert isinstance(front, FirmPage)
    return front


def section(page: FirmPage, kind: type[Section], settled: Settled) -> Section:
    """Bring a section to the front."""
    page.show_wanted(kind.key)
    settled()
    assert isinstance(page.front, kind)
    return page.front


def write(qtbot: QtBot, widget: QWidget, said: str) -> None:
    """Type into a field, in place of what stands there."""
    widget.setFocus()
    qtbot.keyClick(widget, Qt.Key.Key_A, CTRL)
    qtbot.keyClick(widget, Qt.Key.Key_Delete)
    qtbot.keyClicks(widget, said)


def save(qtbot: QtBot, dialog: QWidget, settled: Settled) -> None:
    """Press the keys of the deed; its button takes a moment to go down and up."""
    (done,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
    with qtbot.waitSignal(done.clicked):
        qtbot.keyClick(dialog.focusWidget() or dialog, Qt.Key.Key_Return, CTRL)
    settled()


def says(widget: QWidget, words: str) -> bool:
    """Whether a line that begins so is in sight."""
    return any(each.text().startswith(words) and each.isVisible() for each in widget.findChildren(QLabel))


def get(desk: Desk, name: str) -> object:
    with desk.read() as connection:
        return setting(connection, name)


@contextmanager
def asking(qtbot: QtBot, page: FirmPage, dialog: type) -> Iterator[QWidget]:
    """Give the dialog that is open, and leave it in the end."""
    asked = page.front.dialog
    assert isinstance(asked, dialog)
    qtbot.waitUntil(asked.isActiveWindow, timeout=5_000)
    yield asked
    if page.front.dialog is not None:
        asked.reject()


def test_every_section_is_reached_with_the_arrows_and_shows_itself(
    qtbot: QtBot, page: FirmPage, settled: Settled
) -> None:
    seen = [page.front.key]
    every = [section.key for section in page.sections]
    for _next in every[1:]:
        focus = QApplication.focusWidget()
        assert focus is not None
        qtbot.keyClick(focus, Qt.Key.Key_Down)
        after = QApplication.focusWidget()
        assert after is not None
        qtbot.keyClick(after, Qt.Key.Key_Return)
        settled()
        seen.append(page.front.key)
    assert seen == every


def test_every_field_and_button_of_every_section_has_a_name(page: FirmPage, settled: Settled) -> None:
    for each in page.sections:
        section(page, type(each), settled)
        for widget in each.findChildren(QWidget):
            if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isVisible() and widget.focusProxy() is None:
                named = widget.accessibleName() or getattr(widget, "text", str)()
                assert named, (each.key, widget)


def test_a_site_is_added_by_keyboard_with_what_is_missing_said_beside_its_field(
    qtbot: QtBot, page: FirmPage, desk: Desk, settled: Settled
) -> None:
    front = page.front
    assert isinstance(front, SitesSection)
    front.add_site()
    with asking(qtbot, page, SiteDialog) as dialog:
        assert isinstance(dialog, SiteDialog)
        write(qtbot, dialog.code, "mill")
        save(qtbot, dialog, settled)
        assert dialog.name_field.complaint == "Give the name of the site."
        assert dialog.code.text() == "mill"
        write(qtbot, dialog.name, "Mill")
        write(qtbot, dialog.owner.lineEdit(), "Weir Trust")
        dialog.plan.half.setChecked(True)
        save(qtbot, dialog, settled)
    assert page.front.dialog is None
    with desk.read() as connection:
        row = next(each for each in sites(connection) if each.code == "MILL")
    assert (row.facts.name, row.owner.name, row.facts.reading_plan.half) == ("Mill", "Weir Trust", True)
    assert [each.code for each in front.sites.rows] == ["MILL", "YARD"]


def test_a_code_that_is_taken_is_said_in_the_dialog_and_what_was_typed_stays(
    qtbot: QtBot, page: FirmPage, settled: Settled, messages: RecordedMessages
) -> None:
    front = page.front
    assert isinstance(front, SitesSection)
    front.add_site()
    with asking(qtbot, page, SiteDialog) as dialog:
        assert isinstance(dialog, SiteDialog)
        for field, said in ((dialog.code, "YARD"), (dialog.name, "Other"), (dialog.owner.lineEdit(), "Other")):
            write(qtbot, field, said)
        save(qtbot, dialog, settled)
        assert page.front.dialog is dialog
        assert says(dialog, "There is a site YARD already.")
        assert dialog.name.text() == "Other"
    assert messages.failures == []


def test_a_site_changed_by_somebody_else_meanwhile_is_said_and_what_was_typed_stays(
    qtbot: QtBot, page: FirmPage, desk: Desk, settled: Settled
) -> None:
    front = page.front
    assert isinstance(front, SitesSection)
    front.change_site()
    with asking(qtbot, page, SiteDialog) as dialog:
        assert isinstance(dialog, SiteDialog)
        row = front.site
        assert row is not None
        with desk.change() as change:
            facts = row.facts
            changed = type(facts)(facts.name, facts.owner, facts.rulebook, facts.environment, address="4 Slip Lane")
            change_site(change, row.id, changed, version=row.version)
        write(qtbot, dialog.name, "Lower yard")
        save(qtbot, dialog, settled)
        assert says(dialog, "YARD was changed by somebody else since you opened it")
        told = "\n".join(each.text() for each in dialog.findChildren(QLabel) if each.isVisible())
        assert f"Name: it was “{facts.name}”; theirs is “{facts.name}”, yours “Lower yard”." in told
        assert "Address: it was nothing; theirs is “4 Slip Lane”, yours nothing." in told
        assert dialog.name.text() == "Lower yard"
        save(qtbot, dialog, settled)  # knowing what is there now
    with desk.read() as connection:
        assert sites(connection)[0].facts.name == "Lower yard"


def test_another_class_of_an_area_shows_how_many_dates_come_forward_before_it_is_saved(
    qtbot: QtBot, page: FirmPage, desk: Desk, settled: Settled
) -> None:
    desk.on(date(2026, 9, 1)).test("RR-2")
    front = page.front
    assert isinstance(front, SitesSection)
    front.refresh()
    settled()
    front.areas.view.selectRow([row.name for row in front.areas.rows].index("Slipway"))
    front.change_area()
    with asking(qtbot, page, AreaDialog) as dialog:
        assert isinstance(dialog, AreaDialog)
        before = desk.events()
        dialog.environment.choose("construction")
        qtbot.waitUntil(dialog.effect.isVisible, timeout=5_000)
        settled()
        assert says(dialog, "1 of 3 items gets an earlier date.")
        assert desk.events() == before
        save(qtbot, dialog, settled)
    with desk.read() as connection:
        (slipway,) = [row for row in areas(connection, front.sites.rows[0].id) if row.name == "Slipway"]
    assert slipway.own == "construction"


def test_a_wrong_day_is_said_beside_its_field_and_kept_there(
    qtbot: QtBot, page: FirmPage, desk: Desk, settled: Settled
) -> None:
    front = section(page, PeopleSection, settled)
    assert isinstance(front, PeopleSection)
    front.change_tester()
    with asking(qtbot, page, people_dialog.TesterDialog) as dialog:
        assert isinstance(dialog, people_dialog.TesterDialog)
        until = dialog.until_field.widget
        write(qtbot, until, "next spring")
        save(qtbot, dialog, settled)
        assert dialog.until_field.complaint.startswith("“next spring” is not a day.")
        assert isinstance(until, QLineEdit)
        assert until.text() == "next spring"
        write(qtbot, until, "2026-11-23")
        save(qtbot, dialog, settled)
    with desk.read() as connection:
        assert people.testers(connection)[0].expires_on == date(2026, 11, 23)
    assert front.testers.rows[0].state == "Expired"


@pytest.mark.parametrize(
    ("until", "state"),
    [
        ("", "No date given"),
        ("2026-11-23", "Expired"),
        ("2026-11-24", "Valid, 0 days left"),
        ("2026-11-25", "Valid, 1 day left"),
        ("2026-12-25", "Valid"),
    ],
)
def test_an_instrument_is_valid_through_the_last_day_of_its_calibration(
    qtbot: QtBot, page: FirmPage, settled: Settled, until: str, state: str
) -> None:
    front = section(page, PeopleSection, settled)
    assert isinstance(front, PeopleSection)
    front.change_instrument()
    with asking(qtbot, page, people_dialog.InstrumentDialog) as dialog:
        assert isinstance(dialog, people_dialog.InstrumentDialog)
        write(qtbot, dialog.until_field.widget, until)
        save(qtbot, dialog, settled)
    assert front.instruments.rows[0].state == state


def test_hours_and_minutes_are_kept_and_a_wrong_one_is_named(
    qtbot: QtBot, page: FirmPage, desk: Desk, settled: Settled
) -> None:
    front = section(page, WorkSection, settled)
    assert isinstance(front, WorkSection)
    cell = front.cells[Kind.CORD_SET, Check.LOOK]
    write(qtbot, cell, "long")
    front.save()
    assert front.wrong == "Cord set, look: “long” is not a number of minutes. Give one from 0 to 240."
    write(qtbot, cell, "2,5")
    write(qtbot, front.hours, "fifty")
    front.save()
    assert front.hours_field.complaint == "The crew's hours a week can't be “fifty”. Give a number from 0 to 1000."
    write(qtbot, front.hours, "52")
    front.save()
    settled()
    assert (get(desk, "crew_hours"), get(desk, "minutes")) == ("52", {"cord-set": {"look": "2.5"}})


def test_what_is_wrong_is_brought_into_sight_in_a_low_window_with_the_ring_around_it(
    page: FirmPage, program: Program, settled: Settled
) -> None:
    program.frame.resize(1024, 600)
    front = section(page, WorkSection, settled)
    assert isinstance(front, WorkSection)
    cell = front.cells[Kind.ISOLATING_TRANSFORMER, Check.INSULATION_RESISTANCE]
    front.hours.setFocus()
    assert cell.visibleRegion().isEmpty()
    cell.setText("long")
    front.save()
    assert cell.hasFocus()
    assert not cell.visibleRegion().isEmpty()
    (ring,) = [each for each in program.frame.findChildren(FocusRing) if each.isVisible()]
    assert ring.geometry().center() == cell.mapTo(ring.parentWidget(), cell.rect().center())


def test_the_usual_minutes_take_the_place_of_the_firms_own(
    qtbot: QtBot, page: FirmPage, desk: Desk, settled: Settled
) -> None:
    front = section(page, WorkSection, settled)
    assert isinstance(front, WorkSection)
    write(qtbot, front.cells[Kind.CORD_SET, Check.LOOK], "9")
    front.save()
    settled()
    front.use_usual()
    front.save()
    settled()
    assert get(desk, "minutes") is None


def test_settings_are_saved_together_or_not_at_all(qtbot: QtBot, page: FirmPage, desk: Desk, settled: Settled) -> None:
    front = section(page, SettingsSection, settled)
    assert isinstance(front, SettingsSection)
    write(qtbot, front.fields["firm"].widget, "Ridge Testing")
    write(qtbot, front.fields["soon_days"].widget, "soon")
    front.save()
    settled()
    said = "“soon” is not a number of days. Give a whole number from 0 to 366."
    assert (front.fields["soon_days"].complaint, front.typed("soon_days"), get(desk, "firm")) == (said, "soon", None)
    write(qtbot, front.fields["soon_days"].widget, "21")
    front.save()
    settled()
    assert (get(desk, "firm"), get(desk, "soon_days")) == ("Ridge Testing", 21)


def test_what_is_typed_in_the_settings_stays_when_something_else_changes(
    qtbot: QtBot, page: FirmPage, program: Program, settled: Settled
) -> None:
    front = section(page, SettingsSection, settled)
    assert isinstance(front, SettingsSection)
    write(qtbot, front.fields["firm"].widget, "Half a na")
    program.jobs.changed.emit()
    settled()
    assert front.typed("firm") == "Half a na"


def test_a_copy_is_made_where_copies_go_and_the_page_says_when_and_what_it_lacks(
    page: FirmPage, path: Path, settled: Settled, messages: RecordedMessages
) -> None:
    front = section(page, CareSection, settled)
    assert isinstance(front, CareSection)
    assert front.copied.said.text() == "No copy yet"
    front.make_copy()
    settled()
    (copy,) = folder_beside(path).iterdir()
    assert messages.told[-1] == f"The copy {copy.name} in {copy.parent} is checked and good."
    assert front.copied.said.text().endswith("today")
    assert front.copied.more.text().startswith("No copy on another disk")


def test_a_copy_that_can_not_be_made_is_said_and_can_be_asked_for_again(
    qtbot: QtBot, page: FirmPage, settled: Settled, messages: RecordedMessages, tmp_path: Path
) -> None:
    settings = section(page, SettingsSection, settled)
    assert isinstance(settings, SettingsSection)
    copies = settings.fields["copies_folder"].widget
    assert isinstance(copies, FolderLine)
    write(qtbot, copies.line, str(tmp_path / "gone"))
    settings.save()
    settled()
    front = section(page, CareSection, settled)
    assert isinstance(front, CareSection)
    front.make_copy()
    settled()
    assert "is not there, so no copy was made" in messages.told[-1]
    assert front.copied.said.text() == "No copy was made"
    assert front.copy_button.isEnabled()


def test_the_check_can_be_asked_for_from_another_page_and_says_in_words_what_it_found(
    page: FirmPage, program: Program, settled: Settled
) -> None:
    program.frame.go("register")
    settled()
    program.desk.deeds.do("register.check")
    settled()
    front = page.front
    assert program.frame.front is page
    assert isinstance(front, CareSection)
    assert front.checked.said.text().startswith("All is well, checked at")


def test_an_event_of_the_history_leads_to_its_item(
    qtbot: QtBot, page: FirmPage, program: Program, settled: Settled
) -> None:
    front = section(page, CareSection, settled)
    assert isinstance(front, CareSection)
    rows = front.events.rows
    front.events.view.selectRow(next(place for place, row in enumerate(rows) if row.item_id is not None))
    qtbot.keyClick(front.events.view, Qt.Key.Key_Return)
    settled()
    assert program.frame.front.key == "register"


def test_the_lists_keep_the_rules_of_models(page: FirmPage, settled: Settled, qtmodeltester: ModelTester) -> None:
    front = page.front
    assert isinstance(front, SitesSection)
    settled()
    qtmodeltester.check(front.sites.model)
    qtmodeltester.check(front.areas.model)

"""Field packs in the window: made, opened on a laptop, sent back and merged, by keyboard, with every clash shown."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from register.exchange.pack import merge_file, open_pack, write_pack, write_work
from register.services.finding import site_choices
from register.services.packs.days_out import DayOut
from register.services.packs.packing import packs_made
from register.services.putting_back import known_copies
from register.store.engine import open_register
from tests.desk import Desk
from tests.ui.conftest import CLOCK, TODAY, RecordedMessages, let_go, settle
from ui.dates import typed
from ui.firm.packs import PacksSection, back_words
from ui.firm.page import FirmPage
from ui.jobs import Clock
from ui.look.widgets import Words
from ui.packs.deeds import offer, unpack
from ui.packs.make import MakePackDialog
from ui.packs.merge import MergeDialog
from ui.pages import MAKERS
from ui.program import Program, assemble

ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def field(desk: Desk, tmp_path: Path) -> Desk:
    """A laptop with a pack of the yard, one test done on it."""
    facts = {"actor": "Asha Pell", "at": CLOCK.now(), "today": TODAY}
    pack = tmp_path / "yard.fieldpack"
    write_pack(desk.register, pack, sites=["YARD"], holder="Asha Pell", expires_on=TODAY, **facts)
    open_pack(pack, tmp_path / "field.register", today=TODAY)
    laptop = Desk(open_register(tmp_path / "field.register"), TODAY)
    laptop.test("RR-2")
    write_work(laptop.register, tmp_path / "yard.fieldwork", **facts)
    return laptop


def said(dialog: MergeDialog | MakePackDialog) -> str:
    return "\n".join(each.text() for each in dialog.findChildren(Words) if each.isVisible())


def press(qtbot: QtBot, button: QPushButton, key: Qt.Key) -> None:
    """Press a button by its letter with Alt."""
    with qtbot.waitSignal(button.clicked):
        QTest.keyClick(button.window(), key, ALT)


def test_a_pack_is_made_by_keyboard(
    program: Program, desk: Desk, settled: Callable[[], None], messages: RecordedMessages, tmp_path: Path, qtbot: QtBot
) -> None:
    offer(program, lambda _path: None)
    program.frame.go("horizon")
    program.frame.deeds.enable("pack.make", enabled=True)
    program.frame.deeds.do("pack.make")
    settled()
    (dialog,) = program.frame.findChildren(MakePackDialog)
    press(qtbot, dialog._write, Qt.Key.Key_S)
    assert "Tick at least one site." in said(dialog)
    QTest.keyClick(dialog.sites, Qt.Key.Key_Space)
    QTest.keyClicks(dialog.holder, "Asha Pell")
    QTest.keyClick(dialog.holder, Qt.Key.Key_Return)
    assert dialog.isVisible()
    messages.files.append(tmp_path / "yard")
    press(qtbot, dialog._write, Qt.Key.Key_S)
    settled()
    assert (tmp_path / "yard.fieldpack").exists()
    assert messages.told[-1].startswith("The field pack for Asha Pell is in")
    with desk.read() as connection:
        (made,) = packs_made(connection)
    assert (made.sites, made.items, (made.expires_on - TODAY).days) == (("YARD",), 4, 14)


def test_a_day_that_can_not_be_keeps_what_was_typed(
    program: Program, settled: Callable[[], None], messages: RecordedMessages, tmp_path: Path, qtbot: QtBot
) -> None:
    with program.jobs._register.read() as connection:
        dialog = MakePackDialog(program.frame, program.desk, site_choices(connection))
    dialog.open()
    qtbot.waitUntil(dialog.isActiveWindow)
    QTest.keyClick(dialog.sites, Qt.Key.Key_Space)
    dialog.holder.setText("Asha Pell")
    dialog.until.setText("soon")
    press(qtbot, dialog._write, Qt.Key.Key_S)
    assert "“soon” is not a day" in said(dialog)
    dialog.until.setText("2027-11-24")
    messages.files.append(tmp_path / "yard.fieldpack")
    press(qtbot, dialog._write, Qt.Key.Key_S)
    settled()
    assert "92 days at most" in said(dialog)
    assert dialog.holder.text() == "Asha Pell"
    dialog.close()


@pytest.mark.usefixtures("field")
def test_a_merge_is_shown_first_and_kept_when_somebody_says_so(
    program: Program, desk: Desk, settled: Callable[[], None], messages: RecordedMessages, path: Path, tmp_path: Path,
    qtbot: QtBot,
) -> None:  # fmt: skip
    dialog = MergeDialog(program.frame, program.desk, tmp_path / "yard.fieldwork")
    dialog.open()
    settled()
    assert "Sent 4 / done 1 / left 3" in said(dialog)
    assert "Nothing clashes." in said(dialog)
    assert desk.answer("RR-2").last is None
    press(qtbot, dialog.merge, Qt.Key.Key_M)
    settled()
    assert desk.answer("RR-2").last is not None
    assert messages.told[-1] == "yard.fieldwork is merged: sent 4 / done 1 / left 3; 0 clashes."
    assert [each.before for each in known_copies(path)] == ["before-merge"]
    again = MergeDialog(program.frame, program.desk, tmp_path / "yard.fieldwork")
    again.open()
    settled()
    assert "in the register before; nothing changes" in said(again)
    assert not again.merge.isEnabled()
    again.close()


@pytest.mark.usefixtures("field")
def test_each_clash_is_shown_with_what_stands(
    program: Program, desk: Desk, settled: Callable[[], None], tmp_path: Path
) -> None:
    desk.test("RR-2", remarks="In the office too", tester="Bo Lind")
    desk.item("RR-2A")
    dialog = MergeDialog(program.frame, program.desk, tmp_path / "yard.fieldwork")
    dialog.open()
    settled()
    assert "1 thing to look at" in said(dialog)
    tag = dialog.clashes.item(0, 0)
    assert tag is not None
    assert tag.text() == "RR-2"
    dialog.close()


@pytest.mark.usefixtures("field")
def test_an_altered_file_and_a_late_one_are_told_and_nothing_is_kept(
    program: Program, desk: Desk, settled: Callable[[], None], tmp_path: Path
) -> None:
    path = tmp_path / "yard.fieldwork"
    broken = bytearray(path.read_bytes())
    broken[len(broken) // 2] ^= 1
    (tmp_path / "broken.fieldwork").write_bytes(broken)
    dialog = MergeDialog(program.frame, program.desk, tmp_path / "broken.fieldwork")
    dialog.open()
    settled()
    assert "altered or damaged" in said(dialog)
    assert not dialog.merge.isEnabled()
    assert not dialog.late.isVisible()
    dialog.close()
    assert desk.answer("RR-2").last is None


@pytest.mark.usefixtures("field")
def test_late_work_is_merged_once_it_was_looked_at(qtbot: QtBot, desk: Desk, tmp_path: Path) -> None:
    messages = RecordedMessages()
    late = Clock(today=TODAY.replace(day=25), now=CLOCK.now)
    program = assemble(desk.register, late, MAKERS, actor="Asha Pell", messages=messages)
    qtbot.addWidget(program.frame, before_close_func=lambda _frame: let_go(program.jobs))
    program.frame.show()
    dialog = MergeDialog(program.frame, program.desk, tmp_path / "yard.fieldwork")
    dialog.open()
    settle(qtbot, program.jobs)
    assert "expired on 24 Nov 2026" in said(dialog)
    assert not dialog.merge.isEnabled()
    press(qtbot, dialog.late, Qt.Key.Key_L)
    settle(qtbot, program.jobs)
    assert "Sent 4 / done 1 / left 3" in said(dialog)
    press(qtbot, dialog.merge, Qt.Key.Key_M)
    settle(qtbot, program.jobs)
    assert desk.answer("RR-2").last is not None
    program.jobs._pool.shutdown(wait=True)


def test_a_field_register_says_whose_it_is_and_sends_its_work_back(
    qtbot: QtBot, field: Desk, messages: RecordedMessages, tmp_path: Path
) -> None:
    program = assemble(field.register, CLOCK, MAKERS, actor="Asha Pell", messages=messages)
    offer(program, lambda _path: None)
    qtbot.addWidget(program.frame, before_close_func=lambda _frame: let_go(program.jobs))
    program.frame.show()
    settle(qtbot, program.jobs)
    assert program.frame.windowTitle() == "Field pack for Asha Pell until 24 Nov 2026 · Retest Register"
    deeds = program.frame.deeds
    assert [deeds.possible(f"pack.{each}") for each in ("make", "merge", "back", "open")] == [False, False, True, True]
    messages.files.append(tmp_path / "evening")
    deeds.do("pack.back")
    settle(qtbot, program.jobs)
    assert messages.told[-1].startswith("Sent 4 / done 1 / left 3")
    assert (tmp_path / "evening.fieldwork").exists()
    QApplication.processEvents()
    settle(qtbot, program.jobs)
    program.jobs._pool.shutdown(wait=True)


@pytest.mark.usefixtures("field")
def test_opening_a_pack_asks_where_its_register_goes(messages: RecordedMessages, tmp_path: Path) -> None:
    assert unpack(messages, tmp_path / "a.register", TODAY) == tmp_path / "a.register"
    assert unpack(messages, tmp_path / "yard.fieldpack", TODAY) is None
    messages.files.append(tmp_path / "mine")
    assert unpack(messages, tmp_path / "yard.fieldpack", TODAY) == tmp_path / "mine.register"
    assert messages.asked == ["Where the field register goes"] * 2
    assert Desk(open_register(tmp_path / "mine.register"), TODAY).faults() == ()
    messages.files.append(tmp_path / "yard.24 nov")
    assert unpack(messages, tmp_path / "yard.fieldpack", TODAY) == tmp_path / "yard.24 nov.register"


def test_a_planned_day_ticks_its_sites_and_names_its_van(program: Program, desk: Desk, qtbot: QtBot) -> None:
    desk.site("MILL")
    days = [DayOut(TODAY, "Van 1", ("MILL",)), DayOut(TODAY + timedelta(days=10), "Van 2", ("YARD", "MILL"))]
    with desk.read() as connection:
        dialog = MakePackDialog(program.frame, program.desk, site_choices(connection), "", days)
    dialog.open()
    qtbot.waitUntil(dialog.isActiveWindow)
    dialog.days.setFocus()
    QTest.keyClick(dialog.days, Qt.Key.Key_Down)
    assert (dialog.sites.ticked, dialog.holder.text()) == (["MILL"], "Van 1")
    QTest.keyClick(dialog.days, Qt.Key.Key_Down)
    assert (sorted(dialog.sites.ticked), dialog.holder.text()) == (["MILL", "YARD"], "Van 2")
    assert typed(dialog.until.text()) == TODAY + timedelta(days=17)
    dialog.holder.setText("Asha Pell")
    dialog.days.setCurrentIndex(1)
    assert dialog.holder.text() == "Asha Pell", "a name that was typed stays"


def test_the_packs_that_were_made_are_listed_with_what_became_of_them(
    program: Program, desk: Desk, settled: Callable[[], None], field: Desk, tmp_path: Path
) -> None:
    facts = {"actor": "Office", "at": CLOCK.now(), "today": TODAY}
    offer(program, lambda _path: None)
    write_pack(desk.register, tmp_path / "two.fieldpack", sites=["YARD"], holder="Kay", expires_on=TODAY, **facts)
    merge_file(desk.register, tmp_path / "yard.fieldwork", **facts)
    program.frame.go("firm", "packs")
    program.frame.front.refresh()
    settled()
    front = program.frame.front
    assert isinstance(front, FirmPage)
    section = front.front
    assert isinstance(section, PacksSection)
    lines = [(line.row.holder, line.state, back_words(line.row)) for line in section.shelf.rows]
    assert lines == [("Kay", "Out", "nothing yet"), ("Asha Pell", "Came back", "1 done, 3 left")]
    assert section.about.text() == "1 pack out"
    with desk.read() as connection:
        states = [row.state(TODAY + timedelta(days=1)) for row in packs_made(connection)]
    assert states == ["expired", "came-back"]
    assert field.faults() == ()

"""The weekly reading of all there is: in a quiet moment alone, giving way to whoever asks, with what was found said."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from register.services.copying import copy_now, folder_beside
from register.services.looking_after import last_check
from register.services.overview import overview
from register.store.kept_copies import copies_in
from tests.desk import Desk
from tests.ui.conftest import CLOCK, TODAY
from tests.ui.keys import Keys, keys
from ui.asking.put_back import PutBackDialog
from ui.firm.care import CareSection
from ui.firm.page import FirmPage
from ui.looking_after import QUIET_MS, LookingAfter

__all__ = ["keys"]


def looking(keys: Keys) -> LookingAfter:
    (found,) = keys.program.frame.findChildren(LookingAfter)
    return found


def quiet_for(keys: Keys, times: int) -> None:
    """Let it be quiet for so many times five minutes."""
    keys.settle()
    for _time in range(times):
        looking(keys).quiet.timeout.emit()
        keys.waits(lambda: not keys.program.jobs._open)  # what gives way included


def read(keys: Keys) -> None:
    """Let it be quiet until it was read: whatever the window asks of itself a moment later puts that off."""
    for _time in range(20):
        quiet_for(keys, 1)
        if looking(keys).quiet.interval() == QUIET_MS:
            return
    pytest.fail("it was not read")


def checked(desk: Desk) -> bool:
    with desk.read() as connection:
        return last_check(connection) is not None


def care_of(keys: Keys) -> CareSection:
    keys.program.frame.go("firm", "care")
    keys.settle()
    page = keys.program.frame.front
    assert isinstance(page, FirmPage)
    assert isinstance(page.front, CareSection)
    return page.front


def test_it_is_read_once_nothing_is_asked_after_opening_and_then_once_a_week(keys: Keys, desk: Desk) -> None:
    copy_now(desk.register, CLOCK.now())
    keys.start(Path(desk.register.path or ""))
    quiet_for(keys, 1)
    assert not checked(desk), "it was just opened, which asked for much"
    read(keys)
    assert checked(desk)
    assert care_of(keys).checked.said.text().startswith("All was well, checked 24 Nov 2026")
    assert not keys.program.frame.banner.isVisible()
    keys.settle()
    quiet_for(keys, 1)
    asked = keys.program.jobs.asked
    quiet_for(keys, 1)
    assert keys.program.jobs.asked <= asked + 1, "whether it is due is all that was asked"


def test_a_large_one_is_read_in_its_weekly_moment_alone(
    keys: Keys, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("register.services.looking_after.SOON_READ", 0)
    copy_now(desk.register, CLOCK.now())
    keys.start(Path(desk.register.path or ""))
    read(keys)
    assert not checked(desk)
    for _time in range(20):
        if not checked(desk):
            quiet_for(keys, 1)
    assert checked(desk)


def test_it_gives_way_to_whatever_is_asked_and_begins_anew(
    keys: Keys, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun_and_held(keys, desk, monkeypatch)
    answers: list[object] = []
    keys.program.jobs.ask(lambda connection: overview(connection, TODAY), answers.append)
    keys.waits(lambda: bool(answers))
    monkeypatch.undo()
    assert not checked(desk)
    assert keys.messages.failures == []
    read(keys)
    assert checked(desk)


def test_whoever_cancels_it_is_not_asked_to_wait_again(keys: Keys, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    begun_and_held(keys, desk, monkeypatch)
    keys.program.jobs.cancel()
    keys.waits(lambda: not keys.program.jobs._open)
    monkeypatch.undo()
    quiet_for(keys, 4)
    assert not checked(desk)
    assert keys.messages.failures == []


def begun_and_held(keys: Keys, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the reading begin, and go on until it is told to stop."""
    copy_now(desk.register, CLOCK.now())
    keys.start(Path(desk.register.path or ""))
    begun: list[None] = []
    monkeypatch.setattr("register.services.looking_after.check", held_until_stopped(begun))
    for _time in range(20):
        if not begun:
            quiet_for(keys, 0)
            looking(keys).quiet.timeout.emit()
            keys.waits(lambda: bool(begun) or not keys.program.jobs._open)
    assert begun


def held_until_stopped(begun: list[None]) -> Callable[[object], object]:
    """Return a check that goes on until it is told to stop."""

    def check(_connection: object) -> object:
        from register.stopping import go_on

        begun.append(None)
        while True:
            go_on()

    return check


def test_what_is_wrong_is_said_above_the_pages_from_then_on_with_the_way_to_the_care_of_it(
    keys: Keys, desk: Desk
) -> None:
    copy_now(desk.register, CLOCK.now())
    path = Path(desk.register.path or "")
    data = bytearray(path.read_bytes())
    data[data.rindex(b"Owner of ")] ^= 1
    path.write_bytes(data)
    keys.start(path)
    read(keys)
    keys.waits(lambda: isinstance(QApplication.activeModalWidget(), PutBackDialog))
    dialog = keys.dialog
    assert isinstance(dialog, PutBackDialog)
    assert dialog.done_button.text().startswith("Put back the copy of 24 Nov 2026, ")
    said = keys.says(dialog)
    assert "The check of 24 Nov 2026 found that 1 thing is wrong in this register. The " in said
    assert "Nothing would be lost" in said
    keys.key(Qt.Key.Key_Escape)
    banner = keys.program.frame.banner
    assert banner.isVisible()
    banner.other.click()
    keys.settle()
    care = care_of(keys)
    assert care.isVisible()
    assert care.checked.said.text().startswith("1 thing is wrong, checked 24 Nov 2026")
    assert care.faults.isVisible()
    keys.opening.close()
    QApplication.processEvents()
    keys.start(path)
    read(keys)
    assert keys.program.frame.banner.isVisible(), "until it is mended it is said whenever it is opened"
    assert QApplication.activeModalWidget() is None, "what is known is not asked about again"


def test_the_copy_is_put_back_by_one_key_where_a_bit_turned_over(keys: Keys, desk: Desk, path: Path) -> None:
    copy_now(desk.register, CLOCK.now())
    whole = path.read_bytes()
    data = bytearray(whole)
    data[data.rindex(b"Owner of ")] ^= 1
    path.write_bytes(data)
    keys.start(path)
    read(keys)
    keys.waits(lambda: isinstance(QApplication.activeModalWidget(), PutBackDialog))
    keys.alt(Qt.Key.Key_P)
    keys.waits(lambda: bool(keys.messages.told) and "is in its place" in keys.messages.told[-1])
    keys.settle()
    assert desk.faults() == ()
    (aside,) = path.parent.glob("own-set-aside-*.register")
    assert aside.read_bytes() == bytes(data)
    assert not keys.program.frame.banner.isVisible()


def test_a_copy_that_bits_turned_over_in_is_found_and_another_made(keys: Keys, desk: Desk, path: Path) -> None:
    (made,) = copy_now(desk.register, CLOCK.now()).copies
    data = bytearray(made.path.read_bytes())
    data[40_960:45_056] = bytes(each ^ 0x55 for each in data[40_960:45_056])
    made.path.write_bytes(data)
    keys.start(path)
    read(keys)
    assert keys.messages.told[-1] == (
        f"{made.path.name} was found damaged, so it is no copy any more. A new one was made."
    )
    assert len(copies_in(folder_beside(path), "own")) == 2


def test_after_a_program_that_was_cut_off_even_a_large_one_is_read_in_the_first_quiet_moment(
    keys: Keys, desk: Desk, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy_now(desk.register, CLOCK.now())
    monkeypatch.setattr("register.services.looking_after.SOON_READ", 0)
    keys.start(path)
    read(keys)
    keys.opening.close()
    path.with_name("own.register.open.json").write_text("{}", encoding="utf-8")
    keys.start(path)
    read(keys)
    assert checked(desk)

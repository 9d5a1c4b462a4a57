"""Copies that nobody has to think of, and what the status line says of them."""

from pathlib import Path

from PySide6.QtCore import Qt

from register.services.copying import copy_now, folder_beside
from register.services.settings import set_setting
from resources import RESOURCES
from tests.desk import Desk
from tests.ui.conftest import CLOCK
from tests.ui.keys import CTRL, Keys, keys
from ui.safekeeping import Safekeeping

__all__ = ["keys"]

SAMPLES = RESOURCES.parent / "sample_sites"


def safety(keys: Keys) -> str:
    keys.settle()
    return keys.program.frame.status._safety.text()


def half_an_hour_later(keys: Keys) -> None:
    (keeping,) = keys.program.frame.findChildren(Safekeeping)
    keeping.again.timeout.emit()
    keys.settle()


def copies(path: Path) -> list[str]:
    return sorted(each.name for each in folder_beside(path).glob("*.register"))


def test_what_changed_is_copied_after_half_an_hour_and_what_did_not_is_not(keys: Keys, desk: Desk, path: Path) -> None:
    keys.start(path)
    assert safety(keys) == "No copy yet"
    half_an_hour_later(keys)
    assert len(copies(path)) == 1
    assert safety(keys).startswith("Last good copy 24 Nov 2026, ")
    half_an_hour_later(keys)
    assert len(copies(path)) == 1
    desk.item("RR-9")
    half_an_hour_later(keys)
    assert len(copies(path)) == 2
    assert safety(keys).endswith(", on this disk only")
    assert "takes both" in keys.program.frame.status._safety.toolTip()


def test_closing_copies_what_changed(keys: Keys, desk: Desk, path: Path) -> None:
    keys.start(path)
    assert desk.faults() == ()
    keys.opening.close()
    assert len(copies(path)) == 1


def test_a_copy_on_another_disk_is_all_that_is_asked(keys: Keys, desk: Desk, path: Path, stick: Path) -> None:
    with desk.change() as change:
        set_setting(change, "copies_folder", str(stick))
    copy_now(desk.register, CLOCK.now())
    keys.start(path)
    assert safety(keys).startswith("Last good copy 24 Nov 2026, ")
    assert not safety(keys).endswith("only")


def test_a_place_for_copies_that_is_gone_is_said(keys: Keys, desk: Desk, path: Path, tmp_path: Path) -> None:
    with desk.change() as change:
        set_setting(change, "copies_folder", str(tmp_path / "gone"))
    keys.start(path)
    half_an_hour_later(keys)
    assert keys.messages.told == [
        f"The folder {tmp_path / 'gone'} is not there, so no copy was made. Connect its drive or choose another."
    ]
    assert keys.messages.failures == []


def test_a_copy_is_made_before_a_spreadsheet_is_taken_in(keys: Keys, desk: Desk, path: Path) -> None:
    assert desk.faults() == ()
    keys.start(path)
    keys.messages.files = [SAMPLES / "brackwater-boatyard.xlsx"]
    keys.key(Qt.Key.Key_I, CTRL)
    keys.reach("Site")
    keys.key(Qt.Key.Key_End)
    keys.fill(Code="BOAT", Name="Brackwater Boatyard", Owner="Boatyard Ltd")
    keys.key(Qt.Key.Key_Tab)
    keys.alt(Qt.Key.Key_T)
    assert "new items" in keys.messages.told[-1]
    assert copies(path) == ["own-2026-11-24-090000Z-before-import.register"]
    assert safety(keys).startswith("Last good copy 24 Nov 2026, ")

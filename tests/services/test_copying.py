"""Copies as the register lives: where they go, when one is due, how safe the register is; and putting one back."""

from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from register.errors import Refused
from register.services import copying
from register.services.copying import Safety, copy_if_changed, copy_now, copy_places, folder_beside, safety
from register.services.putting_back import known_copies, newest_good, put_back
from register.services.settings import set_setting
from register.store.engine import open_register
from register.store.lock import InUse, hold
from tests.desk import Desk
from tests.registers import TODAY

NOW = datetime(2026, 11, 24, 8, 15, tzinfo=UTC)


@pytest.fixture(autouse=True)
def site(desk: Desk) -> str:
    """Enter a site, so that the register holds something."""
    return desk.site()


def name_folder(desk: Desk, folder: Path, which: str = "copies_folder") -> None:
    with desk.change() as change:
        set_setting(change, which, str(folder))


def test_copies_go_beside_the_register_until_another_folder_is_named(desk: Desk, path: Path, tmp_path: Path) -> None:
    with desk.read() as connection:
        assert copy_places(connection) == [folder_beside(path)]
    assert [each.path.parent.name for each in copy_now(desk.register, NOW).copies] == ["Copies of own"]
    stick, other = tmp_path / "stick", tmp_path / "other"
    stick.mkdir()
    name_folder(desk, stick)
    name_folder(desk, other, "second_copies_folder")
    made = copy_now(desk.register, NOW, before="before-merge")
    assert [each.path for each in made.copies] == [stick / "own-2026-11-24-081500Z-before-merge.register"]
    (fault,) = made.faults
    assert fault == f"The folder {other} is not there, so no copy was made. Connect its drive or choose another."


def test_a_copy_is_made_only_where_something_changed_since(desk: Desk, path: Path, tmp_path: Path) -> None:
    assert copy_if_changed(desk.register, NOW) is not None
    assert copy_if_changed(desk.register, NOW + timedelta(hours=1)) is None
    desk.item("S-1")
    made = copy_if_changed(desk.register, NOW + timedelta(hours=2))
    assert made is not None
    assert len(known_copies(path)) == 2
    name_folder(desk, tmp_path / "gone")
    made = copy_if_changed(desk.register, NOW + timedelta(hours=3))
    assert made is not None
    assert len(made.faults) == 1


def test_a_copy_that_can_not_be_read_counts_as_none(desk: Desk, path: Path) -> None:
    made = copy_now(desk.register, NOW)
    made.copies[0].path.write_bytes(b"spoilt")
    assert copy_if_changed(desk.register, NOW + timedelta(hours=1)) is not None
    assert next(each.path.name for each in known_copies(path)) == "own-2026-11-24-091500Z.register"


def test_how_safe_the_register_is_is_said_in_words(
    desk: Desk, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def said(now: datetime = NOW) -> tuple[str, bool]:
        with desk.read() as connection:
            found = safety(connection, now)
        assert found is not None
        return found.words, found.calm

    assert said() == ("No copy of this register yet.", False)
    stick = tmp_path / "stick"
    stick.mkdir()
    name_folder(desk, stick)
    copy_now(desk.register, NOW)
    assert said() == ("No copy on another disk: a fault of this one takes both.", False)
    monkeypatch.setattr(copying, "_on_another_disk", lambda folder, _path: folder == stick)
    assert said() == ("Copied to another disk.", True)
    assert said(NOW + timedelta(days=9)) == ("The last copy on another disk is 9 days old.", False)
    assert path.exists()


def test_a_copy_that_was_cut_short_anywhere_is_not_counted_and_is_named(desk: Desk) -> None:
    def found() -> Safety:
        with desk.read() as connection:
            said = safety(connection, NOW)
        assert said is not None
        return said

    (older,) = copy_now(desk.register, NOW - timedelta(hours=1)).copies
    (copy,) = copy_now(desk.register, NOW).copies
    whole = copy.path.read_bytes()
    first = found().newest
    assert first is not None
    assert first.path == copy.path
    for part in range(20):
        copy.path.write_bytes(whole[: len(whole) * part // 20])
        left = found()
        assert left.newest is not None
        assert left.newest.path == older.path
        assert left.words.startswith(f"{copy.path.name} was cut short, so it is no copy any more. ")
        assert not left.calm
    older.path.unlink()
    assert found().newest is None


def test_a_register_is_put_back_and_its_history_tells_of_it(desk: Desk, path: Path) -> None:
    copy_now(desk.register, NOW)
    desk.item("S-1")
    desk.register.close()
    found = newest_good(path)
    assert found is not None
    done = put_back(path, found.copy, actor="Kim Ferro", at=NOW, today=TODAY)
    assert done.lost == 2  # the area and the item
    with closing(open_register(path)) as register:
        again = Desk(register, TODAY)
        assert again.events()[-1] == "register:restore"
        with pytest.raises(Refused):
            again.id("S-1")


def test_a_register_that_a_window_has_open_is_not_put_back(desk: Desk, path: Path) -> None:
    copy_now(desk.register, NOW)
    found = newest_good(path)
    assert found is not None
    held = hold(path, "Robin", NOW)
    with pytest.raises(InUse, match="is open already, by Robin"):
        put_back(path, found.copy, actor="Kim Ferro", at=NOW, today=TODAY)
    held.release()


def test_copies_of_a_register_that_can_not_be_read_are_looked_for_beside_it(desk: Desk, path: Path) -> None:
    copy_now(desk.register, NOW)
    desk.register.close()
    path.write_bytes(b"nothing that is a register")
    assert [each.path.name for each in known_copies(path)] == ["own-2026-11-24-081500Z.register"]

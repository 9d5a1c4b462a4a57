"""Photos of what was taken out of service: real pictures alone, kept once, checked, undone with the withdrawal."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.errors import Refused
from register.services.photos import MOST, add_photo, photos_of
from register.services.pictures import LARGEST, picture_of
from register.services.undo import Steps
from register.store.engine import Register
from register.store.photos import Photo, WithdrawalPhoto
from tests.desk import Desk
from tests.pictures import PLACE, jpeg, png, with_place


@pytest.fixture
def yard(register: Register) -> Desk:
    desk = Desk(register)
    desk.site()
    desk.item("P1")
    return desk


def shown(desk: Desk, tag: str = "P1") -> list[bytes]:
    with desk.read() as connection:
        return [each.content for each in photos_of(connection, desk.id(tag))]


@pytest.mark.parametrize(("content", "form"), [(jpeg(), "jpeg"), (png(), "png")])
def test_a_picture_is_known_by_its_content(content: bytes, form: str) -> None:
    found = picture_of(content)
    assert (found.form, found.width > 0, found.height > 0) == (form, True, True)
    assert picture_of(found.content) == found, "nothing more is taken away"


def test_where_and_by_whom_it_was_taken_is_not_kept() -> None:
    assert PLACE not in picture_of(with_place(jpeg())).content
    assert PLACE not in picture_of(png(extra=PLACE)).content
    assert picture_of(with_place(jpeg())).content == picture_of(jpeg()).content


@pytest.mark.parametrize(
    "content",
    [
        b"", b"GIF89a", b"\xff\xd8\xff", b"\xff\xd8\xff\xe0\0", jpeg()[:-2], jpeg()[:200], png()[:-1], png()[:20],
        png().replace(b"IHDR", b"IHDX"), b"\x89PNG\r\n\x1a\n", png()[:40] + b"x" + png()[41:], png(0, 4),
        b"%PDF-1.7" + jpeg(),
    ],
)  # fmt: skip
def test_what_is_no_whole_picture_is_refused(content: bytes) -> None:
    with pytest.raises(Refused, match="no whole JPEG or PNG picture"):
        picture_of(content)


def test_too_large_a_picture_is_refused_before_it_is_looked_at() -> None:
    with pytest.raises(Refused, match=r"has 1\.1 MB; at most 1 MB is kept"):
        picture_of(b"\xff" * (LARGEST + 100_000))
    with pytest.raises(Refused, match="pixels, more than 12 million"):
        picture_of(png(60_000, 300))


def test_a_withdrawal_keeps_its_photo_and_the_history_its_digest(yard: Desk) -> None:
    yard.withdraw("P1", photo=with_place(jpeg()))
    assert shown(yard) == [picture_of(jpeg()).content]
    assert yard.events()[-1] == "photo:add"
    with yard.read() as connection:
        digest = connection.execute(sa.select(Photo.sha256)).scalar_one()
        said = connection.exec_driver_sql("SELECT data FROM event WHERE name = 'photo:add'").scalar_one()
    assert digest in said
    assert yard.faults() == ()


def test_a_withdrawal_that_is_refused_keeps_no_photo(yard: Desk) -> None:
    with pytest.raises(Refused, match="no whole"):
        yard.withdraw("P1", photo=b"not a picture")
    assert (shown(yard), yard.withdrawals()) == ([], [])


def test_the_same_photo_is_kept_once_and_only_so_many(yard: Desk) -> None:
    yard.withdraw("P1", photo=jpeg())
    yard.withdraw("P1", photo=jpeg())
    assert len(shown(yard)) == 1
    for number in range(1, MOST):
        yard.withdraw("P1", photo=jpeg(40 + number))
    with pytest.raises(Refused, match="the most that are kept"):
        yard.withdraw("P1", photo=png())
    assert len(shown(yard)) == MOST


def test_one_picture_of_two_items_is_kept_once(yard: Desk) -> None:
    yard.item("P2")
    yard.withdraw("P1", photo=jpeg())
    yard.withdraw("P2", number="OUT-2", photo=jpeg())
    assert shown(yard) == shown(yard, "P2")
    with yard.read() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(Photo)).scalar_one() == 1


def test_undo_takes_the_photo_off_and_redo_brings_it_back(yard: Desk) -> None:
    steps = Steps()
    yard.register.watch(steps)
    yard.withdraw("P1", photo=jpeg())
    with yard.change() as change:
        steps.undo(change)
    assert shown(yard) == []
    with yard.change() as change:
        steps.redo(change)
    assert len(shown(yard)) == 1
    assert yard.faults() == ()


def test_a_kept_picture_is_never_changed_nor_removed(yard: Desk, path: Path) -> None:
    yard.withdraw("P1", photo=jpeg())
    with closing(sqlite3.connect(path)) as raw:
        for deed in ("UPDATE photo SET picture = x'00'", "DELETE FROM photo"):
            with pytest.raises(sqlite3.IntegrityError, match="only ever added to"):
                raw.execute(deed)


def test_a_picture_that_was_changed_from_outside_is_found(yard: Desk, path: Path) -> None:
    yard.withdraw("P1", photo=jpeg())
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("DROP TRIGGER photo_no_update")
        raw.execute("UPDATE photo SET picture = x'00'")
        raw.commit()
    assert any("is not the picture that was kept" in fault for fault in yard.faults())


def test_a_photo_is_added_by_itself_too(yard: Desk) -> None:
    yard.withdraw("P1")
    (out,) = yard.withdrawals()
    with yard.change() as change:
        add_photo(change, out.id, png())
        assert change.session.scalars(sa.select(WithdrawalPhoto.item_id)).all() == [yard.id("P1")]

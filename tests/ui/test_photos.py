"""A photo with a withdrawal: chosen, made smaller, refused without loss, and shown wherever the item is out."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from register.errors import Refused
from register.services.photos import photos_of
from register.services.pictures import picture_of
from register.services.repairs import Repair, repaired
from tests.desk import Desk
from tests.pictures import PLACE, jpeg, png, with_place
from tests.ui.conftest import RecordedMessages
from tests.ui.reader import ALT, Reader
from ui.asking.photo import ENOUGH, LONGEST_SIDE, scaled
from ui.asking.photo_view import PhotoDialog
from ui.asking.withdraw import WithdrawDialog
from ui.program import Program
from ui.register_page.kept_parts import PhotoView
from ui.withdrawn.page import WithdrawnPage


@pytest.fixture
def reader(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> Reader:
    """Somebody at the register's page."""
    return Reader(qtbot, program, desk, settled)


def photo_file(folder: Path, width: int = 3_000, height: int = 2_000) -> Path:
    """A large picture that says where it was taken."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor("#7a4a2b"))
    path = folder / "IMG_2041.jpg"
    image.save(str(path))
    path.write_bytes(with_place(path.read_bytes()))
    return path


def asked(reader: Reader) -> WithdrawDialog:
    reader.choose("RR-2")
    dialog = reader.ask("item.withdraw", WithdrawDialog)
    assert isinstance(dialog, WithdrawDialog)
    return dialog


def choose(reader: Reader, dialog: WithdrawDialog) -> None:
    dialog.photo.choose.setFocus()
    QTest.keyClick(dialog.photo.choose, Qt.Key.Key_Space)
    reader.qtbot.waitUntil(lambda: not dialog.photo.reading)
    reader.settle()


def test_a_photo_goes_with_a_withdrawal_and_stands_on_the_card(
    reader: Reader, messages: RecordedMessages, tmp_path: Path
) -> None:
    dialog = asked(reader)
    messages.files = [photo_file(tmp_path)]
    choose(reader, dialog)
    QTest.keyClicks(dialog.number, "OUT-7")
    reader.confirm(dialog, Qt.Key.Key_W, ALT)
    with reader.desk.read() as connection:
        (kept,) = photos_of(connection, reader.desk.id("RR-2"))
    assert PLACE not in kept.content
    assert len(kept.content) <= ENOUGH
    assert picture_of(kept.content).width == LONGEST_SIDE
    reader.choose("RR-2")
    reader.qtbot.waitUntil(lambda: len(reader.page.card.findChildren(PhotoView)) == 1)
    assert "photo by" in reader.page.card.findChildren(PhotoView)[0].accessibleName()


def test_a_file_that_is_no_photo_or_too_large_is_refused_and_the_typing_stays(
    reader: Reader, messages: RecordedMessages, tmp_path: Path
) -> None:
    dialog = asked(reader)
    QTest.keyClicks(dialog.number, "OUT-7")
    dialog.note.setPlainText("Pin scorched")
    large, letter = tmp_path / "film.jpg", tmp_path / "letter.jpg"
    with large.open("wb") as file:
        file.truncate(200_000_000)
    letter.write_bytes(b"Dear owner,")
    messages.files = [large]
    choose(reader, dialog)
    assert dialog.photo_field.complaint == "“film.jpg” has 200 MB; a photo has at most 25 MB. Choose a smaller one."
    messages.files = [letter]
    choose(reader, dialog)
    assert dialog.photo_field.complaint.startswith("“letter.jpg” is no whole JPEG or PNG picture")
    messages.files = [tmp_path / "nowhere.jpg"]
    choose(reader, dialog)
    assert "There is no file “nowhere.jpg”" in dialog.photo_field.complaint
    assert (dialog.number.text(), dialog.note.toPlainText()) == ("OUT-7", "Pin scorched")
    reader.confirm(dialog, Qt.Key.Key_W, ALT)
    assert reader.desk.answer("RR-2").withdrawn is not None


def test_a_photo_can_be_left_out_again(reader: Reader, messages: RecordedMessages, tmp_path: Path) -> None:
    dialog = asked(reader)
    messages.files = [photo_file(tmp_path, 400, 300)]
    choose(reader, dialog)
    assert dialog.photo.content
    QTest.keyClick(dialog.photo.leave_out, Qt.Key.Key_Space)
    assert dialog.photo.content == b""
    assert dialog.photo.focusWidget() is dialog.photo.choose or dialog.photo.choose.hasFocus()


def test_a_dialog_that_is_left_while_a_photo_is_read_is_gone(
    reader: Reader, messages: RecordedMessages, tmp_path: Path
) -> None:
    dialog = asked(reader)
    messages.files = [photo_file(tmp_path)]
    QTest.keyClick(dialog.photo.choose, Qt.Key.Key_Space)
    assert dialog.photo.reading
    dialog.reject()
    reader.qtbot.waitUntil(lambda: not isValid(dialog))
    reader.settle()
    assert messages.failures == []


@pytest.mark.parametrize("content", [jpeg()[:-40], png()[:50], b"", b"GIF89a"])
def test_what_breaks_off_is_no_photo(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "broken.png"
    path.write_bytes(content)
    with pytest.raises(Refused, match=r"“broken\.png” is no whole JPEG or PNG picture"):
        scaled(path)


def test_a_picture_of_too_many_pixels_is_not_decoded(tmp_path: Path) -> None:
    path = tmp_path / "bomb.png"
    path.write_bytes(png(60_000, 1_200))
    with pytest.raises(Refused, match="more than 60 million"):
        scaled(path)


def test_withdrawn_shows_the_photo_below_the_list_and_puts_it_into_the_notice(
    program: Program, desk: Desk, settled: Callable[[], None], messages: RecordedMessages, tmp_path: Path
) -> None:
    desk.withdraw("RR-2", number="OUT-2", photo=jpeg(400, 300), detail="Pin scorched")
    desk.withdraw("RR-4", number="OUT-4")
    program.frame.go("withdrawn", desk.id("RR-2"))
    settled()
    page = program.frame.front
    assert isinstance(page, WithdrawnPage)
    assert page._photos.isVisible()
    assert [each.isVisible() for each in page._photos.pictures] == [True, False, False, False]
    plain, shown = tmp_path / "plain.pdf", tmp_path / "shown.pdf"
    messages.files = [shown]
    page.deeds.print_notice()
    settled()
    page._view.select_item(desk.id("RR-4"))
    settled()
    assert not page._photos.isVisible()
    messages.files = [plain]
    page.deeds.print_notice()
    settled()
    assert b"/Subtype /Image" in shown.read_bytes()
    assert b"/Subtype /Image" not in plain.read_bytes()


def test_a_photo_opens_as_large_as_the_window_and_at_its_own_size(
    program: Program, desk: Desk, settled: Callable[[], None], qtbot: QtBot
) -> None:
    desk.withdraw("RR-2", number="OUT-2", photo=jpeg(1_600, 1_200), detail="Pin scorched")
    program.frame.resize(1024, 600)
    program.frame.go("withdrawn", desk.id("RR-2"))
    settled()
    page = program.frame.front
    assert isinstance(page, WithdrawnPage)
    QTest.keyClick(page._photos.pictures[0], Qt.Key.Key_Return)
    settled()
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, PhotoDialog)
    assert dialog.windowTitle() == "Photo 1 of RR-2"
    pane = dialog.pane
    assert pane.hasFocus()
    assert dialog.height() <= program.frame.height()
    assert pane.width() > 2 * page._photos.pictures[0].width()
    whole = pane.grab().toImage()
    QTest.keyClick(dialog, Qt.Key.Key_S, ALT)
    qtbot.waitUntil(lambda: pane.own)
    middle = QPointF((1_600 - pane.width()) / 2, (1_200 - pane.height()) / 2)
    assert (pane.corner - middle).manhattanLength() < 2
    for _step in range(30):
        QTest.keyClick(pane, Qt.Key.Key_Left)
    assert pane.corner.x() == 0
    QTest.mouseClick(pane, Qt.MouseButton.LeftButton)
    assert not pane.own
    assert pane.grab().toImage() == whole
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    settled()
    assert QApplication.activeModalWidget() is None


def test_the_card_tells_repairs_and_earlier_photos(reader: Reader) -> None:
    reader.desk.on(date(2026, 11, 1)).withdraw("RR-2", number="OUT-2", photo=jpeg(400, 300))
    with reader.desk.change() as change:
        repaired(change, reader.desk.id("RR-2"), Repair(date(2026, 11, 5), "Bay Electrics", "plug replaced"))
    reader.program.jobs.changed.emit()
    reader.choose("RR-2")
    reader.settle()
    card = reader.page.card
    reader.qtbot.waitUntil(lambda: "Repairs" in [label.text() for label in card.findChildren(QLabel)])
    said = " ".join(label.text() for label in card.findChildren(QLabel))
    assert len(card.findChildren(PhotoView)) == 1
    assert "Repairs" in said

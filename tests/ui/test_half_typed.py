"""What is half-typed survives the death of the program, is offered again, and is gone once it is saved."""

import signal
import subprocess
import sys
import time
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.domain.records import Place
from register.domain.words import Check
from register.services.settings import begin
from tests.desk import Desk
from tests.ui.conftest import CLOCK, RecordedMessages, let_go, settle
from tests.ui.hand import Hand
from ui.pages import MAKERS
from ui.program import Program, assemble
from ui.settings import HALF_TYPED as FILE

FIRST = Place(Check.TRIP_TIME, 1, 0, Decimal(1))
TYPING = """
import sys
from pathlib import Path
from PySide6.QtTest import QTest
from register.store.engine import open_register
from tests.ui.conftest import CLOCK, RecordedMessages
from ui.pages import MAKERS
from ui.program import assemble
from ui.window import application

app = application()
folder = Path(sys.argv[2])
register = open_register(Path(sys.argv[1]))
made = assemble(register, CLOCK, MAKERS, actor="Asha", messages=RecordedMessages(), folder=folder)
made.frame.show()
made.frame.go("bench")
page = made.frame.front
page.box.scanned.emit("RR-1")
while page.session.item is None:
    app.processEvents()
page.sheet.look.tick_all()
cell = next(iter(page.sheet.readings.cells.values()))
QTest.keyClicks(cell.entry, "28.4")
print("typed", flush=True)
app.exec()
"""


@pytest.fixture
def known(desk: Desk) -> Desk:
    with desk.change() as change:
        begin(change, firm="Bayside Tagging")
    return desk


def started(qtbot: QtBot, desk: Desk, folder: Path, messages: RecordedMessages) -> Program:
    """The program with its first page in front."""
    made = assemble(desk.register, CLOCK, MAKERS, actor="Asha Pell", messages=messages, folder=folder)
    qtbot.addWidget(made.frame, before_close_func=lambda _frame: let_go(made.jobs))
    made.frame.resize(1440, 900)
    made.frame.go("horizon")
    made.frame.show()
    settle(qtbot, made.jobs)
    return made


def opened(qtbot: QtBot, desk: Desk, folder: Path, messages: RecordedMessages) -> Hand:
    """The program, started anew on the register."""
    made = started(qtbot, desk, folder, messages)
    return Hand(qtbot, made, lambda: settle(qtbot, made.jobs))


def test_a_killed_program_offers_again_what_was_half_typed(
    qtbot: QtBot, known: Desk, path: Path, tmp_path: Path, messages: RecordedMessages
) -> None:
    folder = tmp_path / "memory"
    top = Path(__file__).parents[2]
    running = subprocess.Popen(
        [sys.executable, "-c", TYPING, str(path), str(folder)], cwd=top, stdout=subprocess.PIPE, text=True
    )
    assert running.stdout is not None
    assert running.stdout.readline() == "typed\n"
    until = time.monotonic() + 60
    while not (folder / FILE).exists() or "28.4" not in (folder / FILE).read_text(encoding="utf-8"):
        assert time.monotonic() < until
        time.sleep(0.05)
    running.send_signal(signal.SIGKILL)
    running.wait()
    running.stdout.close()
    made = started(qtbot, known, folder, messages)
    assert {page.key for page in made.frame.pages} == {"horizon", "bench"}
    qtbot.waitUntil(lambda: made.frame.offer.said.startswith("RR-1 was half-typed at the bench"))
    assert made.frame.offer.isVisible()
    QTest.keyClick(made.frame, Qt.Key.Key_G, Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(lambda: made.frame.front.key == "bench")
    hand = Hand(qtbot, made, lambda: settle(qtbot, made.jobs))
    assert not made.frame.offer.isVisible()
    assert hand.text(FIRST) == "28.4"
    assert hand.page.session.sheet.look_result is not None
    hand.page.sheet.crew.instrument.setEditText("VT-2")
    hand.save()
    assert known.answer("RR-1").last is not None
    assert not (folder / FILE).exists()


def test_what_was_half_typed_can_be_dropped(
    qtbot: QtBot, known: Desk, tmp_path: Path, messages: RecordedMessages
) -> None:
    first = opened(qtbot, known, tmp_path, messages)
    first.scan("RR-4")
    first.tick_all()
    first.page.drafts.write()
    assert (tmp_path / FILE).exists()
    second = opened(qtbot, known, tmp_path, messages)
    offer = second.program.frame.offer
    qtbot.waitUntil(lambda: "RR-4 was half-typed" in offer.said)
    second.key(Qt.Key.Key_X, Qt.KeyboardModifier.AltModifier)
    assert not offer.isVisible()
    assert not (tmp_path / FILE).exists()
    assert second.page.session.waiting == 0


def test_nothing_is_offered_any_more_once_its_tag_is_scanned(
    qtbot: QtBot, known: Desk, tmp_path: Path, messages: RecordedMessages
) -> None:
    first = opened(qtbot, known, tmp_path, messages)
    first.scan("RR-4")
    first.tick_all()
    first.page.drafts.write()
    second = opened(qtbot, known, tmp_path, messages)
    qtbot.waitUntil(second.program.frame.offer.isVisible)
    second.scan("RR-4")
    assert not second.program.frame.offer.isVisible()
    assert second.page.session.begun


def test_a_correction_that_was_half_typed_goes_on_as_one(
    qtbot: QtBot, known: Desk, tmp_path: Path, messages: RecordedMessages
) -> None:
    record = known.test("RR-4", readings=(), duties=())
    first = opened(qtbot, known, tmp_path, messages)
    first.page.correcting.begin(record.id)
    first.settle()
    QTest.keyClicks(first.focus, ">100")
    first.page.drafts.write()
    second = opened(qtbot, known, tmp_path, messages)
    qtbot.waitUntil(second.program.frame.offer.isVisible)
    second.key(Qt.Key.Key_G, Qt.KeyboardModifier.AltModifier)
    item = second.page.session.item
    assert item is not None
    assert item.corrects is not None
    assert item.corrects.record_id == record.id
    assert second.page.session.begun


def test_closing_asks_nothing_where_the_typing_is_kept_for_the_next_start(
    qtbot: QtBot, known: Desk, tmp_path: Path, messages: RecordedMessages
) -> None:
    hand = opened(qtbot, known, tmp_path, messages)
    hand.scan("RR-4")
    hand.tick_all()
    assert hand.page.unsaved() == ""
    assert "RR-4" in (tmp_path / FILE).read_text(encoding="utf-8")


def test_closing_asks_where_it_can_not_be_kept(
    qtbot: QtBot, known: Desk, tmp_path: Path, messages: RecordedMessages
) -> None:
    hand = opened(qtbot, known, tmp_path, messages)
    hand.scan("RR-4")
    hand.tick_all()
    (tmp_path / FILE).unlink(missing_ok=True)
    (tmp_path / FILE).mkdir()
    assert "RR-4 is not saved and would be lost" in hand.page.unsaved()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"x": 1}', "\0"])
def test_a_file_that_can_not_be_read_offers_nothing(
    qtbot: QtBot, known: Desk, tmp_path: Path, messages: RecordedMessages, text: str
) -> None:
    (tmp_path / FILE).write_text(text, encoding="utf-8")
    hand = opened(qtbot, known, tmp_path, messages)
    assert not hand.program.frame.offer.isVisible()
    assert messages.failures == []

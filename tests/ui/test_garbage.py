"""Widgets that nothing holds any more are taken apart on the window's thread, never on the register's worker."""

import gc
import threading

from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from ui.garbage import Garbage, collector
from ui.program import Program
from ui.window import application


class Widget(QObject):
    """An object of the window that says on which thread it ends."""

    def __init__(self, ended: list[str]) -> None:
        super().__init__()
        self.ended = ended

    def __del__(self) -> None:
        self.ended.append(threading.current_thread().name)


def test_windows_of_tests_leave_garbage_to_their_thread_as_those_of_the_program_do(program: Program) -> None:
    assert program.frame.isVisible()
    assert not gc.isenabled()


def test_a_worker_that_makes_many_objects_takes_no_widgets_apart(qtbot: QtBot) -> None:
    application()
    assert not gc.isenabled()
    ended: list[str] = []
    ring: list[object] = [Widget(ended)]
    ring.append(ring)
    del ring
    made: list[list[int]] = []
    worker = threading.Thread(target=lambda: made.extend([number] for number in range(200_000)), name="register_0")
    worker.start()
    worker.join()
    assert ended == []
    qtbot.waitUntil(lambda: ended == ["MainThread"])


def test_there_is_one_collector_however_often_the_program_is_dressed() -> None:
    for _ in range(2):
        assert len(application().findChildren(Garbage)) == 1


def test_nothing_is_collected_while_the_program_is_fetched() -> None:
    garbage = collector(application())
    garbage.wait()
    assert not garbage.busy
    garbage.begin()
    assert garbage.busy

"""Work away from the window's thread: its answer comes back there, and none once it was closed."""

import threading
from concurrent.futures import Future

from pytestqt.qtbot import QtBot

from ui.away import Away


def test_what_came_of_it_is_told_on_the_windows_thread_one_after_the_other(qtbot: QtBot) -> None:
    away, told = Away("errand"), list[tuple[str, str]]()

    def tell(done: Future[str]) -> None:
        told.append((done.result(), threading.current_thread().name))

    away.run(lambda: threading.current_thread().name, tell)
    away.run(lambda: "second", tell)
    qtbot.waitUntil(lambda: len(told) == 2)
    assert told == [("errand_0", "MainThread"), ("second", "MainThread")]
    away.close()


def test_what_was_raised_comes_along(qtbot: QtBot) -> None:
    away, told = Away("errand"), list[BaseException | None]()

    def fail() -> None:
        raise KeyError("tag")

    away.run(fail, lambda done: told.append(done.exception()))
    qtbot.waitUntil(lambda: bool(told))
    assert isinstance(told[0], KeyError)
    away.close()


def test_nobody_is_told_once_it_was_closed(qtbot: QtBot) -> None:
    away, told, go = Away("errand"), list[object](), threading.Event()
    away.run(lambda: go.wait(20), told.append)
    go.set()
    away.close()
    away.run(lambda: True, told.append)
    other = Away("other")
    other.run(lambda: True, told.append)
    qtbot.waitUntil(lambda: bool(told))
    assert len(told) == 1
    other.close()

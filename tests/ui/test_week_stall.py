"""The window stays at hand while a large week is planned and bent: no turn of its thread takes long.

What is measured is the thread's own time at the processor, which others at work on the machine hardly touch, against
that of a fixed piece of work, so that a slower machine is allowed more.
"""

from collections.abc import Callable
from time import thread_time

import pytest
from PySide6.QtWidgets import QApplication

from register.planning.planned import plan
from register.planning.week_rows import PlannedWeek
from tests.planning.weeks import made_up
from tests.ui.conftest import RecordedMessages
from ui.program import Program
from ui.week.page import WeekPage

MOST_SECONDS = 0.05
FIXED_SECONDS = 0.006
"""What the fixed piece of work takes on the machine of docs/speed.md."""


@pytest.fixture(scope="module")
def large() -> PlannedWeek:
    """A first plan of 100 sites for 3 vans."""
    return plan(made_up(100, 1, 3), effort=0)


@pytest.fixture
def page(program: Program, settled: Callable[[], None]) -> WeekPage:
    """The page in front, of the size of a usual screen."""
    program.frame.resize(1440, 900)
    program.frame.go("week")
    settled()
    found = program.frame.front
    assert isinstance(found, WeekPage)
    return found


def spent(deed: Callable[[], object]) -> float:
    """Return the thread's own seconds for a deed."""
    start = thread_time()
    deed()
    return thread_time() - start


def allowed() -> float:
    """Return the seconds that are allowed here."""
    fixed = min(spent(lambda: sum(number * number % 7 for number in range(110_000))) for _again in range(3))
    return MOST_SECONDS * max(1.0, fixed / FIXED_SECONDS)


def turns(deed: Callable[[], object]) -> float:
    """Return the longest of the turns that a deed takes: its own, and those of drawing what it changed."""
    return max(spent(deed), *(spent(QApplication.processEvents) for _turn in range(3)))


def test_a_plan_that_is_found_is_shown_without_a_stall(page: WeekPage, large: PlannedWeek) -> None:
    page.monday = large.draft.asked.monday
    took = min(turns(lambda: page.planner.found.emit(large, True)) for _again in range(4))  # noqa: FBT003 - a signal's
    assert len(page.sheet.cards) == len(large.days)
    assert sum(map(len, page.sheet.cards)) > 50
    assert took < allowed()


def test_a_stop_is_moved_and_put_back_without_a_stall(
    page: WeekPage, large: PlannedWeek, messages: RecordedMessages
) -> None:
    page.monday = large.draft.asked.monday
    page.planner.found.emit(large, True)  # noqa: FBT003 - a signal's
    stop, last = large.stops[0], large.days[-1]

    def move() -> None:
        page.sheet.moved.emit(stop.key, last.day, last.van, None)

    took = []
    for _again in range(4):
        took.append(turns(move))
        assert page.week is not None
        assert next(each for each in page.week.stops if each.key == stop.key).day == last.day
        took.append(turns(page._undo))
        assert next(each for each in page.week.stops if each.key == stop.key).day == stop.day
    assert min(took[::2]) < allowed()
    assert min(took[1::2]) < allowed()
    assert messages.failures == []

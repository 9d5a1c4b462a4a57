"""Every page and every dialog has room for the words of a language that needs two fifths more of it.

What is painted, such as heads of tables, rows and chips, is looked at as well as what widgets say.
"""

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Final

import pytest
from PySide6.QtCore import QSize
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from register.domain.words import Result
from register.planning.kept_settings import PlanSettings
from register.planning.travel import Place
from register.services.places import known_site
from register.services.week.plan_settings import keep_plan_settings
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from tests.desk import Desk
from tests.ui.conftest import come_to_rest
from tests.ui.dialogs import OPENERS, Opener
from tests.ui.longer import lengthen, longer
from tests.ui.painted import Painted, watched
from tests.ui.test_every_dialog import has_room, show
from ui.actions import PAGES
from ui.asking.dialog import Dialog
from ui.firm.page import SECTIONS
from ui.program import Program

USUAL, SMALL = (1440, 900), (1024, 600)
NAMES: Final = frozenset({
    "YARD", "Yard of the bay", "Owner of YARD", "Slipway", "Loft", "Switch of two", "Switch of one", "Lead of 10 m",
    "Angle grinder", "Asha Pell", "Tester of switches", "Van 1",
})  # fmt: skip
"""What the users of the small register typed; no other language makes it longer."""

pytestmark = [pytest.mark.long, pytest.mark.qt_log_ignore("This plugin does not support")]


@pytest.fixture
def painted(monkeypatch: pytest.MonkeyPatch) -> Iterator[Painted]:
    """What is painted, in longer words from before the window is made."""
    with watched(monkeypatch, longer, NAMES) as seen:
        yield seen


@pytest.fixture(params=[USUAL, SMALL], ids=["usual", "small"])
def opener(
    request: pytest.FixtureRequest,
    painted: Painted,
    qtbot: QtBot,
    program: Program,
    desk: Desk,
    settled: Callable[[], None],
    tmp_path: Path,
) -> Opener:
    """Somebody who opens dialogs in a window of the usual size, and in the smallest."""
    painted.lines.clear()
    program.frame.resize(*request.param)
    settled()
    return Opener(qtbot, program, desk, settled, tmp_path)


def holds_longer_words(opener: Opener, painted: Painted, window: QWidget) -> None:
    """Say everything in longer words, and hold that nothing of it is cut."""
    lengthen(window)
    if isinstance(window, Dialog):
        window.fit()
    else:  # what is left out where room is short is chosen as the window gets its size
        size = window.size()
        window.resize(size + QSize(60, 0))
        opener.settled()
        window.resize(size)
    opener.settled()
    has_room(opener, window, 1)
    assert painted.look_at(window) == []


@pytest.mark.parametrize("name", OPENERS)
def test_a_dialog_has_room_for_longer_words(opener: Opener, painted: Painted, name: str) -> None:
    dialog = opener.open(name)
    holds_longer_words(opener, painted, dialog)
    dialog.reject()


def holds_on_a_page(opener: Opener, painted: Painted, page: str, section: str = "") -> None:
    frame = show(opener, page)
    if section:
        opener.program.frame.front.show_wanted(section)
    come_to_rest(opener.qtbot, opener.program)  # the card of an item comes a moment after its list
    holds_longer_words(opener, painted, frame)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_has_room_for_longer_words(opener: Opener, painted: Painted, page: str) -> None:
    holds_on_a_page(opener, painted, page)


@pytest.mark.parametrize("section", [each.key for each in SECTIONS])
def test_a_section_of_the_firm_has_room_for_longer_words(opener: Opener, painted: Painted, section: str) -> None:
    holds_on_a_page(opener, painted, "firm", section)


@pytest.mark.parametrize("page", ["register", "withdrawn", "horizon"])
def test_a_failed_item_has_room_for_longer_words(opener: Opener, painted: Painted, page: str) -> None:
    opener.desk.test("RR-1", date(2026, 5, 20))
    opener.desk.test("RR-1", date(2026, 11, 20), look=Result.FAIL)
    opener.desk.withdraw("RR-1")
    holds_on_a_page(opener, painted, page)


def test_a_planned_week_has_room_for_longer_words(opener: Opener, painted: Painted) -> None:
    with opener.desk.change() as change:
        keep_plan_settings(change, PlanSettings(base=Place(-37.9, 148.6)))
        keep_van(change, VanFacts("Van 1"))
        keep_visiting(change, known_site(change.session.connection(), "YARD"), Visiting("-37.95, 148.70"))
    opener.program.jobs.changed.emit()
    holds_on_a_page(opener, painted, "week")

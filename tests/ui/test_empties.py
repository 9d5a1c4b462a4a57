"""Where there is nothing to see yet, what is shown says so and names the next step."""

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QAbstractButton, QLabel, QWidget

from register.store.engine import Register
from tests.desk import Desk
from tests.ui.conftest import TODAY, RecordedMessages
from ui.firm.page import FirmPage
from ui.program import Program

Settled = Callable[[], None]


@pytest.fixture
def desk(register: Register) -> Desk:
    """A register in which nothing stands yet."""
    return Desk(register, TODAY)


@pytest.fixture(autouse=True)
def _spreadsheets(program: Program, messages: RecordedMessages) -> None:
    """Let spreadsheets be taken in, as the whole program does."""
    program.frame.deeds.offer("sheet.take-in", lambda: messages.tell("Taking in."))


def words(widget: QWidget) -> list[str]:
    """What can be read."""
    return [each.text() for each in widget.findChildren(QLabel) if each.isVisible()]


def usable(widget: QWidget) -> list[str]:
    """What can be pressed."""
    return [each.text() for each in widget.findChildren(QAbstractButton) if each.isVisible() and each.isEnabled()]


def check(widget: QWidget, said: str, step: str) -> None:
    assert any(said in each for each in words(widget)), words(widget)
    assert any(step in each for each in usable(widget)), usable(widget)


@pytest.mark.parametrize(
    ("page", "said", "step"),
    [
        ("horizon", "This register has no items yet", "Take in a spreadsheet"),
        ("register", "This register has no items yet", "Take in a spreadsheet"),
        ("register", "This register has no items yet", "Add an item"),
        ("week", "No van yet", "Add a van"),
        ("bench", "Nothing is on the bench", "Choose an item from the register"),
        ("withdrawn", "Nothing is withdrawn", "Take in a spreadsheet"),
    ],
)
def test_an_empty_page_says_so_and_has_a_button_for_the_next_step(
    program: Program, settled: Settled, page: str, said: str, step: str
) -> None:
    program.frame.go(page)
    settled()
    check(program.frame.front, said, step)


@pytest.mark.parametrize(
    ("section", "said", "step"),
    [
        ("sites", "No site yet", "Add a site…"),
        ("people", "No tester yet", "Add a tester…"),
        ("people", "No instrument yet", "Add an instrument…"),
        ("tags", "No range yet", "Add a range…"),
        ("packs", "No field pack yet", "Make a field pack…"),
        ("care", "No copy yet", "Make a copy now"),
    ],
)
def test_an_empty_section_of_the_firm_says_so_and_has_a_button_for_the_next_step(
    program: Program, settled: Settled, section: str, said: str, step: str
) -> None:
    program.frame.go("firm")
    page = program.frame.front
    assert isinstance(page, FirmPage)
    page.show_section([each.key for each in page.sections].index(section))
    settled()
    check(page, said, step)


def test_with_items_in_the_register_nothing_withdrawn_leads_to_them(
    program: Program, desk: Desk, settled: Settled
) -> None:
    desk.site()
    desk.item("RR-1")
    program.frame.go("withdrawn")
    program.frame.front.refresh()
    settled()
    check(program.frame.front, "Nothing is withdrawn", "Find an item")
    assert "Take in a spreadsheet…" not in usable(program.frame.front)


def test_a_due_list_of_nothing_is_said_to_be_that(
    program: Program, messages: RecordedMessages, settled: Settled
) -> None:
    program.frame.go("horizon")
    settled()
    program.frame.deeds.do("due.list")
    assert messages.told[-1] == "Nothing falls due in the weeks shown. All items are on the page Register."

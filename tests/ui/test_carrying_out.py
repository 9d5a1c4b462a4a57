"""What a dialog asks of the register: a refusal is said in it, a fault of the program where all faults are said."""

from collections.abc import Callable

import pytest
from pytestqt.qtbot import QtBot

from register.errors import Refused
from tests.ui.conftest import RecordedMessages
from tests.ui.reader import words_of
from ui.asking.carrying_out import carry_out
from ui.asking.dialog import Dialog
from ui.program import Program


def refuse(_change: object) -> str:
    raise Refused("It has a tag already. Give another number.")


def fall_over(_change: object) -> str:
    raise KeyError("tag")


@pytest.fixture
def dialog(program: Program, qtbot: QtBot) -> Dialog:
    made = Dialog(program.frame, "Give a tag")
    made.answers(leave="Leave it", verb="Give it", key="Ctrl+Return", deed=lambda: None)
    qtbot.addWidget(made)
    made.open()
    return made


def test_a_refusal_is_said_in_the_dialog_which_stays(
    program: Program, dialog: Dialog, messages: RecordedMessages, settled: Callable[[], None]
) -> None:
    done: list[str] = []
    carry_out(program.desk, dialog, refuse, done.append)
    settled()
    assert "Give another number." in words_of(dialog)
    assert dialog.isVisible()
    assert (done, messages.failures) == ([], [])


@pytest.mark.parametrize("asked", [True, False])
def test_a_fault_is_never_taken_for_a_refusal(
    program: Program, dialog: Dialog, messages: RecordedMessages, settled: Callable[[], None], *, asked: bool
) -> None:
    carry_out(program.desk, dialog if asked else None, fall_over, lambda _done: None)
    settled()
    assert [type(each) for each in messages.failures] == [KeyError]
    assert "'tag'" not in words_of(dialog)

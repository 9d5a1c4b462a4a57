"""A register that an earlier version made: what is going to happen to it, what is under way, and the way out."""

from collections.abc import Callable
from typing import Final

from PySide6.QtWidgets import QWidget

from ui.asking.dialog import Block, Dialog
from ui.look.theme import colours
from ui.look.widgets import Words

STEPS: Final = (
    "It is copied as it is, and the copy is checked to be whole.",
    "Its tables are laid out for this version, in one step: all of it or nothing.",
    "It is held against the copy. If anything that you entered were missing, all would stay as it is.",
)


class BringUpDialog(Dialog):
    """Says what bringing a register up to date does, and that there is a way back; `deed` does it. Alt+B, Esc."""

    def __init__(self, window: QWidget, name: str, deed: Callable[[], None]) -> None:
        super().__init__(window, "Bring the register up to date")
        said = f"{name} was made by an earlier version of this program. Before you can work in it here:"
        self.body.addWidget(Words(said, 13, 400, "ink", wrap=True))
        self._steps = [Words("", 13, 400, wrap=True) for _step in STEPS]
        for line in self._steps:
            self.body.addWidget(line)
        more = "The earlier version opens the copy, should you want to go back. Or leave it, and nothing is changed."
        self.body.addWidget(Block("again", lambda: colours().soon, "ink", "The copy is kept for a year.", more))
        self.answers(leave="Leave it", verb="Bring it up to date", key="Alt+B", deed=deed)
        self.show_step(-1)

    def show_step(self, under_way: int) -> None:
        """Show which of the steps is under way; -1 before the first one."""
        for number, (line, said) in enumerate(zip(self._steps, STEPS, strict=True)):
            where = "  Done." if number < under_way else "  Under way…" if number == under_way else ""
            line.say(f"{number + 1}.  {said}{where}", "ink" if number == under_way else "ink2")
        self.fit()

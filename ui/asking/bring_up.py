"""A register that an earlier version made: what is going to happen to it, what is under way, and the way out."""

from collections.abc import Callable
from pathlib import Path
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
INTO_A_FILE: Final = "It is copied as it is into a file in {folder}, and the copy is checked to be whole."
ON_A_SERVER: Final = "It is held against what was there. If anything were missing, all would stay as it is."
WAIT: Final = "Do it when nobody works in it: until it is done, nobody else can save anything."


class BringUpDialog(Dialog):
    """Says what bringing a register up to date does, and that there is a way back; `deed` does it. Alt+B, Esc.

    `folder` is where the copy of one on a server goes.
    """

    def __init__(self, window: QWidget, name: str, deed: Callable[[], None], folder: Path | None = None) -> None:
        super().__init__(window, "Bring the register up to date")
        said = f"{name} was made by an earlier version of this program. Before you can work in it here:"
        self.body.addWidget(Words(said, 13, 400, "ink", wrap=True))
        self._said = STEPS if folder is None else (INTO_A_FILE.format(folder=folder), STEPS[1], ON_A_SERVER)
        self._steps = [Words("", 13, 400, wrap=True) for _step in self._said]
        for line in self._steps:
            self.body.addWidget(line)
        more = "The earlier version opens the copy, should you want to go back. Or leave it, and nothing is changed."
        if folder is not None:
            more = f"{more} {WAIT}"
        self.body.addWidget(Block("again", lambda: colours().soon, "ink", "The copy is kept for a year.", more))
        self.answers(leave="Leave it", verb="Bring it up to date", key="Alt+B", deed=deed)
        self.show_step(-1)

    def show_step(self, under_way: int) -> None:
        """Show which of the steps is under way; -1 before the first one."""
        for number, (line, said) in enumerate(zip(self._steps, self._said, strict=True)):
            where = "  Done." if number < under_way else "  Under way…" if number == under_way else ""
            line.say(f"{number + 1}.  {said}{where}", "ink" if number == under_way else "ink2")
        self.fit()

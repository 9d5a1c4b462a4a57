"""The drives that the user knows: chosen as a sheet, looked at, and kept in place of an estimate."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QWidget

from register.domain.words import counted
from register.exchange.week.distances import DrivesRead
from register.planning.travel import Leg, Pair
from ui.asking.dialog import Dialog
from ui.look.widgets import Words, button

WIDE: Final = 640
MOST_SHOWN: Final = 8
HOW: Final = (
    "Without them a drive is the straight line over the globe times the road factor. A sheet of yours is better: rows"
    " headed from, to, km, minutes, or a square with site codes in its first line and column and km or minutes in its"
    " corner. The base is called BASE."
)


class DrivesDialog(Dialog):
    """Asks for a sheet and shows what it holds. `choose` lets a file be chosen and `read` reads it.

    `read` hands what it finds to `show_read`; `deed` gets the drives to be kept, none where they are to be forgotten.
    """

    def __init__(
        self, window: QWidget, known: int, choose: Callable[[], Path | None], read: Callable[[Path], None],
        deed: Callable[[dict[Pair, Leg]], None],
    ) -> None:  # fmt: skip
        super().__init__(window, "Drives you know", wide=WIDE)
        self._choose, self._read, self._deed = choose, read, deed
        self._found: DrivesRead | None = None
        at_present = f"{counted(known, 'drive')} of yours." if known else "None of yours yet."
        self.body.addWidget(Words(at_present, 13, 600))
        self.body.addWidget(Words(HOW, 13, 400, "ink2", wrap=True))
        self.pick, self.forget = button("Choose a sheet…"), button("Forget them")
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.pick)
        row.addWidget(self.forget)
        row.addStretch(1)
        self.body.addLayout(row)
        self.found, self.wrong = Words("", 13, 400, wrap=True), Words("", 12, 400, "overdue", wrap=True)
        for words in (self.found, self.wrong):
            words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            self.body.addWidget(words)
            words.hide()
        self.forget.setEnabled(bool(known))
        self.keep = self.answers(leave="Leave it", verb="Keep them", key="Ctrl+Return", deed=self._keep)
        self.keep.setEnabled(False)
        self.pick.clicked.connect(self._pick)
        self.forget.clicked.connect(lambda: self._deed({}))
        self.pick.setFocus()

    def _pick(self) -> None:
        path = self._choose()
        if path is not None:
            self.complain("")
            self._read(path)

    def show_read(self, found: DrivesRead) -> None:
        """Show what a sheet holds, and what of it is not taken."""
        if self.gone:
            return
        self._found = found
        self.found.say("\n".join(found.lines))
        more = len(found.wrong) - MOST_SHOWN
        told = [*map(str, found.wrong[:MOST_SHOWN]), *([f"{more:,} more like these."] if more > 0 else [])]
        self.wrong.say("\n".join(told))
        self.found.show()
        self.wrong.setVisible(bool(told))
        self.keep.setEnabled(True)
        self.fit()

    def not_read(self, error: Exception) -> bool:
        """Say why a sheet can't be read, and let go of the one before; False where that is a fault of the program."""
        self._found = None
        self.keep.setEnabled(False)
        self.found.hide()
        self.wrong.hide()
        return self.refused(error)

    def _keep(self) -> None:
        if self._found is not None:
            self._deed(self._found.legs)

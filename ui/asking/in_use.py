"""A register that another window has open: who has it, since when, and the two ways on."""

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from register.store.lock import Holder
from ui.asking.dialog import Block, Dialog
from ui.dates import shown, shown_time
from ui.look.theme import colours


class InUseDialog(Dialog):
    """Offers to look at the register only (`look`, Alt+L) or to choose another one (`other`, Esc)."""

    def __init__(
        self, window: QWidget, name: str, holder: Holder | None, look: Callable[[], None], other: Callable[[], None]
    ) -> None:
        super().__init__(window, f"{name} is open already")
        self._look = look
        more = (
            "Two windows that change one register would get in each other's way. Here you can look at it, export and"
            " print; to change it, close it there and open it again."
        )
        self.body.addWidget(Block("open", lambda: colours().soon, "ink", held_by(holder), more))
        self.answers(leave="Choose another", verb="Look at it only", key="Alt+L", deed=self._chosen)
        self.rejected.connect(other)

    def _chosen(self) -> None:
        self.accept()
        self._look()


def held_by(holder: Holder | None) -> str:
    """Say in a sentence who has a register open, and since when."""
    if holder is None:
        return "Another window has it open."
    since = holder.since.astimezone()
    return f"{holder.user} has it open on {holder.host}, since {shown(since.date())}, {shown_time(since)}."

"""Putting a copy in the place of a register: which one, and what would be lost by it."""

from collections.abc import Callable, Sequence
from typing import Final

from PySide6.QtWidgets import QWidget

from register.domain.words import counted
from register.services.putting_back import WayBack
from register.store.kept_copies import KeptCopy
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field, Picked
from ui.dates import shown, shown_time
from ui.look.theme import colours
from ui.look.widgets import Words

_KEPT: Final = "The file that is there now is kept beside it, under another name."
_EARLIER: Final = " The copy was made by an earlier version of the program; it is brought up to date as it is put back."


class PutBackDialog(Dialog):
    """Offers the copies of a register, the newest good one first; `deed` gets the one that is chosen. Alt+P, Esc."""

    def __init__(
        self, window: QWidget, name: str, why: str, ways: Sequence[WayBack], deed: Callable[[KeptCopy], None]
    ) -> None:
        super().__init__(window, f"Put a copy of {name} back", wide=680)
        self._deed = deed
        self.copies = Picked([(way, f"{copy_time(way.copy)}{_before(way.copy)}") for way in ways])
        self._lost = Block("again", lambda: colours().soon, "ink")
        self.body.addWidget(Words(why, 13, 400, "ink", wrap=True))
        self.body.addWidget(Field("Copy", self.copies, "The newest one that was read whole and is good stands first."))
        self.body.addWidget(self._lost)
        self.done_button = self.answers(leave="Leave it", verb="Put back", key="Alt+P", deed=self._put_back)
        self.copies.currentIndexChanged.connect(self._show)
        self._show()

    def _show(self) -> None:
        way = self.copies.chosen
        assert isinstance(way, WayBack)
        self._lost.say(_lost(way), f"{_KEPT}{_EARLIER if way.earlier else ''}")
        self.done_button.setText(f"Put back the copy of {copy_time(way.copy)}   Alt P")
        self.done_button.setShortcut("Alt+P")  # a button forgets its key with its words
        self.fit()

    def _put_back(self) -> None:
        way = self.copies.chosen
        assert isinstance(way, WayBack)
        self.accept()
        self._deed(way.copy)


def copy_time(copy: KeptCopy) -> str:
    """Return when a copy was made, as it is shown: "23 Nov 2026, 18:05"."""
    local = copy.at.astimezone()
    return f"{shown(local.date())}, {shown_time(local)}"


def _before(copy: KeptCopy) -> str:
    return f", {copy.before.replace('-', ' ')}" if copy.before else ""


def _lost(way: WayBack) -> str:
    """Say what putting a copy back would lose."""
    if way.lost is None:
        return "What was entered after this copy would have to be entered again."
    if way.lost == 0:
        return "Nothing would be lost: the copy holds all that the register holds."
    changes = counted(way.lost, "change was", "changes were")
    return f"{changes} made after this copy, and would have to be made again."

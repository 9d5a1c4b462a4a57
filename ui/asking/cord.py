"""One question: whether the detachable cord of an item is to be an item of its own."""

from collections.abc import Callable
from functools import partial
from typing import Final

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_tag
from register.services.before_withdrawing import Withdrawing, withdrawing
from register.services.cords import Cord, add_cord
from ui.asking.carrying_out import Asking
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field, beside
from ui.asking.reading import needed, right
from ui.look.theme import colours
from ui.look.typeface import font
from ui.page import Desk

SAID: Final = "A detachable cord and its appliance each carry a tag of their own."
MORE: Final = "It is entered in the same place as a cord set, with dates of its own, and must pass before it is used."
FAULT: Final = "The cord is taken out of service too; with another cord the appliance is tested anew."


class CordDialog(Dialog):
    """Asks for the cord's tag, and for its out-of-service tag where it is at fault; `deed` gets both. Alt+A adds it."""

    def __init__(
        self, window: QWidget, about: Withdrawing, deed: Callable[[str, str], None], *, at_fault: bool = False
    ) -> None:
        super().__init__(window, "Add its detachable cord as an item")
        self._deed, self._fault = deed, at_fault
        self.about(about.tag, about.description, about.place)
        self.tag, self.out = QLineEdit(), QLineEdit(about.next_number if at_fault else "")
        for line in (self.tag, self.out):
            line.setFont(font(15, 500, code=True))
        self.tag_field = Field("Tag of the cord", self.tag, "Scan it or type its number.")
        self.out_field = Field("Its out-of-service tag", self.out, "Next on the roll; scan to change it.")
        if at_fault:
            self.body.addLayout(beside(self.tag_field, self.out_field))
        else:
            self.body.addWidget(self.tag_field)
        self.body.addWidget(Block("again", lambda: colours().soon, "ink", SAID, FAULT if at_fault else MORE))
        self.answers(leave="Don't add it", verb="Add the cord", key="Alt+A", deed=self._add, hint="Enter is off here.")
        self.tag.setFocus()

    def _add(self) -> None:
        tag = right(self.tag_field, clean_tag)
        if not tag:
            return
        out = ""
        if self._fault:
            out = right(self.out_field, needed("Scan or type the number of the cord's out-of-service tag."))
            if not out:
                return
        self._deed(tag, out)


class CordDeed(Asking):
    """Asks the question of an item and does what is answered; `after` is called once that is over, either way."""

    def __init__(
        self, parent: QObject, desk: Desk, window: Callable[[], QWidget], after: Callable[[], None] = lambda: None
    ) -> None:
        super().__init__(parent, desk)
        self._window, self._after = window, after

    def ask(self, item_id: str, *, at_fault: bool) -> None:
        """Open the question, unless the item has no such cord, or its cord is an item already."""
        today = self._desk.jobs.today
        self._desk.jobs.ask(partial(withdrawing, item_id=item_id, today=today), partial(self._ask, at_fault))

    def _ask(self, at_fault: bool, about: Withdrawing) -> None:  # noqa: FBT001 - bound when it is asked
        if not about.cord.possible:
            self._after()
            return
        self._open(CordDialog(self._window(), about, partial(self._add, about.item_id), at_fault=at_fault))

    def _add(self, item_id: str, tag: str, out: str) -> None:
        self._change(lambda change: add_cord(change, item_id, tag, out=out), self._added)

    def _added(self, cord: Cord) -> None:
        state = f"out of service, tag {cord.out}" if cord.out else "to be tested before it is used"
        self._done(f"The cord {cord.tag} is added, {state}.")

    def _closed(self, _how: int) -> None:
        super()._closed(_how)
        self._after()

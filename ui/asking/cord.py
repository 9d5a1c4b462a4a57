"""One question: whether the detachable cord of an item is to be an item of its own."""

from collections.abc import Callable
from functools import partial
from typing import Final

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_tag, clean_text
from register.errors import Refused
from register.services.cords import Cord, add_cord
from register.services.withdrawing import Withdrawing, withdrawing
from ui.asking.carrying_out import carry_out
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field, beside
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
        try:
            tag = clean_tag(self.tag.text())
        except Refused as why:
            self.tag_field.complain(str(why))
            self.tag.setFocus()
            return
        self.tag_field.complain("")
        out = clean_text(self.out.text())
        if self._fault and not out:
            self.out_field.complain("Scan or type the number of the cord's out-of-service tag.")
            self.out.setFocus()
            return
        self._deed(tag, out)


class CordDeed(QObject):
    """Asks the question of an item and does what is answered; `after` is called once that is over, either way."""

    def __init__(
        self, parent: QObject, desk: Desk, window: Callable[[], QWidget], after: Callable[[], None] = lambda: None
    ) -> None:
        super().__init__(parent)
        self._desk, self._window, self._after = desk, window, after
        self.dialog: CordDialog | None = None

    def ask(self, item_id: str, *, at_fault: bool) -> None:
        """Open the question, unless the item has no such cord, or its cord is an item already."""
        today = self._desk.jobs.today
        self._desk.jobs.ask(partial(withdrawing, item_id=item_id, today=today), partial(self._open, at_fault))

    def _open(self, at_fault: bool, about: Withdrawing) -> None:  # noqa: FBT001 - bound when it is asked
        if not about.cord.possible:
            self._after()
            return
        self.dialog = CordDialog(self._window(), about, partial(self._add, about.item_id), at_fault=at_fault)
        self.dialog.finished.connect(self._closed)
        self.dialog.open()

    def _add(self, item_id: str, tag: str, out: str) -> None:
        carry_out(self._desk, self.dialog, lambda change: add_cord(change, item_id, tag, out=out), self._added)

    def _added(self, cord: Cord) -> None:
        state = f"out of service, tag {cord.out}" if cord.out else "to be tested before it is used"
        self._desk.messages.tell(f"The cord {cord.tag} is added, {state}.")
        if self.dialog is not None:
            self.dialog.accept()

    def _closed(self, _how: int) -> None:
        self.dialog = None
        self._after()

"""Replacing an item by another: which tag and serial number the other has, and what becomes of both."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_tag, clean_text
from register.domain.words import Standing
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field, beside
from ui.asking.reading import right
from ui.look.theme import colours, standing_tone
from ui.look.tick import Tick
from ui.look.typeface import font


@dataclass(frozen=True, slots=True)
class About:
    """The item that a dialog is about, as its head shows it."""

    item_id: str
    tag: str
    description: str
    place: str


@dataclass(frozen=True, slots=True)
class Other:
    """The item that takes the place: its tag, its serial number, and whether it is new."""

    tag: str
    serial: str
    new: bool


class ReplaceDialog(Dialog):
    """Asks for the other item; `deed` gets it. Alt+R confirms, Esc leaves."""

    def __init__(self, window: QWidget, about: About, deed: Callable[[Other], None]) -> None:
        super().__init__(window, "Replace this item by another")
        self._deed = deed
        self.about(about.tag, about.description, about.place)
        self.tag, self.serial = QLineEdit(), QLineEdit()
        self.tag.setFont(font(15, 500, code=True))
        self.new = Tick("The other is new: looked over, not yet tested")
        self.tag_field = Field("Tag of the other", self.tag, "Scan it or type its number.")
        self.body.addLayout(beside(self.tag_field, Field("Its serial number", self.serial)))
        self.body.addWidget(self.new)
        gone, stays = f"{about.tag} leaves every list and plan for good.", "Its records and tags stay in the register."
        self.body.addWidget(Block("gone", lambda: standing_tone(Standing.REMOVED), "ink", gone, stays))
        takes = "The other takes its place: same kind, description and rating. Each names the other on its card."
        untested = "It has no test yet, so it must pass before use, unless it is new and the rulebook lets it."
        self.body.addWidget(Block("again", lambda: colours().soon, "ink", takes, untested))
        self.answers(leave="Keep it", verb="Replace", key="Alt+R", deed=self._replace, hint="Enter is off here.")
        self.tag.setFocus()

    def _replace(self) -> None:
        tag = right(self.tag_field, clean_tag)
        if tag:
            self._deed(Other(tag, clean_text(self.serial.text()), self.new.isChecked()))

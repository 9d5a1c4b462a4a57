"""Noting a repair: who did it, on which day, what was done; and that it must pass anew."""

from collections.abc import Callable
from datetime import date

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_text
from register.errors import Refused
from register.services.repairs import Repair
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field, beside
from ui.asking.replace import About
from ui.dates import shown, typed
from ui.look.theme import colours


class RepairDialog(Dialog):
    """Asks for a repair; `deed` gets it. Alt+N confirms, Esc leaves."""

    def __init__(self, window: QWidget, about: About, today: date, deed: Callable[[Repair], None]) -> None:
        super().__init__(window, "Note that it was repaired")
        self._deed = deed
        self.about(about.tag, about.description, about.place)
        self.by, self.on, self.what = QLineEdit(), QLineEdit(shown(today)), QLineEdit()
        self.by_field = Field("Repaired by", self.by, "The person or the workshop.")
        self.on_field = Field("On", self.on)
        self.what_field = Field("What was done", self.what, "Such as plug replaced.")
        self.body.addLayout(beside(self.by_field, self.on_field))
        self.body.addWidget(self.what_field)
        said = "It must pass every test anew before it is used."
        more = "This note doesn't bring it back into service. Its earlier records stay."
        self.body.addWidget(Block("again", lambda: colours().soon, "ink", said, more))
        self.answers(leave="Leave it", verb="Note it", key="Alt+N", deed=self._note, hint="Enter is off here.")
        self.by.setFocus()

    def _note(self) -> None:
        by, what, on = clean_text(self.by.text()), clean_text(self.what.text()), self._day()
        self.by_field.complain("" if by else "Say who repaired it.")
        self.what_field.complain("" if what else "Say what was done.")
        if by and what and on is not None:
            self._deed(Repair(on, by, what))
            return
        (self.by if not by else self.on if on is None else self.what).setFocus()

    def _day(self) -> date | None:
        try:
            day = typed(self.on.text())
        except Refused as why:
            self.on_field.complain(str(why))
            return None
        self.on_field.complain("")
        return day

"""A van for the week: what it is called, its hours, how many go with it, and where the day starts."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeVar

from PySide6.QtWidgets import QLineEdit, QWidget

from register.errors import Refused
from register.planning.travel import Place, place_from
from register.services.plan_settings import keep_plan_settings, plan_settings
from register.services.visiting import VanFacts, hours_from, keep_van
from register.store.engine import Change
from ui.asking.dialog import Dialog
from ui.asking.fields import Field
from ui.page import Desk

Typed = TypeVar("Typed")


@dataclass(frozen=True, slots=True)
class VanMeant:
    """The van that was typed, and the base; None leaves the base as it is."""

    facts: VanFacts
    base: Place | None


def keep_meant(change: Change, meant: VanMeant) -> str:
    """Enter the van, and the base where one was given; return the van's name."""
    keep_van(change, meant.facts)
    if meant.base is not None:
        kept = plan_settings(change.session.connection())
        keep_plan_settings(change, replace(kept, base=meant.base))
    return meant.facts.name


def ask_van(page: QWidget, desk: Desk) -> None:
    """Ask for a van and enter it."""
    dialog = VanDialog(page.window(), lambda meant: _keep(desk, dialog, meant))
    dialog.open()


def _keep(desk: Desk, dialog: "VanDialog", meant: VanMeant) -> None:
    def done(name: str) -> None:
        dialog.accept()
        desk.messages.tell(f"{name} is added.")

    desk.jobs.change(lambda change: keep_meant(change, meant), done, failed=lambda why: dialog.complain(str(why)))


class VanDialog(Dialog):
    """Asks for a van; `deed` gets it."""

    def __init__(self, window: QWidget, deed: Callable[[VanMeant], None]) -> None:
        super().__init__(window, "Add a van")
        self._deed = deed
        self.name = Field("Van", QLineEdit("Van 1"), "What it is called in the yard.")
        self.hours = Field("Hours, Monday to Friday", QLineEdit("07:30-16:00"), "From leaving to being back.")
        self.people = Field("People", QLineEdit("1"), "How many go with it. Some sites need two.")
        self.base = Field(
            "Base", QLineEdit(), "Where vans start and end, as latitude, longitude, such as -37.9, 148.6."
        )
        for field in (self.name, self.hours, self.people, self.base):
            self.body.addWidget(field)
        self.answers(leave="Leave it", verb="Add", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self.name.widget.setFocus()

    def _save(self) -> None:
        """Hand on what was typed, or say under the field what is wrong with it."""
        try:
            start, until = self._read(self.hours, hours_from)
            people = self._read(self.people, _number)
            base = self._read(self.base, place_from)
        except Refused:
            self.fit()
            return
        self._deed(VanMeant(VanFacts(_said(self.name), start, until, people), base))

    def _read(self, field: Field, reader: Callable[[str], Typed]) -> Typed:
        """Return what is typed in a field; a refusal is said below it and passed on."""
        try:
            found = reader(_said(field))
        except Refused as why:
            field.complain(str(why))
            field.widget.setFocus()
            raise
        field.complain("")
        return found


def _number(text: str) -> int:
    if not text.isascii() or not text.isdigit():
        raise Refused("Give a whole number of people, such as 1.")
    return int(text)


def _said(field: Field) -> str:
    assert isinstance(field.widget, QLineEdit)
    return field.widget.text().strip()

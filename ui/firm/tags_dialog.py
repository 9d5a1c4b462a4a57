"""A range of tag numbers, and the measures of the firm's own labels."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_text
from register.errors import Refused
from register.services.tag_stock import MEASURES, own_stock
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, beside
from ui.tags.words import millimetres


@dataclass(frozen=True, slots=True)
class RangeMeant:
    """What was typed: whose numbers they are, what stands before them, how many digits, the first and the last."""

    holder: str
    prefix: str
    digits: int
    first: int
    last: int


class RangeDialog(Dialog):
    """Asks for a range; `deed` gets the answer."""

    def __init__(self, window: QWidget, deed: Callable[[RangeMeant], None]) -> None:
        super().__init__(window, "Add a range of tag numbers")
        self._deed = deed
        self.holder = Field("Van or holder", QLineEdit(), "Who gives these numbers out, such as Van 2.")
        self.prefix = Field("Before the number", QLineEdit(), "Such as RR-. May be empty.")
        self.digits = Field("Digits", QLineEdit("6"), "With zeros in front.")
        self.first, self.last = Field("First number", QLineEdit()), Field("Last number", QLineEdit())
        self.body.addWidget(self.holder)
        self.body.addLayout(beside(self.prefix, self.digits))
        self.body.addLayout(beside(self.first, self.last))
        self.answers(
            leave="Leave it", verb="Add", key="Ctrl+Return", deed=self._add,
            hint="No number is ever in two ranges, nor used again.",
        )  # fmt: skip
        self.holder.widget.setFocus()

    def _add(self) -> None:
        numbers = [_whole(field) for field in (self.digits, self.first, self.last)]
        holder = _said(self.holder)
        self.holder.complain("" if holder else "Say whose numbers they are.")
        if not holder or None in numbers:
            return
        digits, first, last = (number or 0 for number in numbers)
        self._deed(RangeMeant(holder, _said(self.prefix), digits, first, last))


class LabelsDialog(Dialog):
    """Asks for the measures of the firm's own labels; `deed` gets them, in mm."""

    def __init__(self, window: QWidget, kept: Mapping[str, Any], deed: Callable[[dict[str, float]], None]) -> None:
        super().__init__(window, "Our own labels")
        self._deed = deed
        self.fields = {
            name: Field(label, QLineEdit(f"{kept[name]:g}" if name in kept else "")) for name, label in MEASURES
        }
        fields = list(self.fields.values())
        for one, other in zip(fields[::2], fields[1::2], strict=True):
            self.body.addLayout(beside(one, other))
        self.answers(
            leave="Leave it", verb="Save", key="Ctrl+Return", deed=self._save,
            hint="All in mm. A roll needs the label alone.",
        )  # fmt: skip
        fields[0].widget.setFocus()

    def _save(self) -> None:
        typed = {name: _said(field) for name, field in self.fields.items()}
        numbers = {name: millimetres(said) for name, said in typed.items() if said}
        for name, field in self.fields.items():
            field.complain("" if numbers.get(name, 0.0) is not None else f"“{typed[name]}” is no number.")
        given = {name: value for name, value in numbers.items() if value is not None}
        if len(given) < len(numbers):
            return
        try:
            own_stock(given)
        except Refused as why:
            self.complain(str(why))
            return
        self._deed(given)


def _said(field: Field) -> str:
    widget = field.widget
    assert isinstance(widget, QLineEdit)
    return clean_text(widget.text())


def _whole(field: Field) -> int | None:
    """Return the whole number typed, or say at the field that it is none."""
    said = _said(field)
    whole = said.isascii() and said.isdecimal() and len(said) <= len("1000000000")
    field.complain("" if whole else "Give a whole number, such as 1000.")
    return int(said) if whole else None

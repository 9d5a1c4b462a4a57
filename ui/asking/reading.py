"""Reading a form: each field by its own rule, what is wrong said below it, and the first one that is so remembered."""

from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from typing import TypeVar

from PySide6.QtWidgets import QLineEdit, QPlainTextEdit

from register.domain.text import clean_text
from register.errors import Refused
from ui.asking.fields import Field

Typed = TypeVar("Typed")


class Reading:
    """One reading of a form; `wrong` is the first field whose text can't be read."""

    def __init__(self) -> None:
        self.wrong: Field | None = None

    def of(self, field: Field, reader: Callable[[str], Typed], otherwise: Typed) -> Typed:
        """Return what is typed in a field; where it can't be read, say so below it and return the other."""
        try:
            found = reader(said(field))
        except Refused as why:
            field.complain(str(why))
            self.wrong = self.wrong or field
            return otherwise
        field.complain("")
        return found


def right(field: Field, reader: Callable[[str], str]) -> str:
    """Return what is typed in a field; empty, with the reason below it and the cursor in it, where it is wrong."""
    reading = Reading()
    found = reading.of(field, reader, "")
    if reading.wrong is not None:
        field.widget.setFocus()
    return found


def said(field: Field) -> str:
    """Return what stands in a field of one line or of several."""
    widget = field.widget
    if isinstance(widget, QPlainTextEdit):
        return widget.toPlainText().strip()
    assert isinstance(widget, QLineEdit)
    return clean_text(widget.text())


def needed(sentence: str) -> Callable[[str], str]:
    """Return what reads a text that must be there; the sentence asks for it."""

    def read(text: str) -> str:
        if not text:
            raise Refused(sentence)
        return text

    return read


def number(least: float, most: float) -> Callable[[str], float]:
    """Return what reads a number within bounds, with a point or a comma."""

    def read(text: str) -> float:
        try:
            found = float(text.replace(",", "."))
        except ValueError:
            found = float("nan")
        if not least <= found <= most:
            raise Refused(f"“{text}” does not fit here. Give a number from {least:g} to {most:g}.")
        return found

    return read


def exact(text: str, most: Decimal, wrong: Refused) -> Decimal | None:
    """Return a number above 0 to its last figure, with a point or a comma; None where nothing was typed.

    Refused as `wrong` says where it is none, or above `most`.
    """
    plain = text.strip()
    if not plain:
        return None
    try:
        value = Decimal(plain.replace(",", "."))
    except InvalidOperation:
        value = Decimal(-1)
    if not (value.is_finite() and 0 < value <= most):
        raise wrong
    return value


def whole(least: int, most: int) -> Callable[[str], int]:
    """Return what reads a whole number within bounds."""

    def read(text: str) -> int:
        if not (text.isascii() and text.isdigit() and least <= int(text) <= most):
            raise Refused(f"“{text}” does not fit here. Give a whole number from {least} to {most}.")
        return int(text)

    return read

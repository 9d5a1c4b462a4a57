"""A tester or an instrument: by what it is named, what else there is to say, and until when it counts."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_text
from register.errors import Refused
from register.services.people import InstrumentRow, TesterRow
from ui.asking.dialog import Dialog
from ui.asking.fields import Field
from ui.dates import shown, typed


@dataclass(frozen=True, slots=True)
class PersonMeant:
    """What was typed: name or serial number, licence or description, the last day; `opened` is None for a new one."""

    opened: TesterRow | InstrumentRow | None
    name: str
    more: str
    until: date | None


class KeptDialog(Dialog):
    """Asks for three things, of which the first is needed and the last is a day."""

    def __init__(
        self, window: QWidget, title: str, opened: TesterRow | InstrumentRow | None, fields: tuple[Field, Field, Field],
        deed: Callable[[PersonMeant], None], missing: str,
    ) -> None:  # fmt: skip
        super().__init__(window, title)
        self._opened, self._deed, self._missing = opened, deed, missing
        self.name_field, self.more_field, self.until_field = fields
        for field in fields:
            self.body.addWidget(field)
        self.answers(leave="Leave it", verb="Save", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self.name_field.widget.setFocus()

    def _save(self) -> None:
        name, until = _said(self.name_field), _said(self.until_field)
        self.name_field.complain("" if name else self._missing)
        day, wrong = None, ""
        try:
            day = typed(until) if until else None
        except Refused as why:
            wrong = str(why)
        self.until_field.complain(wrong)
        if not name or wrong:
            (self.until_field if name else self.name_field).widget.setFocus()
            self.fit()
            return
        self._deed(PersonMeant(self._opened, name, _said(self.more_field), day))


class TesterDialog(KeptDialog):
    """Asks for a tester."""

    def __init__(self, window: QWidget, opened: TesterRow | None, deed: Callable[[PersonMeant], None]) -> None:
        fields = (
            Field("Name", QLineEdit(opened.name if opened else ""), "As it stands on the records."),
            Field("Competence or licence", QLineEdit(opened.licence if opened else ""), "Its number, and who gave it."),
            Field("Valid until", _day(opened.expires_on if opened else None), "Its last day. Empty if it has none."),
        )
        title = "Change the tester" if opened else "Add a tester"
        super().__init__(window, title, opened, fields, deed, "Give the name that stands on the records.")


class InstrumentDialog(KeptDialog):
    """Asks for an instrument."""

    def __init__(self, window: QWidget, opened: InstrumentRow | None, deed: Callable[[PersonMeant], None]) -> None:
        fields = (
            Field("Serial number", QLineEdit(opened.serial if opened else ""), "Records name it by this."),
            Field("Instrument", QLineEdit(opened.description if opened else ""), "What it is, in your words."),
            Field(
                "Calibrated until", _day(opened.calibrated_until if opened else None),
                "The last day of its calibration. Empty if nobody knows.",
            ),
        )  # fmt: skip
        title = "Change the instrument" if opened else "Add an instrument"
        super().__init__(window, title, opened, fields, deed, "Give its serial number; records name it by that.")


def _day(day: date | None) -> QLineEdit:
    line = QLineEdit(shown(day))
    line.setPlaceholderText(f"such as {shown(date(2027, 6, 30))}")
    return line


def _said(field: Field) -> str:
    widget = field.widget
    assert isinstance(widget, QLineEdit)
    return clean_text(widget.text())

"""What the rating plate says: rated current, outlets, and the safety switch where the item is one or carries one."""

from decimal import Decimal
from typing import Final

from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from register.domain.items import MOST_OUTLETS, SAFETY_SWITCHES, WITH_OUTLETS, SafetySwitch
from register.domain.measures import plain_number
from register.domain.plate import contradiction
from register.domain.words import Delay, Kind, SwitchType, Waveform
from register.errors import Refused
from ui.asking.fields import Field, Picked, beside
from ui.asking.reading import exact
from ui.look.tick import Tick

UNKNOWN: Final = "Not known"
_MOST: Final = Decimal(100_000)


class PlateFields(QWidget):
    """The fields of the rating plate. What does not fit the kind is hidden and counts as not given."""

    def __init__(self, kind: Kind, outlets: int | None, rated_a: Decimal | None, switch: SafetySwitch | None) -> None:
        super().__init__()
        self._kind = kind
        self.outlets = QLineEdit("" if outlets is None else str(outlets))
        self.rated = QLineEdit(_number(rated_a))
        self.carries = Tick("Carries a safety switch")
        self.carries.setChecked(switch is not None)
        self.residual = QLineEdit(_number(None if switch is None else switch.rated_residual_ma))
        self.type = Picked([(None, UNKNOWN), *((each, _type_words(each)) for each in SwitchType)])
        self.delay = Picked([(Delay.GENERAL, "None"), (Delay.SELECTIVE, "Selective")])
        self.waveform = Picked([(None, UNKNOWN), *((each, each.value) for each in Waveform)])
        self.type.choose(None if switch is None else switch.type)
        self.delay.choose(Delay.GENERAL if switch is None else switch.delay)
        self.waveform.choose(None if switch is None else switch.waveform)
        self.rated_field = Field("Rated current (A)", self.rated, "Empty where the plate doesn't say.")
        self.outlets_field = Field("Outlets", self.outlets, "Those that are tested one by one.")
        self.residual_field = Field("Rated residual current (mA)", self.residual, "Empty where it can't be read.")
        self._switch = QWidget()
        self._type_field = Field("Declared type", self.type)
        self._build()
        self.carries.toggled.connect(self._arrange)
        self.show_kind(kind)

    def _build(self) -> None:
        inner = QVBoxLayout(self._switch)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(20)
        inner.addLayout(beside(self.residual_field, self._type_field))
        inner.addLayout(beside(Field("Delay", self.delay), Field("Waveform", self.waveform)))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(20)
        column.addLayout(beside(self.rated_field, self.outlets_field))
        column.addWidget(self.carries)
        column.addWidget(self._switch)

    def show_kind(self, kind: Kind) -> None:
        """Show the fields that fit another kind."""
        self._kind = kind
        self.carries.setVisible(kind not in SAFETY_SWITCHES)
        self.outlets_field.setVisible(kind in WITH_OUTLETS)
        self._arrange()

    def read(self) -> tuple[int | None, Decimal | None, SafetySwitch | None] | None:
        """Return outlets, rated current and safety switch; None where something is wrong, which is said beside it."""
        fine = True
        values: list[Decimal | None] = []
        for field, line, what in (
            (self.rated_field, self.rated, "amperes"),
            (self.residual_field, self.residual, "milliamperes"),
        ):
            try:
                values.append(_amount(line.text(), what) if field.isVisibleTo(self) else None)
                field.complain("")
            except Refused as wrong:
                field.complain(str(wrong))
                fine = False
                values.append(None)
        outlets = self._outlets()
        switch = self._read_switch(values[1])
        plate_wrong = contradiction(switch) if switch is not None and fine else ""
        if plate_wrong:
            self.residual_field.complain(f"{plate_wrong} Read the plate again.")
        if not fine or outlets == -1 or plate_wrong:
            return None
        return outlets, values[0], switch

    def _outlets(self) -> int | None:
        """Return how many outlets were given, None where none were, -1 where it can't be."""
        text = self.outlets.text().strip()
        if not text or self._kind not in WITH_OUTLETS:
            self.outlets_field.complain("")
            return None
        if not text.isascii() or not text.isdigit() or int(text) > MOST_OUTLETS:
            self.outlets_field.complain(f"“{text}” can't be. Give a whole number from 0 to {MOST_OUTLETS}.")
            return -1
        self.outlets_field.complain("")
        return int(text)

    def _read_switch(self, residual: Decimal | None) -> SafetySwitch | None:
        if not self._has_switch:
            return None
        kind, delay, waveform = self.type.chosen, self.delay.chosen, self.waveform.chosen
        return SafetySwitch(
            residual,
            kind if isinstance(kind, SwitchType) else None,
            delay if isinstance(delay, Delay) else Delay.GENERAL,
            waveform if isinstance(waveform, Waveform) else None,
        )

    @property
    def _has_switch(self) -> bool:
        return self._kind in SAFETY_SWITCHES or self.carries.isChecked()

    def _arrange(self, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - from a signal
        self._switch.setVisible(self._has_switch)


def _amount(text: str, what: str) -> Decimal | None:
    return exact(text, _MOST, Refused(f"“{text.strip()}” is no number of {what}. Write it like 10 or 0.5."))


def _number(value: Decimal | None) -> str:
    return "" if value is None else plain_number(value)


def _type_words(kind: SwitchType) -> str:
    return "IEC" if kind is SwitchType.IEC else kind.value

"""What the rating plate says, as fields filled in from the register: to be compared with the item in hand."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from register.domain.items import MOST_OUTLETS, WITH_OUTLETS, Item, LeadSize, SafetySwitch
from register.domain.leads import length_found
from register.domain.measures import plain_number
from register.domain.plate import contradiction
from register.domain.words import Delay, Kind, SwitchType, Waveform
from register.errors import Refused
from ui.asking.reading import exact
from ui.look.flow import Flow
from ui.look.typeface import px
from ui.look.widgets import PickBox, Words

LARGEST: Final = Decimal(10_000)
_TYPES: Final = (("Not known", None), *((each.value.replace("iec", "IEC"), each) for each in SwitchType))
_DELAYS: Final = (("None", Delay.GENERAL), ("Selective", Delay.SELECTIVE))
_WAVEFORMS: Final = (("Not known", None), *((each.value, each) for each in Waveform))


class Plate(QWidget):
    """The fields of the rating plate. `changed` gives the item as they say it is."""

    changed = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._item: Item | None = None
        self._rated = _field("Rated residual current, mA")
        self._type = _choice("Declared type", _TYPES)
        self._delay = _choice("Delay", _DELAYS)
        self._waveform = _choice("Waveform", _WAVEFORMS)
        self._current = _field("Rated current, A")
        self._outlets = _field("Outlets")
        self._length, self._conductor = _field("Length, m"), _field("Conductor, mm²")
        self._fault = Words("", 12, 500, "overdue", wrap=True)
        self._length_said = Words("", 12, 500, "ink2", wrap=True)
        self._pairs: list[QWidget] = []
        self._parts = (
            ("Rated, mA", self._rated), ("Type", self._type), ("Delay", self._delay), ("Waveform", self._waveform),
            ("Rated, A", self._current), ("Outlets", self._outlets), ("Length, m", self._length),
            ("Conductor, mm²", self._conductor),
        )  # fmt: skip
        fields = QWidget()
        row = Flow(fields, px(8))
        for title, field in self._parts:
            label = Words(title, 11, 500, "ink3")
            label.setBuddy(field)
            holder = QWidget()
            self._pairs.append(holder)
            pair = QVBoxLayout(holder)
            pair.setContentsMargins(0, 0, 0, 0)
            pair.setSpacing(px(2))
            pair.addWidget(label)
            pair.addWidget(field)
            row.addWidget(holder)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(px(4))
        column.addWidget(fields)
        for said in (self._fault, self._length_said):
            column.addWidget(said)
            said.hide()

    def show_item(self, item: Item) -> None:
        """Fill in what the register knows; wrong typing of before is gone."""
        self._item = item
        switch = item.safety_switch or SafetySwitch()
        _fill(self._rated, switch.rated_residual_ma)
        _fill(self._current, item.rated_current_a)
        self._outlets.setText(str(item.outlets) if item.outlets else "")
        for choice, table, value in (
            (self._type, _TYPES, switch.type), (self._delay, _DELAYS, switch.delay),
            (self._waveform, _WAVEFORMS, switch.waveform),
        ):  # fmt: skip
            choice.setCurrentIndex([each for _word, each in table].index(value))
        shown = {self._rated, self._type, self._delay, self._waveform} if item.has_switch else set()
        lead = item.lead or LeadSize()
        _fill(self._length, lead.length_m)
        _fill(self._conductor, lead.conductor_mm2)
        shown |= {self._length, self._conductor} if item.kind is Kind.EXTENSION_LEAD else set()
        shown |= {self._current} | ({self._outlets} if item.kind in WITH_OUTLETS or item.outlets else set())
        for holder, (_title, field) in zip(self._pairs, self._parts, strict=True):
            holder.setVisible(field in shown)
        self._say("")
        self._tell_length(item)

    def tell(self) -> None:
        """Take what the fields say, or say what is wrong with it and keep it."""
        if self._item is None:
            return
        try:
            item = self._read(self._item)
        except Refused as reason:
            self._say(str(reason))
            return
        self._say(contradiction(item.safety_switch) if item.safety_switch else "")
        self._tell_length(item)
        if item != self._item:
            self._item = item
            self.changed.emit(item)

    @property
    def wrong(self) -> str:
        """What is wrong with the fields as they are, as a sentence; empty where they can be taken."""
        try:
            if self._item is not None:
                self._read(self._item)
        except Refused as reason:
            return str(reason)
        return ""

    def _read(self, item: Item) -> Item:
        switch = item.safety_switch
        if item.has_switch:
            switch = replace(
                switch or SafetySwitch(),
                rated_residual_ma=_number(self._rated.text(), "rated residual current", "30"),
                type=_TYPES[self._type.currentIndex()][1],
                delay=_DELAYS[self._delay.currentIndex()][1],
                waveform=_WAVEFORMS[self._waveform.currentIndex()][1],
            )
        outlets = _outlets(self._outlets.text(), item)
        current = _number(self._current.text(), "rated current", "10")
        return replace(item, safety_switch=switch, rated_current_a=current, outlets=outlets, lead=self._lead(item))

    def _lead(self, item: Item) -> LeadSize | None:
        if item.kind is not Kind.EXTENSION_LEAD:
            return item.lead
        length = _number(self._length.text(), "length in metres", "25")
        conductor = _number(self._conductor.text(), "section of a conductor in mm²", "1.5")
        return None if length is None and conductor is None else LeadSize(length, conductor)

    def _tell_length(self, item: Item) -> None:
        """Say what the length of a lead means for its conductors and rating."""
        found = length_found(item)
        tone = "ink2" if found is None or found.too_long is False else "overdue" if found.too_long else "soon"
        self._length_said.say(found.said if found is not None else "", tone)
        self._length_said.setVisible(found is not None)

    def _say(self, fault: str) -> None:
        self._fault.say(fault)
        self._fault.setVisible(bool(fault))

    def connect_fields(self) -> None:
        """Listen to the fields, once they are all there."""
        for _title, field in self._parts:
            if isinstance(field, QLineEdit):
                field.editingFinished.connect(self.tell)
            else:
                field.activated.connect(self._chosen)

    def _chosen(self, _index: int) -> None:
        self.tell()

    def widgets(self) -> Iterator[QWidget]:
        """Yield the fields in reading order."""
        for _title, field in self._parts:
            yield field


def _field(name: str) -> QLineEdit:
    made = QLineEdit()
    made.setAccessibleName(name)
    made.setMaxLength(12)
    made.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    made.setMinimumWidth(px(56))
    made.setMaximumWidth(px(110))
    return made


def _choice(name: str, table: tuple[tuple[str, object], ...]) -> QComboBox:
    made = PickBox()
    made.setAccessibleName(name)
    made.addItems([word for word, _value in table])
    made.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    made.setMinimumWidth(px(104))
    made.setMaximumWidth(px(150))
    return made


def _fill(field: QLineEdit, value: Decimal | None) -> None:
    field.setText("" if value is None else plain_number(value))


def _number(text: str, what: str, example: str) -> Decimal | None:
    """Return the number that was typed, None for nothing; refused with a sentence otherwise."""
    wrong = Refused(f"“{text.strip()}” is not a {what}. Give a number such as {example}, or nothing if unreadable.")
    return exact(text, LARGEST, wrong)


def _outlets(text: str, item: Item) -> int:
    plain = text.strip()
    if not plain and item.kind not in WITH_OUTLETS:
        return item.outlets
    if not (plain.isascii() and plain.isdigit() and 1 <= int(plain) <= MOST_OUTLETS):
        raise Refused(f"“{plain}” is not a number of outlets. Count those that are tested, from 1 to {MOST_OUTLETS}.")
    return int(plain)

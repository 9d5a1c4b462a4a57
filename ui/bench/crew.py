"""Who measures and with what: chosen once and kept, each with the day its licence or calibration ends."""

from collections.abc import Iterator
from datetime import date
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from register.errors import Refused
from register.services.bench.on_bench import Crew, Who, Wrong
from ui.bench.pin import Pin
from ui.dates import shown, typed
from ui.look.typeface import px, width
from ui.look.widgets import PickBox, Words

NAME: Final = 96
"""So much room a name wants to be read."""


class CrewChoice(QWidget):
    """Fields with the names that the register knows, others can be typed, and the day. Each has a pin: it carries over.

    `dated` gives another day, `entered` tells that Enter was pressed, which keeps the choice for next time as well.
    """

    dated = Signal(object)
    entered = Signal()

    def __init__(self, today: date) -> None:
        super().__init__()
        self._today = self._tested = today
        self._crew = Crew((), ())
        self._own, self._lent_to = ("", "", today), ""
        self._narrow = False
        self.tester, self._tester_until = _choice("Tester"), Words("", 11, 400, "ink3", elide=True)
        self.instrument, self._instrument_until = _choice("Instrument"), Words("", 11, 400, "ink3", elide=True)
        self.day = _day(today)
        self.pins = {"Tester": Pin("The tester"), "Instrument": Pin("The instrument"), "Day": Pin("The day")}
        self._fault = Words("", 12, 500, "overdue", wrap=True)
        self._fault.hide()
        self._lay_out()
        for field in (self.tester, self.instrument):
            field.currentTextChanged.connect(self._changed)
            edit = field.lineEdit()
            assert edit is not None
            edit.returnPressed.connect(self.entered)
        self.day.editingFinished.connect(self._date)
        self.day.returnPressed.connect(self.entered)

    def _lay_out(self) -> None:
        """Put each field with its pin in a row, and below what is to be said of it."""
        grid = self._grid = QGridLayout()
        grid.setHorizontalSpacing(0)
        grid.setVerticalSpacing(px(2))
        fields = ((self.tester, "Tester"), (self.instrument, "Instrument"))
        for number, (field, name) in enumerate(fields):
            grid.addWidget(_pinned(field, self.pins[name]), 0, number)
            grid.setColumnStretch(number, 1)
        self._dated = _pinned(self.day, self.pins["Day"])
        grid.addWidget(self._dated, 0, len(fields))
        grid.addWidget(self._tester_until, 1, 0)
        grid.addWidget(self._instrument_until, 1, 1, 1, 2)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(px(2))
        column.addLayout(grid)
        column.addWidget(self._fault)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the day below where names could not be read beside it."""
        super().resizeEvent(event)
        names = (self.tester, self.instrument)
        row = sum(px(NAME) + self.pins["Day"].width() for _name in names) + self._dated.sizeHint().width()
        place = (2, 0) if self.width() < row else (0, len(names))
        if self._grid.itemAtPosition(*place) is None:
            self._grid.removeWidget(self._dated)
            self._grid.addWidget(self._dated, *place, Qt.AlignmentFlag.AlignLeft)

    def show_narrow(self, *, narrow: bool) -> None:
        """In a small window say below the fields only what needs heed; the rest is in their tips."""
        self._narrow = narrow
        self._tell_all()

    def start_with(self, tester: str, instrument: str) -> None:
        """Begin with who measured last on this computer."""
        for field, name in ((self.tester, tester), (self.instrument, instrument)):
            if name and not field.currentText():
                _show_name(field, name)

    @property
    def own(self) -> tuple[str, str]:
        """Who measures and with what, whoever measured the record that is corrected here."""
        tester, instrument, _day = self._own if self._lent_to else self._now()
        return tester, instrument

    def _now(self) -> tuple[str, str, date]:
        return self.tester.currentText().strip(), self.instrument.currentText().strip(), self._tested

    def lend(self, wrong: Wrong | None) -> None:
        """Show who measured the record that is corrected, and when; None brings back what stood here before."""
        to = "" if wrong is None else wrong.record_id
        if to == self._lent_to:
            return
        if not self._lent_to:
            self._own = self._now()
        self._lent_to = to
        tester, instrument, day = self._own if wrong is None else (wrong.tester, wrong.instrument, wrong.tested_on)
        _show_name(self.tester, tester)
        _show_name(self.instrument, instrument)
        self.day.setText(shown(day))
        self._date()

    def differs_from(self, wrong: Wrong) -> bool:
        """Whether somebody else, another instrument or another day is chosen than that record says."""
        return self._now() != (wrong.tester, wrong.instrument, wrong.tested_on)

    def next_item(self) -> None:
        """Carry over what is pinned, and clear the rest."""
        for field, name in ((self.tester, "Tester"), (self.instrument, "Instrument")):
            if not self.pins[name].isChecked():
                field.setCurrentIndex(-1)
                field.setEditText("")
        if not self.pins["Day"].isChecked():
            self.day.setText(shown(self._today))
            self._date()

    @property
    def wrong_day(self) -> str:
        """What is wrong with the day as it is typed; empty where nothing is."""
        try:
            typed(self.day.text())
        except Refused as reason:
            return str(reason)
        return ""

    def _date(self) -> None:
        wrong = self.wrong_day
        self._say(wrong)
        if not wrong:
            day = typed(self.day.text())
            self.day.setText(shown(day))
            self.day.setCursorPosition(0)
            self._tested = day
            self._tell_all()
            self.dated.emit(day)

    def _say(self, fault: str) -> None:
        self._fault.say(fault)
        self._fault.setVisible(bool(fault))

    def show_crew(self, crew: Crew) -> None:
        """Offer these; what was chosen or typed stays. A single one is chosen at first."""
        first, self._crew = not (self._crew.testers or self._crew.instruments), crew
        for field, known in ((self.tester, crew.testers), (self.instrument, crew.instruments)):
            text = field.currentText()
            field.blockSignals(True)  # noqa: FBT003 - Qt's own
            field.clear()
            field.addItems([each.name for each in known])
            if len(known) != 1 or text or not first:
                field.setCurrentIndex(-1)
            _show_name(field, text or field.currentText())
            field.blockSignals(False)  # noqa: FBT003 - Qt's own
        self._changed()

    def lacking(self, *, measured: bool) -> str:
        """Say what is not chosen though a record needs it, and lead there; empty where nothing is."""
        said = self.wrong_day
        field: QWidget = self.day
        if not self.tester.currentText().strip():
            field, said = self.tester, "Say who measured, then save: a record carries its tester's name."
        elif measured and not self.instrument.currentText().strip():
            field = self.instrument
            said = "Say which instrument measured, then save: readings go with its serial number."
        self._say(said)
        if said:
            field.setFocus()
        return said

    def _changed(self) -> None:
        self._fault.hide()
        self._tell_all()

    def _tell_all(self) -> None:
        self._tell(self._tester_until, self._crew.testers, self.tester.currentText(), "tester")
        self._tell(self._instrument_until, self._crew.instruments, self.instrument.currentText(), "instrument")

    def _tell(self, words: Words, known: tuple[Who, ...], name: str, what: str) -> None:
        """Say until when a tester's licence or an instrument's calibration holds, seen from the day of the test."""
        who = next((each for each in known if each.name == name.strip()), None)
        holds = "licence" if what == "tester" else "calibration"
        ran_out = who is not None and who.until is not None and who.until < self._tested
        if not name.strip():
            said = f"{what} not chosen yet"
        elif who is None:
            said = f"{what} new to this register"
        elif who.until is None:
            said = f"no end of {holds} recorded"
        else:
            said = f"{holds} {'ran out' if ran_out else 'until'} {shown(who.until)}"
        words.say(said, "overdue" if ran_out else "ink3")
        words.setVisible(ran_out or not self._narrow)
        (self.tester if what == "tester" else self.instrument).setToolTip(f"{name.strip()}: {said}")

    def widgets(self) -> Iterator[QWidget]:
        """Yield the fields in reading order."""
        yield from (self.tester, self.pins["Tester"], self.instrument, self.pins["Instrument"])
        yield from (self.day, self.pins["Day"])


def _pinned(field: QWidget, pin: Pin) -> QWidget:
    """Return a field with its pin behind it."""
    made = QWidget()
    row = QHBoxLayout(made)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(0)
    row.addWidget(field, 1)
    row.addWidget(pin)
    return made


def _day(today: date) -> QLineEdit:
    made = QLineEdit(shown(today))
    made.setAccessibleName("Day of the test")
    made.setMaxLength(24)
    made.setFixedWidth(int(width("30 Sept 2026", 13, 500)) + px(26))
    made.setCursorPosition(0)
    return made


def _show_name(field: QComboBox, name: str) -> None:
    """Put a name into a field so that its beginning is seen."""
    edit = field.lineEdit()
    assert edit is not None
    field.setEditText(name)
    edit.setCursorPosition(0)


def _choice(name: str) -> QComboBox:
    made = PickBox()
    made.setEditable(True)
    made.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
    made.setAccessibleName(name)
    edit = made.lineEdit()
    assert edit is not None
    edit.setPlaceholderText(name)
    made.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    made.setMinimumWidth(px(64))
    made.activated.connect(lambda _row: edit.setCursorPosition(0))
    return made

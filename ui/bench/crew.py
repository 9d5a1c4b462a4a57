"""Who measures and with what: chosen once and kept, each with the day its licence or calibration ends."""

from collections.abc import Iterator
from datetime import date

from PySide6.QtWidgets import QComboBox, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from register.services.bench import Crew, Who
from ui.dates import shown
from ui.look.typeface import px
from ui.look.widgets import PickBox, Words


class CrewChoice(QWidget):
    """Two fields with the names that the register knows; others can be typed."""

    def __init__(self, today: date) -> None:
        super().__init__()
        self._today = today
        self._crew = Crew((), ())
        self.tester, self._tester_until = _choice("Tester"), Words("", 11, 400, "ink3")
        self.instrument, self._instrument_until = _choice("Instrument"), Words("", 11, 400, "ink3")
        self._fault = Words("", 12, 500, "overdue", wrap=True)
        self._fault.hide()
        row, until = QHBoxLayout(), QVBoxLayout()
        row.setSpacing(px(8))
        until.setSpacing(0)
        for field, said in ((self.tester, self._tester_until), (self.instrument, self._instrument_until)):
            said.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            row.addWidget(field, 4)
            until.addWidget(said)
            field.currentTextChanged.connect(self._changed)
        row.addLayout(until, 5)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(px(2))
        column.addLayout(row)
        column.addWidget(self._fault)

    def show_crew(self, crew: Crew) -> None:
        """Offer these; what was chosen or typed stays. A single tester or instrument is chosen at once."""
        self._crew = crew
        for field, known in ((self.tester, crew.testers), (self.instrument, crew.instruments)):
            text = field.currentText()
            field.blockSignals(True)  # noqa: FBT003 - Qt's own
            field.clear()
            field.addItems([each.name for each in known])
            if len(known) != 1 or text:
                field.setCurrentIndex(-1)
                field.setEditText(text)
            field.blockSignals(False)  # noqa: FBT003 - Qt's own
        self._changed()

    def lacking(self, *, measured: bool) -> str:
        """Say what is not chosen though a record needs it, and lead there; empty where nothing is."""
        said, field = "", self.tester
        if not self.tester.currentText().strip():
            said = "Say who measured, then save: a record carries its tester's name."
        elif measured and not self.instrument.currentText().strip():
            said, field = (
                "Say which instrument measured, then save: readings go with its serial number.",
                self.instrument,
            )
        self._fault.say(said)
        self._fault.setVisible(bool(said))
        if said:
            field.setFocus()
        return said

    def _changed(self) -> None:
        self._fault.hide()
        self._tell(self._tester_until, self._crew.testers, self.tester.currentText(), "tester")
        self._tell(self._instrument_until, self._crew.instruments, self.instrument.currentText(), "instrument")

    def _tell(self, words: Words, known: tuple[Who, ...], name: str, what: str) -> None:
        """Say until when a tester's licence or an instrument's calibration holds."""
        who = next((each for each in known if each.name == name.strip()), None)
        holds = "licence" if what == "tester" else "calibration"
        if not name.strip():
            words.say(f"{what} not chosen yet", "ink3")
        elif who is None:
            words.say(f"{what} new to this register", "ink3")
        elif who.until is None:
            words.say(f"no end of {holds} recorded", "ink3")
        elif who.until < self._today:
            words.say(f"{holds} ran out {shown(who.until)}", "overdue")
        else:
            words.say(f"{holds} until {shown(who.until)}", "ink3")

    def widgets(self) -> Iterator[QWidget]:
        """Yield the fields in reading order."""
        yield self.tester
        yield self.instrument


def _choice(name: str) -> QComboBox:
    made = PickBox()
    made.setEditable(True)
    made.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
    made.setAccessibleName(name)
    edit = made.lineEdit()
    assert edit is not None
    edit.setPlaceholderText(name)
    made.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    made.setMinimumWidth(px(96))
    return made

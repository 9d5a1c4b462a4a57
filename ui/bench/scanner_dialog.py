"""Setting up the scanner: one test label is read, and what arrived is said and remembered."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QTimer, Signal
from PySide6.QtGui import QKeyEvent, Qt
from PySide6.QtWidgets import QLineEdit, QWidget

from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field
from ui.bench.memory import Remembered
from ui.bench.scanner import ENDING_WORDS, REST_MS, Ending, Heard, heard
from ui.look.theme import colours
from ui.look.tick import Tick
from ui.look.typeface import font
from ui.look.widgets import Words

TWICE_MS = 60
"""A second Enter within this time belongs to the first."""


class TestField(QLineEdit):
    """Takes one scan with all that ends it. `heard` gives the text and what ended it."""

    __test__ = False
    heard = Signal(str, object)

    def __init__(self) -> None:
        super().__init__()
        self._ends: list[Ending] = []
        self._wait = QTimer(self, singleShot=True)
        self._wait.timeout.connect(self._tell)

    def event(self, event: QEvent) -> bool:
        """Take Enter and Tab as ends while something stands in the field."""
        if isinstance(event, QKeyEvent) and event.type() is QKeyEvent.Type.KeyPress and self.text():
            ended = _ENDS.get(Qt.Key(event.key()))
            if ended is not None or (event.text() == "\n" and self._ends):
                self._ends.append(ended or Ending.ENTER)
                self._wait.start(TWICE_MS)
                return True
            if event.text().isprintable() and event.text():
                if self._ends:
                    self._ends = []
                    self.clear()
                self._wait.start(REST_MS * 4)
        return super().event(event)

    def _tell(self) -> None:
        ends, self._ends = self._ends, []
        ending = Ending.NONE if not ends else Ending.CR_LF if len(ends) > 1 else ends[0]
        self.heard.emit(self.text(), ending)
        self.selectAll()


_ENDS = {Qt.Key.Key_Return: Ending.ENTER, Qt.Key.Key_Enter: Ending.ENTER, Qt.Key.Key_Tab: Ending.TAB}


class ScannerDialog(Dialog):
    """Reads a test label. `deed` gets what to remember: ending, prefix, and whether a tone is wanted."""

    def __init__(self, window: QWidget, now: Remembered, printed: str, deed: Callable[[dict[str, str]], None]) -> None:
        super().__init__(window, "Set up the scanner")
        self._deed, self._heard = deed, None
        self.printed = QLineEdit(printed)
        self.printed.setFont(font(15, 500, code=True))
        self.read = TestField()
        self.read.setFont(font(15, 500, code=True))
        self.read.heard.connect(self._hear)
        self.sound = Tick("A tone for each code")
        self.sound.setChecked(now.sound == "on")
        self.body.addWidget(
            Field("What is printed on the label", self.printed, "Any tag of yours, letters and digits.")
        )
        self.body.addWidget(Field("Scan it here", self.read, "Enter and Tab are only read here; they do nothing."))
        self._said = Block("scan", lambda: colours().unknown, "ink")
        before = f"“{now.prefix}”" if now.prefix else "nothing"
        self._said.say(f"Set now: after a code {ENDING_WORDS[now.scanner.ending]}, before it {before}.")
        self.body.addWidget(self._said)
        self.body.addWidget(self.sound)
        note = (
            "One tone: found. Two: done today. Three: at another site. Four: unknown. The tone is the system's own; "
            "where that is silent, so is the bench."
        )
        self.body.addWidget(Words(note, 12, 400, "ink3", wrap=True))
        self.answers(leave="Leave it", verb="Remember", key="Alt+S", deed=self._keep, hint="Enter is off here.")
        self.read.setFocus()

    _heard: Heard | None

    def _hear(self, sent: str, ending: Ending) -> None:
        self._heard = heard(self.printed.text(), sent, ending)
        self._said.say(self._heard.wrong or "It can be read.", " ".join(self._heard.said))

    @property
    def said(self) -> Heard | None:
        """What the last label showed; None before one was read."""
        return self._heard

    def _keep(self) -> None:
        what = {"sound": "on" if self.sound.isChecked() else "off"}
        if self._heard is not None and self._heard.wrong:
            self.complain(self._heard.wrong)
            return
        if self._heard is not None:
            what |= {"ending": self._heard.scanner.ending.value, "prefix": self._heard.scanner.prefix}
        self._deed(what)
        self.accept()

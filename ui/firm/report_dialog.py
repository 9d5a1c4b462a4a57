"""Holding the history against a report that was written earlier: the two things that stand on its cover."""

from collections.abc import Callable

from PySide6.QtWidgets import QLineEdit, QWidget

from ui.asking.dialog import Dialog
from ui.asking.fields import Field
from ui.look.widgets import Words

ABOUT = (
    "Whoever can write the register's file could cut off the end of its history. What an owner's workbook says on its"
    " cover shows that: hold both against each other."
)


class ReportDialog(Dialog):
    """Asks for the number of events and the check mark; `deed` gets both as typed. Alt+H, Esc."""

    def __init__(self, window: QWidget, deed: Callable[[str, str], None]) -> None:
        super().__init__(window, "Hold the history against a report")
        self._deed = deed
        self.body.addWidget(Words(ABOUT, 13, 400, "ink2", wrap=True))
        self.events, self.mark = QLineEdit(), QLineEdit()
        self.events.setPlaceholderText("4,377")
        self.mark.setPlaceholderText("e8ec6af3")
        self.body.addWidget(Field("Recorded events", self.events, "As the cover says."))
        self.body.addWidget(Field("Check mark of the last", self.mark, "As the cover says: 8 letters and digits."))
        self.answers(leave="Leave it", verb="Hold against it", key="Alt+H", deed=self._hold, hint="Enter is off here.")
        self.events.setFocus()

    def _hold(self) -> None:
        self._deed(self.events.text(), self.mark.text())

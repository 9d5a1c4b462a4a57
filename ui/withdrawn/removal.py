"""Removing an item for good: the deed, what will happen, and the reason."""

from collections.abc import Callable

from PySide6.QtWidgets import QDialog, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from register.services.withdrawn_list import OutRow
from ui.look.typeface import px
from ui.look.widgets import TagLabel, Words, button


class RemoveDialog(QDialog):
    """Asks for the reason. Enter answers nothing here, so that a scanner can't."""

    def __init__(self, parent: QWidget, row: OutRow, done: Callable[[str], None]) -> None:
        super().__init__(parent)
        self._done = done
        self.setWindowTitle("Remove for good")
        self.setFixedWidth(px(560))
        self._reason = QLineEdit()
        self._reason.setPlaceholderText("disposed of by the owner")
        self._reason.setAccessibleName("Reason")
        self._wrong = Words("", 12, 500, "overdue")
        keep, remove = button("Keep it   Esc"), button("Remove   Alt+R", "primary")
        remove.setShortcut("Alt+R")
        keep.clicked.connect(self.reject)
        remove.clicked.connect(self._remove)
        head, buttons = QHBoxLayout(), QHBoxLayout()
        head.addWidget(TagLabel(row.tag, height=24, size=13))
        head.addSpacing(8)
        head.addWidget(Words(row.description, 13, 600), 1)
        buttons.addWidget(Words("Enter is off here: scan safely.", 12, 400, "ink3"), 1)
        buttons.addWidget(keep)
        buttons.addWidget(remove)
        column = QVBoxLayout(self)
        column.setContentsMargins(32, 28, 32, 24)
        column.setSpacing(8)
        column.addWidget(Words("Remove this item for good", 20, 600))
        column.addLayout(head)
        column.addSpacing(12)
        column.addWidget(Words("Reason", 13, 600))
        column.addWidget(self._reason)
        column.addWidget(self._wrong)
        said = "It leaves every list and plan. Its records stay, and its old tags still find it. It can't come back."
        column.addWidget(Words(said, 12, 400, "ink2", wrap=True))
        column.addSpacing(12)
        column.addLayout(buttons)

    def _remove(self) -> None:
        reason = self._reason.text().strip()
        if not reason:
            self._wrong.say("Say why, such as disposed of or scrapped.")
            self._reason.setFocus()
            return
        self.accept()
        self._done(reason)

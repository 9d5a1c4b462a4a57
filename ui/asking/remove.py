"""Removing an item for good: the deed, what it means, and the reason that it needs."""

from collections.abc import Callable

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.words import Standing
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field
from ui.asking.reading import needed, right
from ui.look.theme import standing_tone


class RemoveDialog(Dialog):
    """Asks for the reason; `deed` gets it. Alt+R confirms, Esc leaves."""

    def __init__(self, window: QWidget, tag: str, description: str, place: str, deed: Callable[[str], None]) -> None:
        super().__init__(window, "Remove this item for good")
        self._deed = deed
        self.about(tag, description, place)
        self.reason = QLineEdit()
        self.reason.setPlaceholderText("disposed of by the owner")
        self.field = Field("Reason", self.reason, "Such as disposed of, scrapped, or sold.")
        self.body.addWidget(self.field)
        said = "Leaves every list and plan. It can't come back."
        more = "Its records and tags stay in the register, and nothing else gets its tag."
        self.body.addWidget(Block("gone", lambda: standing_tone(Standing.REMOVED), "ink", said, more))
        self.answers(leave="Keep it", verb="Remove", key="Alt+R", deed=self._remove, hint="Enter is off here.")
        self.reason.setFocus()

    def _remove(self) -> None:
        reason = right(self.field, needed("Say why, such as disposed of or scrapped."))
        if reason:
            self._deed(reason)

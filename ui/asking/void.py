"""Letting a wrong record count no more: which record, what that means, and the reason that it needs."""

from collections.abc import Callable

from PySide6.QtWidgets import QLineEdit, QWidget

from register.services.item_card import ItemCard
from register.services.past_readings import CardRecord
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field
from ui.asking.reading import needed, right
from ui.dates import shown
from ui.look.theme import verdict_tone


class VoidDialog(Dialog):
    """Asks for the reason; `deed` gets it. Alt+V confirms, Esc leaves."""

    def __init__(self, window: QWidget, card: ItemCard, record: CardRecord, deed: Callable[[str], None]) -> None:
        super().__init__(window, "Void this record")
        self._deed = deed
        item = card.item
        self.about(item.tag, item.description, f"{item.site_name}, {item.area}")
        self.reason = QLineEdit()
        self.reason.setPlaceholderText("recorded on the wrong item")
        self.field = Field("Reason", self.reason, "Such as: another item was tested, or there was no test.")
        self.body.addWidget(self.field)
        by = record.tester or "nobody named"
        said = f"The {record.verdict.value} of {shown(record.tested_on)} by {by} counts no more."
        more = (
            "It stays in the history with your name and reason. Dates, and whether the item is out of service, follow"
            " from the records that are left. Where it only says something wrong, correct it instead."
        )
        self.body.addWidget(Block("closed", lambda: verdict_tone(record.verdict), "ink", said, more))
        self.answers(leave="Keep it", verb="Void", key="Alt+V", deed=self._void, hint="Enter is off here.")
        self.reason.setFocus()

    def _void(self) -> None:
        reason = right(self.field, needed("Say what is wrong with the record."))
        if reason:
            self._deed(reason)

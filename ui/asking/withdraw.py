"""Taking an item out of service: why, under which tag, who was told; and what that means for it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QVBoxLayout, QWidget

from register.domain.text import clean_text
from register.domain.words import WithdrawalReason
from register.services.before_withdrawing import Withdrawing
from register.services.withdrawals.deeds import withdraw
from register.store.engine import Change
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import ChoiceRow, Choices, Field, beside
from ui.asking.photo import PhotoLine
from ui.asking.reading import needed, right
from ui.look.theme import colours
from ui.look.tick import Tick
from ui.look.typeface import font, px
from ui.look.widgets import Words
from ui.page import Desk

_MEANS: Final = {
    WithdrawalReason.FAILED: "Leaves the plan, stays on every list as withdrawn.",
    WithdrawalReason.DAMAGED: "Leaves the plan, stays on every list as withdrawn.",
    WithdrawalReason.OVERDUE: "Must not be used, but stays in the plan, so that it is tested.",
}
_BACK: Final = "It comes back only by a complete passing test. Its history stays."


@dataclass(frozen=True, slots=True)
class WithdrawalMeant:
    """A withdrawal as it was answered."""

    item_id: str
    reason: WithdrawalReason
    tag_number: str
    told: str
    note: str
    photo: bytes = b""
    cord: bool = False


class WithdrawDialog(Dialog):
    """Asks for what a withdrawal needs; `deed` gets the answer and does it. Alt+W confirms, Esc leaves."""

    def __init__(
        self, window: QWidget, desk: Desk, about: Withdrawing, deed: Callable[[WithdrawalMeant], None]
    ) -> None:
        super().__init__(window, "Take this item out of service")
        self._about, self._deed = about, deed
        self.about(about.tag, about.description, about.place)
        self.choices = _choices(about)
        self.number = QLineEdit(about.number)
        self.number.setFont(font(15, 500, code=True))
        self.told = QLineEdit(about.told)
        self.told.setPlaceholderText(about.owner)
        self.note = QPlainTextEdit(about.note)
        self.note.setFixedHeight(px(56))
        self.note.setTabChangesFocus(True)
        why = QVBoxLayout()
        why.setSpacing(8)
        why.addWidget(Words("Why", 13, 600))
        why.addWidget(self.choices)
        self.body.addLayout(why)
        hint = "On the item now." if about.given else "Next on the roll; scan to change it."
        self.number_field = Field("Out-of-service tag number", self.number, hint if about.number else "")
        self.body.addLayout(beside(self.number_field, Field("Who was told", self.told, "Asked to repair or dispose.")))
        self.photo = PhotoLine(desk, self._say_of_photo)
        self.photo_field = Field("Photo", self.photo)
        self.body.addLayout(beside(Field("Note for the owner", self.note), self.photo_field))
        self.cord = Tick("Its detachable cord is at fault: add it as an item of its own next")
        self.cord.setChecked(about.cord.wrong)
        self.cord.setVisible(about.cord.possible)
        self.body.addWidget(self.cord)
        self._means = Block("open", lambda: colours().withdrawn, "withdrawn")
        self.body.addWidget(self._means)
        self.answers(
            leave="Leave it" if about.present else "Keep in service", verb="Withdraw", key="Alt+W",
            deed=self._withdraw, hint="Enter is off here: scan safely.",
        )  # fmt: skip
        self.choices.changed.connect(self._explain)
        self._explain()
        self.number.setFocus()
        self.number.selectAll()

    def _say_of_photo(self, why: str) -> None:
        self.photo_field.complain(why)

    def _explain(self) -> None:
        reason = self.choices.chosen
        if isinstance(reason, WithdrawalReason):
            self._means.say(_MEANS[reason], _BACK)

    def _withdraw(self) -> None:
        number = right(self.number_field, needed("Scan or type the number of the out-of-service tag."))
        if not number:
            return
        if self.photo.reading:
            self.photo_field.complain("The photo is still being read. Withdraw it in a moment.")
            return
        reason = self.choices.chosen
        assert isinstance(reason, WithdrawalReason)
        note, told = clean_text(self.note.toPlainText()), clean_text(self.told.text())
        self._deed(
            WithdrawalMeant(
                item_id=self._about.item_id,
                reason=reason,
                tag_number=number,
                told=told,
                note=note,
                photo=self.photo.content,
                cord=self.cord.isChecked(),
            )
        )


def take_out(said: WithdrawalMeant, change: Change) -> str:
    """Withdraw the item as it was answered; return its out-of-service tag in words."""
    return withdraw(
        change, said.item_id, reason=said.reason, tag_number=said.tag_number, detail=said.note, told=said.told,
        photo=said.photo,
    ).tag_words  # fmt: skip


def _choices(about: Withdrawing) -> Choices:
    """Return the reasons, the likeliest one chosen; being overdue only where the item is."""
    failed = ChoiceRow("Failed a test", about.failure or "its last test on record did not fail", "F")
    damaged = ChoiceRow("Damaged", "seen while looking", "D")
    overdue = ChoiceRow("Overdue, not to be used", about.overdue or "it is not overdue", "O")
    overdue.setEnabled(bool(about.overdue))
    rows = [
        (WithdrawalReason.FAILED, failed),
        (WithdrawalReason.DAMAGED, damaged),
        (WithdrawalReason.OVERDUE, overdue),
    ]
    choices = Choices(rows, "Why")
    likely = WithdrawalReason.FAILED if about.failure else WithdrawalReason.DAMAGED
    if about.overdue and not about.failure:
        likely = WithdrawalReason.OVERDUE
    choices.choose(about.present or likely)
    return choices

"""Taking the item on the bench out of service: the number of its out-of-service tag, why, and who was told."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.words import WithdrawalReason
from register.services.withdrawals import withdraw
from register.store.engine import Change
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field
from ui.jobs import Jobs
from ui.look.theme import colours


@dataclass(frozen=True, slots=True)
class ToWithdraw:
    """The item to be taken out of service. `why` is the sentence of the test that failed; empty where none did."""

    item_id: str
    tag: str
    description: str
    place: str
    why: str = ""

    @property
    def reason(self) -> WithdrawalReason:
        """Failed where a test says so, damaged where somebody saw it."""
        return WithdrawalReason.FAILED if self.why else WithdrawalReason.DAMAGED


class WithdrawalDialog(Dialog):
    """Asks for the number. Enter answers nothing here, so that a scanner can't."""

    def __init__(
        self, window: QWidget, jobs: Jobs, item: ToWithdraw, done: Callable[[str], None], *, later: bool
    ) -> None:
        super().__init__(window, f"Take {item.tag} out of service")
        self._jobs, self._item, self._done = jobs, item, done
        self.about(item.tag, item.description, item.place)
        self.body.addWidget(_block(item))
        self._number = Field("Number of the out-of-service tag", QLineEdit(), "Put the tag on it now, over the plug.")
        self._detail = Field("What is wrong with it", QLineEdit(), "It stands on the owner's notice.")
        self._told = Field("Who was told", QLineEdit(), "The owner decides: repair or dispose. It may stay empty.")
        for field in (self._number, self._detail, self._told):
            self.body.addWidget(field)
        self._detail.setVisible(not item.why)
        self._button = self.answers(
            leave="Number later" if later else "Leave it in service", verb="Take out of service", key="Alt+W",
            deed=self._withdraw, hint="Enter is off here: scan safely.",
        )  # fmt: skip

    def _withdraw(self) -> None:
        if not self._button.isEnabled():
            return
        number, detail = _text(self._number), _text(self._detail)
        self._number.complain("" if number else "Give the number, or leave this and give it later.")
        self._detail.complain("" if detail or self._item.why else "Say in a few words what is wrong with it.")
        for field in (self._number, self._detail):
            if field.complaint:
                field.setFocus()
                return
        self._button.setEnabled(False)
        deed = partial(_take_out, self._item, number, detail, _text(self._told))
        self._jobs.change(deed, self._kept, failed=self._refused)

    def reject(self) -> None:
        """Leave everything as it is, unless it is being kept already."""
        if self._button.isEnabled():
            super().reject()

    def _kept(self, number: str) -> None:
        self.accept()
        self._done(number)

    def _refused(self, reason: Exception) -> None:
        self._button.setEnabled(True)
        self.complain(str(reason))


def _text(field: Field) -> str:
    assert isinstance(field.widget, QLineEdit)
    return field.widget.text().strip()


def _take_out(item: ToWithdraw, number: str, detail: str, told: str, change: Change) -> str:
    kept = withdraw(change, item.item_id, reason=item.reason, tag_number=number, detail=detail, told=told)
    return kept.tag_number


def _block(item: ToWithdraw) -> Block:
    if item.why:
        return Block("cross", lambda: colours().overdue, "overdue", "It failed and is out of service.", item.why)
    said = "It must not be used until it passes a complete test or is removed for good."
    return Block("open", lambda: colours().withdrawn, "withdrawn", "It goes out of service at once.", said)

"""Taking the item on the bench out of service: the shared dialog, opened over the bench and kept by it."""

from collections.abc import Callable
from functools import partial

from PySide6.QtWidgets import QWidget

from register.services.before_withdrawing import Withdrawing, withdrawing
from ui.asking.carrying_out import carry_out
from ui.asking.cord import CordDeed
from ui.asking.withdraw import WithdrawalMeant, WithdrawDialog, take_out
from ui.page import Desk


class TakingOut:
    """Asks for the out-of-service tag of an item and keeps the answer. `after` is called once that is over."""

    def __init__(self, page: QWidget, desk: Desk, after: Callable[[], None]) -> None:
        self._page, self._desk, self._after = page, desk, after
        self._dialog: WithdrawDialog | None = None
        self.cord = CordDeed(page, desk, page.window, after)
        self._then: Callable[[], None] = after

    def ask(self, item_id: str) -> None:
        """Open the dialog on an item; one that failed just now is out of service already and lacks its number."""
        today = self._desk.jobs.today
        self._desk.jobs.ask(partial(withdrawing, item_id=item_id, today=today), self._open)

    def _open(self, about: Withdrawing) -> None:
        self._dialog = WithdrawDialog(self._page.window(), self._desk, about, partial(self._keep, about.tag))
        self._dialog.finished.connect(self._closed)
        self._dialog.open()

    def _keep(self, tag: str, said: WithdrawalMeant) -> None:
        carry_out(self._desk, self._dialog, partial(take_out, said), partial(self._kept, tag, said))

    def _kept(self, tag: str, said: WithdrawalMeant, its_tag: str) -> None:
        self._desk.messages.tell(f"{tag} is out of service, {its_tag}.")
        if said.cord:
            self._then = partial(self.cord.ask, said.item_id, at_fault=True)
        if self._dialog is not None:
            self._dialog.accept()

    def _closed(self, _answer: int) -> None:
        self._dialog = None
        then, self._then = self._then, self._after
        then()

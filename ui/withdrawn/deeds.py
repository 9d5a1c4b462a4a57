"""What can be done about a withdrawn item from its page: tested, tagged, renewed, removed, told to its owner."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QWidget

from register.errors import Refused, Unavailable
from register.exchange.files import file_word
from register.services.photos import Shown, photos_of
from register.services.withdrawals.deeds import remove
from register.services.withdrawals.listed import OutRow
from ui.asking.carrying_out import Asking
from ui.asking.remove import RemoveDialog
from ui.asking.renewal import RenewalDeeds
from ui.asking.replace import About
from ui.messages import ask_where
from ui.page import Desk
from ui.paper.printing import write_pdf
from ui.tags.deeds import TagDeeds
from ui.withdrawn.notice import Notice


class OutDeeds(Asking):
    """The deeds, and the dialog that is open. `chosen` gives the item that they are about, None where there is none.

    `firm` is the firm's name, as it heads a notice.
    """

    def __init__(self, page: QWidget, desk: Desk, chosen: Callable[[], OutRow | None]) -> None:
        super().__init__(page, desk)
        self._page, self._chosen = page, chosen
        self.firm = ""
        self.tags = TagDeeds(self, desk, page.window)
        self.renewal = RenewalDeeds(self, desk, page.window, lambda: _about(chosen()))

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do."""
        return {
            "item.test": self.test, "item.tag": self.print_tag, "item.remove": self.remove,
            "withdrawn.notice": self.print_notice, **self.renewal.offers(),
        }  # fmt: skip

    def test(self) -> None:
        """Lay the item on the bench."""
        row = self._chosen()
        if row is not None:
            self._desk.go("bench", row.item_id)

    def print_tag(self) -> None:
        """Ask how the item's tag is printed."""
        row = self._chosen()
        if row is not None:
            self.tags.print_tags([row.item_id])

    def remove(self) -> None:
        """Ask why the item is removed for good."""
        row = self._chosen()
        if row is not None:
            place, deed = f"{row.site}, {row.area}", partial(self._remove, row.item_id)
            self._open(RemoveDialog(self._page.window(), row.tag, row.description, place, deed))

    def _remove(self, item_id: str, reason: str) -> None:
        self._change(
            lambda change: remove(change, item_id, reason=reason),
            lambda tag: self._done(f"{tag} was removed for good; its history stays."),
        )

    def print_notice(self) -> None:
        """Ask where the notice for the item's owner goes, and write it."""
        row = self._chosen()
        if row is None:
            return
        name = f"out-of-service-{file_word(row.tag)}.pdf"
        path = ask_where(self._desk.messages, "Notice for the owner", name, "PDF (*.pdf)")
        if path is not None:
            self._desk.jobs.ask(partial(photos_of, item_id=row.item_id), partial(self._write_notice, path, row))

    def _write_notice(self, path: Path, row: OutRow, photos: Sequence[Shown]) -> None:
        newest = next((each.content for each in photos if each.on >= row.since), b"")
        try:
            write_pdf(path, Notice(row, self.firm, self._desk.jobs.today, newest), f"Out of service: {row.tag}")
        except (Refused, Unavailable) as reason:
            self._desk.messages.failure(reason)
        else:
            self._desk.messages.tell(f"The notice for {row.tag} is in {path.name}.")


def _about(row: OutRow | None) -> About | None:
    return None if row is None else About(row.item_id, row.tag, row.description, f"{row.site}, {row.area}")

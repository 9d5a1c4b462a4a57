"""Narrows the list of withdrawn items to one site, to one reason, or to both; what it is narrowed to is always seen."""

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Final, TypeVar

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QMenu

from register.domain.words import WithdrawalReason
from register.services.withdrawals.listed import OutRow
from ui.look.widgets import Chip, button

REASONS: Final = {
    WithdrawalReason.FAILED: "Failed a test",
    WithdrawalReason.DAMAGED: "Damaged",
    WithdrawalReason.OVERDUE: "Overdue",
}

Key = TypeVar("Key")


class OutFilters(QObject):
    """A chip for the site, one for the reason, and a button that takes both away; the page puts them into its line.

    `site` and `reason` are what the list is narrowed to, None where it isn't. `changed` tells that others hold.
    """

    changed = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.site: str | None = None
        self.reason: WithdrawalReason | None = None
        self._sites: dict[str, str] = {}
        self._site_name = ""
        self.site_chip, self.reason_chip = Chip("Site", drop=True), Chip("Reason", drop=True)
        self.clear = button("Show all", "quiet")
        self.site_chip.clicked.connect(self._offer_sites)
        self.reason_chip.clicked.connect(self._offer_reasons)
        self.clear.clicked.connect(self.show_all)
        self._show()

    def know(self, rows: Iterable[OutRow]) -> None:
        """Offer the sites of all that is out of service; one that is filtered by stays so when its last item left."""
        self._sites = {row.site_id: row.site for row in rows}
        self._site_name = self._sites.get(self.site or "", self._site_name)
        self._show()

    def lets_through(self, row: OutRow) -> bool:
        """Whether an item is shown."""
        return self.site in {None, row.site_id} and self.reason in {None, row.reason}

    @property
    def words(self) -> str:
        """What the list is narrowed to, as the end of a sentence; empty where it isn't."""
        parts = [f"at {self._site_name}"] if self.site is not None else []
        return ", ".join([*parts, REASONS[self.reason].lower()] if self.reason is not None else parts)

    def by_site(self, site: str | None) -> None:
        """Show one site, or all."""
        self.site, self._site_name = site, self._sites.get(site or "", "")
        self._change()

    def by_reason(self, reason: WithdrawalReason | None) -> None:
        """Show what is out for one reason, or for any."""
        self.reason = reason
        self._change()

    def show_all(self) -> None:
        """Take both filters away."""
        self.site, self.reason = None, None
        self._change()

    def _change(self) -> None:
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        said = REASONS[self.reason] if self.reason is not None else ""
        _name(self.site_chip, "Site", self._site_name if self.site is not None else "")
        _name(self.reason_chip, "Reason", said)
        self.clear.setVisible(bool(self.words))

    def _offer_sites(self) -> None:
        _offer(self.site_chip, sorted(self._sites.items(), key=lambda each: each[1]), self.by_site)

    def _offer_reasons(self) -> None:
        _offer(self.reason_chip, list(REASONS.items()), self.by_reason)


def _name(chip: Chip, title: str, chosen: str) -> None:
    """Show on a chip what is chosen, or what it filters by."""
    chip.setText(chosen or title)
    chip.setCheckable(bool(chosen))
    chip.setChecked(bool(chosen))
    chip.setAccessibleName(f"Filter: {chosen}" if chosen else f"Filter by {title.lower()}")
    chip.updateGeometry()


def _offer(chip: Chip, choices: Sequence[tuple[Key, str]], taker: Callable[[Key | None], None]) -> None:
    menu = QMenu(chip)
    menu.addAction("All").triggered.connect(partial(taker, None))
    for key, said in choices:
        menu.addAction(said).triggered.connect(partial(taker, key))
    menu.popup(chip.mapToGlobal(chip.rect().bottomLeft()))

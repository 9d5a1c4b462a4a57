"""What a page is given, and what it promises the window."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtWidgets import QWidget

from ui.actions import Deeds
from ui.jobs import Jobs
from ui.messages import Messages
from ui.offer import Answer


def _offer_nothing(_said: str, _answers: Sequence[Answer]) -> None:
    """Offer nothing where there is no window."""


@dataclass(frozen=True, slots=True)
class Desk:
    """What a page works with: the register's worker, messages, the actions, and the way to the other pages.

    `go` shows a page by its id and hands it what it should show, such as an item's id. `folder` is where this computer
    remembers things; None remembers nothing beyond the window. `offer` says something in the line under the bar, with
    what can be done about it, whatever page is in front; empty text takes it away.
    """

    jobs: Jobs
    messages: Messages
    deeds: Deeds
    go: Callable[[str, object], None]
    folder: Path | None = None
    offer: Callable[[str, Sequence[Answer]], None] = _offer_nothing


class Page(QWidget):
    """One page of the window. It reads the register when it is shown and something changed since."""

    key = ""
    title = ""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self._stale = True
        desk.jobs.changed.connect(self._mark)

    def shown(self, wanted: object = None) -> None:
        """Come to the front; `wanted` is what another page asks it to show."""
        if self._stale:
            self._stale = False
            self.refresh()
        if wanted is not None:
            self.show_wanted(wanted)

    def refresh(self) -> None:
        """Read from the register all that the page shows."""
        raise NotImplementedError

    def show_wanted(self, wanted: object) -> None:
        """Show what another page asked for."""

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do while this page is in front."""
        return {}

    def site_in_view(self) -> str:
        """Return the id of the site that the page is narrowed to, or that what is chosen belongs to; empty without."""
        return ""

    def unsaved(self) -> str:
        """Return in words what closing now would lose; empty where it is nothing."""
        return ""

    def _mark(self) -> None:
        self._stale = True
        if self.isVisible():
            self.shown()

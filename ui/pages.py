"""The pages of the window, in the order of the bar, and all that is left until later so that the window stands at once.

The frame needs a page's name alone. A page, with the part of the register behind it, is fetched when it is first shown;
the first one once the empty frame is painted, the others and the libraries for spreadsheets once that one is at rest.
Fetched all together, before anything is painted, they would take ten times as long as Qt itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # a page needs the register's worker, which needs the database's library
    from ui.page import Desk, Page


@dataclass(frozen=True, slots=True)
class Maker:
    """Makes one page. `key` and `title` are those of the page; its class is fetched when it is first asked for.

    `everywhere` are the actions that the page itself offers whichever page is in front.
    """

    key: str
    title: str
    module: str
    name: str
    everywhere: tuple[str, ...] = ()

    def fetch(self) -> "type[Page]":
        """Return the page's class; the first time this takes long and may be done on another thread."""
        found: type[Page] = getattr(import_module(self.module), self.name)
        return found

    def __call__(self, desk: "Desk") -> "Page":
        """Return the page."""
        return self.fetch()(desk)


MAKERS: Final = (
    Maker("horizon", "Horizon", "ui.horizon.page", "HorizonPage"),
    Maker("register", "Register", "ui.register_page.page", "RegisterPage"),
    Maker("week", "Week", "ui.week.page", "WeekPage"),
    Maker("bench", "Bench", "ui.bench.page", "BenchPage", ("bench.scan",)),
    Maker("withdrawn", "Withdrawn", "ui.withdrawn.page", "WithdrawnPage"),
    Maker("firm", "Firm", "ui.firm.page", "FirmPage", ("register.check", "register.report")),
)
_TO_BEGIN: Final = "ui.opening"
_WHEN_AT_REST: Final = (
    "ui.horizon.due_dialog",
    "ui.horizon.year_dialog",
    "ui.sheets.take_in",
    "ui.sheets.owner_book",
    "register.demo",
)


def fetch_first() -> None:
    """Fetch what opens a register and shows its first page."""
    import_module(_TO_BEGIN)
    MAKERS[0].fetch()


def fetch_rest(makers: Sequence[Maker] = MAKERS) -> None:
    """Fetch the other pages and what their dialogs need, so that none of them is waited for."""
    for maker in makers:
        maker.fetch()
    for name in _WHEN_AT_REST:
        import_module(name)

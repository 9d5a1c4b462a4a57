"""Pictures of the dialogs about spreadsheets as they look at work on the sample, for the manual."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog

from register.services.finding import SiteChoice, find_items, site_choices
from register.services.owners.queries import note_query
from register.services.places import NewSite, add_site
from register.store.engine import Change
from resources import RESOURCES
from ui.look.widgets import PickBox
from ui.program import Program
from ui.sheets.owner_book import OwnerBookDialog
from ui.sheets.queries import QueriesDialog
from ui.sheets.take_in import TakeInDialog

LIST: Final = RESOURCES.parent / "sample_sites" / "lamplighter-hotel.xlsx"
HOTEL: Final = NewSite("HOTEL", "Lamplighter Hotel", "Lamplighter Hotels of Brackwater", "au-in-service", "residential")
YARD, OWNER = "BOAT", "Brackwater Boatyard"
ASKED: Final = {
    "BW-004807": "Disposed of: see that it is gone, then remove it for good.",
    "BW-004813": "Is this one ours? It came with the workshop.",
}


@dataclass(frozen=True, slots=True)
class Taking:
    """Takes pictures of dialogs over a window; `settle` lets it finish what it asked the register."""

    program: Program
    settle: Callable[[Program], None]

    def write_owners(self, folder: Path) -> list[Path]:
        """Save pictures of handing over the sample's yard, and of what its owner asked."""
        self._change(_ask)
        sites = self._sites()
        yard = next(site.id for site in sites if site.code == YARD)
        window, desk = self.program.frame, self.program.desk
        return [
            self._picture(OwnerBookDialog(window, desk, sites, yard), folder / "hand-over.png"),
            self._picture(QueriesDialog(window, desk), folder / "queries.png"),
        ]

    def write_intake(self, folder: Path) -> list[Path]:
        """Save a picture of taking the sample's longest list into a register that has nothing but its site."""
        self._change(lambda change: add_site(change, HOTEL))
        dialog = TakeInDialog(self.program.frame, self.program.desk, LIST, self._sites())
        self.settle(self.program)
        for box in dialog.findChildren(PickBox):
            words = box.findText("words", Qt.MatchFlag.MatchContains)
            if words >= 0:
                box.setCurrentIndex(words)
        return [self._picture(dialog, folder / "taking-in.png")]

    def _sites(self) -> list[SiteChoice]:
        found: list[SiteChoice] = []
        self.program.jobs.ask(site_choices, found.extend)
        self.settle(self.program)
        return found

    def _change(self, deed: Callable[[Change], object]) -> None:
        self.program.jobs.change(deed, lambda _done: None)
        self.settle(self.program)

    def _picture(self, dialog: QDialog, path: Path) -> Path:
        dialog.open()
        self.settle(self.program)
        dialog.grab().save(str(path))
        dialog.reject()
        self.settle(self.program)
        return path


def _ask(change: Change) -> None:
    """Note what the owner of the yard might have asked."""
    theirs = replace(change, actor=OWNER)
    for tag, text in ASKED.items():
        (item,) = find_items(change.session.connection(), tag, 1)
        note_query(theirs, item.id, "", "Query", text)

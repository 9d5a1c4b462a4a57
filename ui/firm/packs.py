"""Field packs: each that was made, whether it is out, came back or expired, and what came back of it."""

from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtWidgets import QVBoxLayout

from register.domain.words import Result, counted
from register.services.packs.identity import FieldPack, field_pack
from register.services.packs.packing import PackRow, PackState, packs_made
from ui.dates import shown
from ui.firm.empty import Empty
from ui.firm.lists import Shelf
from ui.firm.section import Section
from ui.look.widgets import Sheet, button
from ui.page import Desk
from ui.table.model import Column

WORDS: Final = {PackState.OUT: "Out", PackState.BACK: "Came back", PackState.EXPIRED: "Expired"}
VERDICTS: Final = {
    PackState.OUT: Result.INCOMPLETE, PackState.BACK: Result.PASS, PackState.EXPIRED: Result.FAIL,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """A pack as it is listed. `verdict` picks glyph and colour of the words in `state`."""

    row: PackRow
    verdict: Result
    state: str


def back_words(row: PackRow) -> str:
    """Return what came back of a pack: "113 done, 7 left, 2 clashes"."""
    if not row.merged:
        return "nothing yet"
    counts = row.counts
    said = f"{counts.get('done', 0):,} done, {counts.get('left', 0):,} left"
    clashes = counts.get("clashes", 0)
    return f"{said}, {counted(clashes, 'clash', 'clashes')}" if clashes else said


COLUMNS = (
    Column("state", "Standing", lambda line: line.state, 132, "verdict"),
    Column("holder", "For", lambda line: line.row.holder, 150, "name"),
    Column("sites", "Sites", lambda line: ", ".join(line.row.sites), 0),
    Column("made", "Made", lambda line: shown(line.row.made_on), 104),
    Column("until", "Until", lambda line: shown(line.row.expires_on), 104),
    Column("sent", "Items", lambda line: f"{line.row.items:,}", 64, "number"),
    Column("back", "Came back", lambda line: back_words(line.row), 190),
)


class PacksSection(Section):
    """The section: the packs, the latest first, and the ways to make one and to merge what comes back."""

    key = "packs"
    title = "Field packs"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.merge, self.make = button("Merge field work…"), button("Make a field pack…", "primary")
        self.head(self.merge, self.make)
        self.shelf = Shelf(COLUMNS, "Field packs", lambda line: line.row.id)
        self._empty = Empty(
            "No field pack yet",
            "A field pack takes a site along on a laptop without network. “Make a field pack…” makes the first.",
        )
        sheet = Sheet()
        column = QVBoxLayout(sheet)
        column.setContentsMargins(1, 4, 1, 4)
        column.addWidget(self.shelf.view, 1)
        column.addWidget(self._empty, 1)
        self.column.addWidget(sheet, 1)
        desk.deeds.leads_to_change(self.merge, self.make)
        self.make.clicked.connect(partial(desk.deeds.do, "pack.make"))
        self.merge.clicked.connect(partial(desk.deeds.do, "pack.merge"))

    def refresh(self) -> None:
        """Read the packs."""
        self.desk.jobs.ask(lambda connection: (packs_made(connection), field_pack(connection)), self._take)

    def _take(self, answer: tuple[list[PackRow], FieldPack | None]) -> None:
        found, own = answer
        for each in (self.make, self.merge):
            each.setVisible(own is None)  # a field register makes no packs and merges nothing
        today = self.desk.jobs.today
        states = [row.state(today) for row in found]
        lines = [Line(row, VERDICTS[state], WORDS[state]) for row, state in zip(found, states, strict=True)]
        self.shelf.show(lines)
        self.shelf.view.setVisible(bool(lines))
        self._empty.setVisible(not lines)
        out = states.count(PackState.OUT)
        self.about.say(f"{counted(out, 'pack')} out" if lines else "")

"""Tags: which numbers each van or holder may give out, and what the firm's tags are printed on."""

from dataclasses import dataclass
from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout

from register.domain.words import Result
from register.services.settings import set_setting, settings
from register.services.tag_ranges import RangeRow, add_range, end_range, ranges
from register.services.tag_stock import stocks
from register.store.engine import Change
from ui.asking.fields import Field, Picked, beside
from ui.dates import shown
from ui.firm.empty import Empty
from ui.firm.lists import Shelf
from ui.firm.section import Section
from ui.firm.tags_dialog import LabelsDialog, RangeDialog, RangeMeant
from ui.look.widgets import Sheet, Words, button
from ui.page import Desk
from ui.table.model import Column

COLOURS = (("on", "Where the rulebook has one"), ("off", "Never"))


@dataclass(frozen=True, slots=True)
class Line:
    """A range as it is listed. `verdict` picks glyph and colour of the words in `state`."""

    row: RangeRow
    verdict: Result
    state: str


def line_of(row: RangeRow) -> Line:
    """Return how a range stands: in use, with few or no numbers left, or ended."""
    if row.ended_on is not None:
        return Line(row, Result.INCOMPLETE, f"Ended {shown(row.ended_on)}")
    if row.following is None:
        return Line(row, Result.FAIL, "None left")
    return Line(row, Result.INCOMPLETE if row.few else Result.PASS, "Few left" if row.few else "In use")


COLUMNS = (
    Column("state", "Standing", lambda line: line.state, 168, "verdict"),
    Column("holder", "Van or holder", lambda line: line.row.holder, 200, "name"),
    Column("numbers", "Numbers", lambda line: line.row.numbers.words, 0, "code"),
    Column("following", "Next", lambda line: line.row.following or "", 132, "code"),
    Column("left", "Left", lambda line: f"{line.row.left:,}", 72, "number"),
)


class TagsSection(Section):
    """The section: the ranges of numbers, and below them the labels."""

    key = "tags"
    title = "Tags"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.shelf = Shelf(COLUMNS, "Ranges of tag numbers", lambda line: line.row.id)
        self.add, self.end = button("Add a range…", "primary"), button("End the range…")
        self.measures = button("Our own labels…")
        self.labels, self.colours = Picked(), Picked(COLOURS)
        self._empty = Empty(
            "No range yet",
            "Each van or holder gets numbers of its own, so that no two are alike. “Add a range…” gives the first.",
        )
        self._settings: dict[str, Any] = {}
        self.head(self.end, self.add)
        self._lay_out()
        desk.deeds.leads_to_change(self.add, self.end, self.measures, self.labels, self.colours)
        self.add.clicked.connect(self.ask_range)
        self.end.clicked.connect(self.ask_end)
        self.measures.clicked.connect(self.ask_labels)
        self.labels.currentIndexChanged.connect(partial(self._keep, "tag_stock", self.labels))
        self.colours.currentIndexChanged.connect(partial(self._keep, "tag_colours", self.colours))

    def _lay_out(self) -> None:
        above, below = Sheet(), Sheet()
        column = QVBoxLayout(above)
        column.setContentsMargins(1, 4, 1, 4)
        column.addWidget(self.shelf.view, 1)
        column.addWidget(self._empty, 1)
        self.column.addWidget(above, 1)
        inside = QVBoxLayout(below)
        inside.setContentsMargins(16, 16, 16, 20)
        inside.setSpacing(14)
        head = QHBoxLayout()
        head.addWidget(Words("Labels", 15, 600))
        head.addStretch(1)
        head.addWidget(self.measures)
        inside.addLayout(head)
        inside.addLayout(
            beside(
                Field("Tags are printed on", self.labels, "What the dialog begins with."),
                Field("Colour of the quarter", self.colours, "On pass tags; its name is always printed too."),
            )
        )
        self.column.addWidget(below)

    def refresh(self) -> None:
        """Read the ranges and what tags are printed on."""
        self.desk.jobs.ask(lambda at: (ranges(at), settings(at).values), self._take)

    def _take(self, found: tuple[list[RangeRow], dict[str, Any]]) -> None:
        rows, kept = found
        self.shelf.show([line_of(row) for row in rows])
        self.shelf.view.setVisible(bool(rows))
        self._empty.setVisible(not rows)
        self.end.setEnabled(any(row.ended_on is None for row in rows))
        self._settings = kept
        for picked, choices, name in (
            (self.labels, [(each.id, each.title) for each in stocks(kept["tag_own_labels"])], "tag_stock"),
            (self.colours, COLOURS, "tag_colours"),
        ):
            picked.offer(choices)
            picked.choose(kept[name])

    def _keep(self, name: str, picked: Picked, _place: int) -> None:
        value = picked.chosen
        if value == self._settings.get(name):
            return
        self.desk.jobs.change(lambda change: set_setting(change, name, value), partial(self._kept, "That is kept."))

    def ask_range(self, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - Qt's signal
        """Ask for a new range."""
        self.open(RangeDialog(self.window(), self._add))

    def _add(self, meant: RangeMeant) -> None:
        def enter(change: Change) -> str:
            return add_range(
                change, holder=meant.holder, prefix=meant.prefix, digits=meant.digits, first=meant.first,
                last=meant.last,
            )  # fmt: skip

        self.carry_out(enter, partial(self._kept, f"{meant.holder} has its numbers."))

    def ask_end(self, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - Qt's signal
        """Ask whether the range under the cursor ends."""
        line = self.shelf.current
        if line is None or line.row.ended_on is not None:
            self.desk.messages.tell("Put the cursor on a range that is in use, then end it.")
            return
        row: RangeRow = line.row
        said = f"What is left of {row.numbers.words} is never given out, by {row.holder} or anybody else."
        if self.desk.messages.confirm("End this range?", said, "End it"):
            self.desk.jobs.change(
                lambda change: end_range(change, row.id, version=row.version),
                partial(self._kept, f"The range of {row.holder} has ended."),
            )

    def ask_labels(self, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - Qt's signal
        """Ask for the measures of the firm's own labels."""
        self.open(LabelsDialog(self.window(), self._settings.get("tag_own_labels") or {}, self._keep_labels))

    def _keep_labels(self, measures: dict[str, float]) -> None:
        self.carry_out(
            lambda change: set_setting(change, "tag_own_labels", measures),
            partial(self._kept, "Your labels are among the formats now."),
        )  # fmt: skip

    def _kept(self, said: str, _answer: object) -> None:
        if self.dialog is not None:
            self.dialog.accept()
        self.desk.messages.tell(said)

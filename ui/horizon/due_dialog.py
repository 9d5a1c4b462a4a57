"""Asks which sites and until when, shows the list of what falls due as it is printed, and writes it."""

from functools import partial
from typing import Final

from PySide6.QtWidgets import QWidget

from register.domain.words import counted
from register.exchange.due_list import write_due_list
from register.services.due_list import DueList, due_list
from register.services.horizon import Horizon
from ui.asking.fields import Field, Picked
from ui.dates import shown
from ui.horizon.due_sheet import laid_out
from ui.horizon.model import Choice
from ui.look.widgets import button
from ui.page import Desk
from ui.paper.dialog import PaperDialog

MOST_ON_PAPER: Final = 5_000
"""A longer list is no use on paper: it would have hundreds of pages."""


class DueDialog(PaperDialog):
    """The dialog. It begins with the week and the site that were chosen."""

    def __init__(self, window: QWidget, desk: Desk, horizon: Horizon, choice: Choice) -> None:
        super().__init__(window, desk, "List what falls due", thing="The list")
        self._horizon = horizon
        self._due: DueList | None = None
        self._build(horizon, choice)
        self._gather()

    def _build(self, horizon: Horizon, choice: Choice) -> None:
        sites = [(row.site_id, row.name) for row in sorted(horizon.rows, key=lambda row: row.name)]
        self._site = Picked([("", "All sites"), *sites])
        self._site.choose(choice.row.site_id)
        self._week = Picked([(week, f"Week {week.number}, {shown(week.last)}") for week in horizon.weeks])
        self._week.choose(horizon.weeks[choice.week or 0])
        self._book = button("Save as a workbook…   Alt B")
        self._book.setShortcut("Alt+B")
        self.lay_out(
            [Field("Sites", self._site), Field("Due by the end of", self._week)], [self._book],
            "Overdue duties and those never done are on the list too.",
        )  # fmt: skip
        for field in (self._site, self._week):
            field.currentIndexChanged.connect(self._gather)
        self._book.clicked.connect(self._ask_book)

    def _gather(self) -> None:
        self._due = None
        self.show_pages(None)
        self._said.say("The list is being gathered.")
        week, site, today = (
            self._horizon.weeks[self._week.currentIndex()],
            str(self._site.chosen or ""),
            self._horizon.today,
        )
        question = partial(due_list, today=today, by=week.last, site=site or None, place=self._site.currentText())
        self.gathers(self._desk.jobs.ask(question, self._show, failed=self.failed))

    def _show(self, due: DueList) -> None:
        self._due = due
        said = f"{counted(len(due.rows), 'duty', 'duties')} on {counted(due.items, 'item')}, by site and area."
        if not due.rows:
            said = "Nothing is due by then. Choose a later week to see what comes next."
        fits = len(due.rows) <= MOST_ON_PAPER
        if not fits:
            said += " That is too long for paper: choose one site, or save it as a workbook."
        self._said.say(said)
        self.show_pages(laid_out(due) if fits else None)

    def enable(self) -> None:
        """A workbook needs the list, however long."""
        super().enable()
        self._book.setEnabled(self._due is not None and self.free)

    def file_name(self, ending: str) -> str:
        """Name the file after the day until which the list goes."""
        assert self._due is not None
        return f"due-by-{self._due.by.isoformat()}.{ending}"

    def pdf_title(self) -> str:
        """Say until when."""
        assert self._due is not None
        return f"Falls due by {shown(self._due.by)}"

    def _ask_book(self) -> None:
        if self._due is not None:
            self.write_book(partial(write_due_list, self._due))

"""What owners asked and nobody has answered yet: each with its item, and room for the answer."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtWidgets import QAbstractItemView, QLineEdit, QWidget

from register.domain.words import counted
from register.services.owners.queries import OpenQuery, open_queries, settle_query
from ui.asking.carrying_out import carry_out
from ui.asking.dialog import Dialog
from ui.asking.fields import Field
from ui.asking.told import Told
from ui.dates import shown
from ui.look.widgets import Words
from ui.page import Desk

HEADS: Final = ("Asked on", "Site", "Tag", "Asked by", "Query")


class QueriesDialog(Dialog):
    """Lists the open queries, the oldest first, and answers the chosen one on Alt+A. It stays until it is closed."""

    def __init__(self, window: QWidget, desk: Desk) -> None:
        super().__init__(window, "What owners asked", wide=860)
        self._desk = desk
        self._queries: Sequence[OpenQuery] = ()
        self._said = Words("Looking…", 13, 400, "ink2", wrap=True)
        self._list = Told("Open queries", HEADS, (110, 90, 120, 170), tall=140)
        self._list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self._whole = Words("", 13, 400, "ink", wrap=True)
        self._answer = QLineEdit()
        self._field = Field(
            "Your answer", self._answer, "What was done or told; it stands in the owner's next workbook."
        )
        for part in (self._said, self._list, self._whole, self._field):
            self.body.addWidget(part, 1 if part is self._list else 0)
        self._settle = self.answers(
            leave="Close", verb="Answer", key="Alt+A", deed=self._settle_chosen,
            hint="An answered query leaves this list and stays in the history.",
        )  # fmt: skip
        self._list.itemSelectionChanged.connect(self._show_chosen)
        self._look()

    def _look(self) -> None:
        self.gathers(self._desk.jobs.ask(open_queries, self._show))

    def _show(self, found: Sequence[OpenQuery]) -> None:
        self._queries = found
        some = bool(found)
        count = counted(len(found), "query waits", "queries wait")
        self._said.say(f"{count} for an answer." if some else "No query waits for an answer.")
        self._list.tell([(shown(each.asked_on), each.site, each.tag, each.asked_by, each.text) for each in found])
        for part in (self._list, self._whole, self._field):
            part.setVisible(some)
        self._settle.setEnabled(some)
        if some:
            self._list.selectRow(0)
            self._answer.setFocus()
        self.fit()

    def _chosen(self) -> OpenQuery | None:
        row = self._list.currentRow()
        return self._queries[row] if 0 <= row < len(self._queries) else None

    def _show_chosen(self) -> None:
        """Show the whole text, which may be longer than its cell."""
        query = self._chosen()
        self._whole.say("" if query is None else f"{query.tag}: {query.text}")
        self._field.complain("")
        self.fit()

    def _settle_chosen(self) -> None:
        query, said = self._chosen(), self._answer.text()
        if query is None:
            self.complain("Choose the query that you answer.")
            return
        if not said.strip():
            self._field.complain("Say what was done or told.")
            self._answer.setFocus()
            return
        carry_out(self._desk, self, lambda change: settle_query(change, query.id, said), self._settled)

    def _settled(self, query: OpenQuery) -> None:
        if self.gone:
            return
        self._rest()
        self._desk.messages.tell(f"{query.tag}: the query of {query.asked_by} is answered.")
        self._answer.clear()
        self._look()

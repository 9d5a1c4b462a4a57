"""Records kept: for how long, what is past that, and its removal, which only somebody's own word does."""

from functools import partial

from PySide6.QtWidgets import QVBoxLayout

from register.domain.words import counted
from register.services.copying import copy_before
from register.services.retention import LAW, PRACTICE, Keeping, LetGone, YearPast, keeping, let_go
from register.stopping import Stopped
from register.store.engine import Register
from ui.dates import shown
from ui.firm.empty import Empty
from ui.firm.lists import Shelf
from ui.firm.section import Section
from ui.look.widgets import Sheet, Words, button
from ui.page import Desk
from ui.table.model import Column

COLUMNS = (
    Column("year", "Year", lambda row: str(row.year), 0, "name"),
    Column("records", "Records", lambda row: f"{row.records:,}", 120, "number"),
    Column("photos", "Photos", lambda row: f"{row.photos:,}", 120, "number"),
    Column("items", "Items", lambda row: f"{row.items:,}", 120, "number"),
)


class KeepingSection(Section):
    """The section: the years and the law above, what is past them by years below."""

    key = "keeping"
    title = "Records kept"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._found: Keeping | None = None
        self.remove_button = button("Remove what is past it…")
        self.remove_button.setEnabled(False)
        self.head(self.remove_button)
        self.years = Words("", 15, 600, wrap=True)
        self.still = Words("", 13, 400, wrap=True)
        self.shelf = Shelf(COLUMNS, "What is past its time, by years", lambda row: str(row.year))
        self._empty = Empty(
            "Nothing is past its time",
            "What is older than the years that are set is listed here, and stays until you remove it.",
        )
        above, below = Sheet(), Sheet()
        inside, column = QVBoxLayout(above), QVBoxLayout(below)
        inside.setContentsMargins(24, 16, 24, 18)
        inside.setSpacing(8)
        inside.addWidget(self.years)
        inside.addWidget(self.still)
        for said in (PRACTICE, LAW):
            inside.addWidget(Words(said, 12, 400, "ink2", wrap=True))
        column.setContentsMargins(1, 4, 1, 4)
        column.addWidget(self.shelf.view, 1)
        column.addWidget(self._empty, 1)
        self.column.addWidget(above)
        self.column.addWidget(below, 1)
        desk.deeds.leads_to_change(self.remove_button)
        self.remove_button.clicked.connect(self.remove)

    def refresh(self) -> None:
        """Read what is past its time."""
        self.desk.jobs.ask(partial(keeping, today=self.desk.jobs.today), self._take)

    def _take(self, found: Keeping) -> None:
        self._found = found
        years = counted(found.years, "year")
        self.years.say(f"Kept for {years}: everything since {shown(found.before)}. The years stand under Settings.")
        self.still.say(_still_words(found))
        rows: tuple[YearPast, ...] = found.past
        self.shelf.show(rows)
        self.shelf.view.setVisible(bool(rows))
        self._empty.setVisible(not rows)
        self.about.say(f"{_sums(found)} past it" if rows else "")
        self.remove_button.setEnabled(bool(rows))

    def remove(self) -> None:
        """Ask whether what is past its time is to go for good, and remove it."""
        found = self._found
        if found is None or not found.past:
            return
        text = (
            f"{_sums(found)} of before {shown(found.before)} go for good, with all readings. That can't be undone, nor"
            " what was done before it. The items, their last tests and the history stay; a copy is made before."
        )
        if self.desk.messages.confirm("Remove what is past its time", text, "Remove"):
            self._remove(found)

    def _remove(self, found: Keeping) -> None:
        jobs = self.desk.jobs
        moment, today, actor = jobs.moment, jobs.today, jobs.actor

        def work(register: Register) -> tuple[LetGone, str]:
            fault = copy_before(register, moment(), "removal")
            with register.change(actor=actor, at=moment(), today=today) as change:
                return let_go(change, found.before), fault

        self.remove_button.setEnabled(False)
        jobs.run(work, self._removed, failed=self._failed, changes=True, said="Removing what is past its time")

    def _removed(self, answer: tuple[LetGone, str]) -> None:
        done, fault = answer
        self.desk.jobs.copied.emit()
        sums = f"{counted(done.records, 'record')} and {counted(done.photos, 'photo')}"
        self.desk.messages.tell(f"{sums} of before {shown(done.before)} removed for good. {fault}".strip())

    def _failed(self, error: Exception) -> None:
        if isinstance(error, Stopped):
            self.desk.messages.tell(str(error))
        else:
            self.desk.messages.failure(error)
        self.refresh()


def _sums(found: Keeping) -> str:
    records = counted(found.records, "record")
    return f"{records} and {counted(found.photos, 'photo')}" if found.photos else records


def _still_words(found: Keeping) -> str:
    said = f"Older, and still needed because nothing followed: {counted(found.still, 'record')}."
    return f"{said} Removed so far: {found.gone:,}." if found.gone else said

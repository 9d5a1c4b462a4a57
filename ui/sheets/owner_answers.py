"""Taking in an owner's answers: what each would do, ticked unless something speaks against it; what else changed."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QTableWidgetItem, QWidget

from register.domain.words import counted
from register.errors import Refused, Unavailable
from register.exchange.returned_sheet import Returned
from register.exchange.review import read_returned
from register.services.owners.review import Reviewed, State, Step, review
from register.store.engine import Change, Register
from ui.asking.carrying_out import carry_out
from ui.asking.dialog import Dialog
from ui.asking.told import Told
from ui.look.typeface import px
from ui.look.widgets import Words
from ui.page import Desk

STEPS: Final = ("Take in", "Tag", "Item", "Answer", "What it does")
CHANGES: Final = ("Sheet", "Row", "Column", "Before", "After")
SHOWN_CHANGES: Final = 200
_KEY: Final = Qt.ItemDataRole.UserRole


@dataclass(frozen=True, slots=True)
class _Tried:
    """What a rehearsal told, or why there was none."""

    returned: Returned | None
    reviewed: Reviewed | None
    why: str = ""


class OwnerAnswersDialog(Dialog):
    """Shows what a returned workbook would do, and does what is ticked on Alt+T."""

    def __init__(self, window: QWidget, desk: Desk, path: Path) -> None:
        super().__init__(window, f"Take in the answers of {path.name}", wide=960)
        self._desk = desk
        self._tried = _Tried(None, None)
        self._said = Words("Reading…", 13, 500, "ink2", wrap=True)
        self._notes = Told("What is to be known of the file", ("",), (), tall=70)
        self._notes.setMaximumHeight(px(150))
        self._steps = Told("What the answers do", STEPS, (70, 130, 180, 96), tall=240)
        self._beside = Words("", 13, 600, wrap=True)
        self._changes = Told("Changed beside the answers, and not taken", CHANGES, (120, 50, 150, 190), tall=96)
        self._changes.setMaximumHeight(px(150))
        for part in (self._said, self._notes, self._steps, self._beside, self._changes):
            self.body.addWidget(part, 1 if part is self._steps else 0)
        self._take = self.answers(
            leave="Leave it", verb="Take in", key="Alt+T", deed=self._take_in,
            hint="Space ticks a row. Removals stay yours: they come in as queries.",
        )  # fmt: skip
        self._take.setEnabled(False)
        self._steps.itemChanged.connect(self._ticked)
        self._hide_lists()
        self._rehearse(path)

    def _hide_lists(self) -> None:
        for part in (self._notes, self._steps, self._beside, self._changes):
            part.hide()

    def _rehearse(self, path: Path) -> None:
        jobs = self._desk.jobs
        moment, today, actor = jobs.moment, jobs.today, jobs.actor

        def work(register: Register) -> _Tried:
            try:
                returned = read_returned(path)
                with register.change(actor=actor, at=moment(), today=today, keep=False) as change:
                    return _Tried(returned, review(change, returned.sent, returned.answers))
            except (Refused, Unavailable) as reason:
                return _Tried(None, None, str(reason))

        self.gathers(jobs.run(work, self._show, failed=self._desk.messages.failure, keeps=False))

    def _show(self, tried: _Tried) -> None:
        self._tried = tried
        if tried.returned is None or tried.reviewed is None:
            self._said.say(tried.why, "overdue")
            self.fit()
            return
        notes = [*tried.returned.notes]
        if tried.reviewed.foreign:
            notes.insert(0, "The workbook does not follow from this register as it is now: tick only what you know.")
        self._notes.setHorizontalHeaderLabels([f"{counted(len(notes), 'thing')} to be known of the file"])
        self._notes.tell([(note,) for note in notes])
        self._notes.setVisible(bool(notes))
        self._steps.blockSignals(True)  # noqa: FBT003 - Qt's own
        _fill_steps(self._steps, tried.reviewed.steps)
        self._steps.blockSignals(False)  # noqa: FBT003 - Qt's own
        self._steps.setVisible(bool(tried.reviewed.steps))
        self._show_changes(tried.returned)
        self._count()
        self.fit()
        self._steps.fit_rows()
        self._steps.setFocus()

    def _show_changes(self, returned: Returned) -> None:
        total = len(returned.changes) + returned.more_changes
        cells = counted(total, "cell reads", "cells read")
        self._beside.say(f"{cells} otherwise than sent. None of it is taken.", "ink")
        self._changes.tell([
            (each.sheet, str(each.row), each.column, each.before, each.after)
            for each in returned.changes[:SHOWN_CHANGES]
        ])  # fmt: skip
        self._beside.setVisible(bool(total))
        self._changes.setVisible(bool(total))

    def _ticked(self, cell: QTableWidgetItem) -> None:
        """Say in a word, too, whether a step is ticked."""
        self._steps.blockSignals(True)  # noqa: FBT003 - Qt's own
        cell.setText(_tick_word(cell))
        self._steps.blockSignals(False)  # noqa: FBT003 - Qt's own
        self._count()

    def _count(self) -> None:
        """Say what would come in as it is ticked now."""
        reviewed = self._tried.reviewed
        assert reviewed is not None, "rows are ticked only where there are some"
        known = sum(step.state is State.KNOWN for step in reviewed.steps)
        chosen = len(self._chosen())
        self._said.say(
            f"From {reviewed.by}. Steps: {len(reviewed.steps):,}, of which {chosen:,} ticked and {known:,} in the"
            f" register already. Items agreed to: {reviewed.agreed:,}.",
            "ink",
        )
        self._take.setEnabled(chosen > 0)

    def _chosen(self) -> frozenset[str]:
        rows = [self._steps.item(row, 0) for row in range(self._steps.rowCount())]
        return frozenset(
            str(cell.data(_KEY)) for cell in rows if cell is not None and cell.checkState() is Qt.CheckState.Checked
        )

    def _take_in(self) -> None:
        returned, chosen = self._tried.returned, self._chosen()
        if returned is None or not chosen:
            self.complain("Nothing is ticked, so there is nothing to take in.")
            return

        def deed(change: Change) -> Reviewed:
            return review(change, returned.sent, returned.answers, wanted=lambda step: step.key in chosen)

        carry_out(self._desk, self, deed, self._done)

    def _done(self, done: Reviewed) -> None:
        steps = counted(done.done, "answer")
        self._desk.messages.tell(f"{steps} of {done.by} taken in.")
        self.accept()


_WORDS: Final = {State.NEW: "Yes", State.CONFLICT: "No", State.KNOWN: "Known", State.REFUSED: "Can't"}


def _tick_word(cell: QTableWidgetItem) -> str:
    return "Yes" if cell.checkState() is Qt.CheckState.Checked else "No"


def _fill_steps(table: Told, steps: Sequence[Step]) -> None:
    table.tell([
        (_WORDS[step.state], step.tag, step.description, step.answer, f"{step.does} {step.why}".strip())
        for step in steps
    ])  # fmt: skip
    for row, step in enumerate(steps):
        cell = table.item(row, 0)
        assert cell is not None, "the row was filled above"
        cell.setData(_KEY, step.key)
        if step.state in {State.NEW, State.CONFLICT}:
            cell.setFlags(cell.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            cell.setCheckState(Qt.CheckState.Checked if step.state is State.NEW else Qt.CheckState.Unchecked)
        else:
            for column in range(table.columnCount()):
                other = table.item(row, column)
                assert other is not None, "the row was filled above"
                other.setFlags(other.flags() & ~Qt.ItemFlag.ItemIsEnabled)

"""Putting a wrong record right: it is laid on the bench as it was, and what is saved takes its place, with a reason."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.places import place_heading, place_of
from register.domain.words import Result
from register.errors import Refused
from register.services.bench.correction import to_correct
from register.services.bench.on_bench import BenchItem, Wrong
from register.services.bench.worksheet import Worksheet
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field
from ui.asking.reading import needed, right
from ui.bench.became import Became
from ui.bench.scan import ScanLine
from ui.bench.session import Session
from ui.dates import shown
from ui.look.theme import verdict_tone
from ui.offer import Answer
from ui.page import Desk


class Correcting(QObject):
    """Lays wrong records on the bench. `found` gives the item with its record, `dropped` that one is left as it is."""

    found = Signal(object)
    dropped = Signal()

    def __init__(self, desk: Desk, session: Session, line: ScanLine, band: ScanLine) -> None:
        super().__init__()
        self._desk, self._session, self._line, self._band = desk, session, line, band
        session.laid.connect(self._tell)

    def begin(self, record_id: str) -> None:
        """Lay a record on the bench, unless something else of its item is half-typed there."""
        question = partial(to_correct, record_id=record_id, today=self._desk.jobs.today)
        self._desk.jobs.ask(question, self._lay, failed=self._failed)

    def _failed(self, reason: Exception) -> None:
        if isinstance(reason, Refused):
            self._line.say(str(reason), Became.REFUSED)
        else:
            self._desk.messages.failure(reason)

    def _lay(self, item: BenchItem) -> None:
        typed = self._session.half_typed_of(item.id)
        self.found.emit(item if typed is None else typed)
        if typed is not None and _wrong_id(typed) != _wrong_id(item):
            self._line.say(
                f"{item.tag} is half-typed here. Save that first, or clear it, then correct the record.", Became.ASIDE
            )

    def _tell(self) -> None:
        """Say above the item which record is corrected, and how to leave it as it is."""
        item = self._session.item
        wrong = item.corrects if item is not None else None
        if wrong is None:
            self._band.say("")
            return
        self._band.say(
            f"This corrects {record_words(wrong)}.{_kept_words(self._session.sheet)}",
            Became.CORRECTED, [Answer("Leave it as it is", "Alt+L", self.dropped.emit)],
        )  # fmt: skip


def _wrong_id(item: BenchItem) -> str:
    return "" if item.corrects is None else item.corrects.record_id


def _kept_words(sheet: Worksheet) -> str:
    """Say which readings stay with the record without a cell, as of a place that was measured twice."""
    kept = [f"{place_heading(place_of(each, sheet.item))}: {each.measure}" for each in sheet.kept]
    return f" Kept with it as {'it was' if len(kept) == 1 else 'they were'}: {'; '.join(kept)}." if kept else ""


def record_words(wrong: Wrong) -> str:
    """Return which record is corrected: "the fail of 24 Nov 2026 by Asha Pell"."""
    by = f" by {wrong.tester}" if wrong.tester else ""
    return f"the {wrong.verdict.value} of {shown(wrong.tested_on)}{by}"


class CorrectDialog(Dialog):
    """Asks why a record is corrected; `deed` gets the reason. Ctrl+Enter confirms, Esc goes back to the bench."""

    def __init__(self, window: QWidget, item: BenchItem, verdict: Result, deed: Callable[[str], None]) -> None:
        super().__init__(window, "Correct this record")
        assert item.corrects is not None
        self._deed = deed
        self.about(item.tag, item.description, f"{item.site_name}, {item.area}")
        self.reason = QLineEdit()
        self.reason.setPlaceholderText("typed 284 for 28.4")
        self.field = Field("Reason", self.reason, "What was wrong with the record. It is kept with your name.")
        self.body.addWidget(self.field)
        was = record_words(item.corrects)
        now = "an incomplete record" if verdict is Result.INCOMPLETE else f"a {verdict.value}"
        said = f"{was[:1].upper()}{was[1:]} gives way to {now}."
        more = (
            "It stays in the history. Dates, and whether the item is out of service, follow from what takes its place."
            " Ctrl Z takes the correction back."
        )
        self.body.addWidget(Block("again", lambda: verdict_tone(verdict), "ink", said, more))
        self.answers(
            leave="Go back to it", verb="Correct it", key="Ctrl+Return", deed=self._correct, hint="Enter is off here."
        )
        self.reason.setFocus()

    def _correct(self) -> None:
        reason = right(self.field, needed("Say what is wrong with the record."))
        if reason:
            self._deed(reason)

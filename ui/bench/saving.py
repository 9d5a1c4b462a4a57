"""Keeping a finished test, one at a time: what stands in the way is said where it stands, and nothing is lost."""

from functools import partial

from PySide6.QtCore import QObject, Signal

from register.domain.words import Result
from register.services.bench.on_bench import Finished, save_correction, save_record
from register.services.corrections import Corrected
from register.services.recording import Recorded
from register.store.engine import Change
from ui.asking.carrying_out import told_in
from ui.bench.correcting import CorrectDialog
from ui.bench.session import Session
from ui.bench.sheet import ItemSheet
from ui.dates import shown
from ui.page import Desk


class Saving(QObject):
    """Keeps what is on the bench. `kept` gives the finished test, what became of it, and that in words."""

    kept = Signal(object, object, str)

    def __init__(self, desk: Desk, session: Session, sheet: ItemSheet) -> None:
        super().__init__()
        self._desk, self._session, self._sheet = desk, session, sheet
        self._dialog: CorrectDialog | None = None
        self.busy = False

    def save(self) -> None:
        """Keep the record as it is, complete or not; one that corrects another with the reason that is asked for."""
        item = self._session.item
        if item is None or self.busy:
            return
        in_the_way = self._in_the_way()
        if in_the_way:
            self._desk.messages.tell(in_the_way)
            return
        crew, session = self._sheet.crew, self._session
        done = Finished(
            item, session.sheet, session.live.record, crew.tester.currentText(), crew.instrument.currentText()
        )
        if item.corrects is not None:
            self._dialog = CorrectDialog(self._sheet.window(), item, session.verdict, partial(self._correct, done))
            self._dialog.finished.connect(self._closed)
            self._dialog.open()
            return
        self.busy = True
        self._desk.jobs.change(partial(_keep, done), partial(self._kept, done), failed=self._refused)

    def _in_the_way(self) -> str:
        """Say what keeps the record from being saved, and lead there; empty where nothing does."""
        item, crew = self._session.item, self._sheet.crew
        assert item is not None
        if not self._session.begun and (item.corrects is None or not crew.differs_from(item.corrects)):
            if item.corrects is not None:
                return "Nothing is other than in the record. Change what was wrong, then save."
            return f"Nothing was seen or measured of {item.tag} yet, so there is nothing to save."
        if self._sheet.plate.wrong:
            self._sheet.plate.tell()
            return self._sheet.plate.wrong
        for place, fault in self._session.live.faults.items():
            self._sheet.readings.cells[place].entry.setFocus()
            return fault
        return crew.lacking(measured=bool(self._session.live.record.readings))

    def _kept(self, done: Finished, recorded: Recorded) -> None:
        self.busy = False
        self.kept.emit(done, recorded, " ".join([_told(recorded), *recorded.warnings]))

    def _refused(self, reason: Exception) -> None:
        self.busy = False
        told_in(self._desk, self._dialog)(reason)

    def _correct(self, done: Finished, reason: str) -> None:
        self.busy = True
        deed = partial(_put_right, done, reason)
        stop = self._desk.jobs.change(deed, partial(self._corrected, done), failed=self._refused)
        if self._dialog is not None:
            self._dialog.works(stop.set)

    def _corrected(self, done: Finished, corrected: Corrected) -> None:
        self.busy = False
        if self._dialog is not None:
            self._dialog.accept()
        recorded = corrected.recorded
        assert recorded is not None
        self.kept.emit(done, recorded, " ".join([_told_right(corrected, recorded), *recorded.warnings]))

    def _closed(self, _answer: int) -> None:
        self._dialog = None


def _told(recorded: Recorded) -> str:
    """Return what is said of a saved record."""
    if recorded.known or recorded.judgement is None:
        return f"This very test of {recorded.tag} is in the register already; nothing was added."
    said = f"{recorded.tag} saved: {recorded.judgement.verdict.value}."
    dates = [due for _duty, due in recorded.dates if due is not None]
    if recorded.judgement.verdict is Result.PASS and dates:
        back = " Back in service." if recorded.returned else ""
        return f"{said}{back} Next due {shown(min(dates))}."
    if recorded.judgement.verdict is Result.FAIL:
        return f"{said} It is out of service."
    return f"{said} It is still due."


def _told_right(corrected: Corrected, recorded: Recorded) -> str:
    """Return what is said of a record that took the place of a wrong one."""
    verdict = "" if recorded.judgement is None else f": {recorded.judgement.verdict.value}"
    said = f"{corrected.tag} corrected{verdict}."
    dates = [due for _duty, due in corrected.dates if due is not None]
    if corrected.out_of_service:
        return f"{said} It is out of service."
    return f"{said} Next due {shown(min(dates))}." if dates else said


def _keep(done: Finished, change: Change) -> Recorded:
    return save_record(change, done)


def _put_right(done: Finished, reason: str, change: Change) -> Corrected:
    return save_correction(change, done, reason)

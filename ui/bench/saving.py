"""Keeping a finished test, one at a time: what stands in the way is said where it stands, and nothing is lost."""

from functools import partial

from PySide6.QtCore import QObject, Signal

from register.services.bench import Finished, save_record
from register.services.recording import Recorded
from register.store.engine import Change
from ui.bench.session import Session
from ui.bench.sheet import ItemSheet
from ui.page import Desk


class Saving(QObject):
    """Keeps what is on the bench. `kept` gives the finished test and what became of it."""

    kept = Signal(object, object)

    def __init__(self, desk: Desk, session: Session, sheet: ItemSheet) -> None:
        super().__init__()
        self._desk, self._session, self._sheet = desk, session, sheet
        self.busy = False

    def save(self) -> None:
        """Keep the record as it is, complete or not."""
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
        self.busy = True
        self._desk.jobs.change(partial(_keep, done), partial(self._kept, done), failed=self._refused)

    def _in_the_way(self) -> str:
        """Say what keeps the record from being saved, and lead there; empty where nothing does."""
        assert self._session.item is not None
        if not self._session.begun:
            tag = self._session.item.tag
            return f"Nothing was seen or measured of {tag} yet, so there is nothing to save."
        if self._sheet.plate.wrong:
            self._sheet.plate.tell()
            return self._sheet.plate.wrong
        for place, fault in self._session.live.faults.items():
            self._sheet.readings.cells[place].entry.setFocus()
            return fault
        return self._sheet.crew.lacking(measured=bool(self._session.live.record.readings))

    def _kept(self, done: Finished, recorded: Recorded) -> None:
        self.busy = False
        self.kept.emit(done, recorded)

    def _refused(self, reason: Exception) -> None:
        self.busy = False
        self._desk.messages.failure(reason)


def _keep(done: Finished, change: Change) -> Recorded:
    return save_record(change, done)

"""What comes onto the bench and leaves it: one item at a time, and nothing that was typed is lost on the way."""

from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication

from register.errors import Refused
from register.services.bench.correction import still_on_bench
from register.services.bench.on_bench import BenchItem
from ui.bench.became import Became
from ui.bench.cursor import Cursor
from ui.bench.saving import Saving
from ui.bench.scan import ScanBox, ScanLine
from ui.bench.scanning import AtWork, Scanning
from ui.bench.session import Session
from ui.bench.sheet import ItemSheet
from ui.bench.side import Scanned, Scans
from ui.bench.surroundings import Surroundings
from ui.look.widgets import standing_word
from ui.page import Desk


class Laying(QObject):
    """Puts items on the bench and takes them off."""

    def __init__(
        self, desk: Desk, session: Session, box: ScanBox, line: ScanLine, scans: Scans, sheet: ItemSheet,
        scanning: Scanning, around: Surroundings, leading: Cursor, saving: Saving,
    ) -> None:  # fmt: skip
        super().__init__()
        self._desk, self._session, self._box, self._line, self._scans = desk, session, box, line, scans
        self._sheet, self._scanning, self._around = sheet, scanning, around
        self._leading, self._saving = leading, saving

    def lay(self, item: BenchItem) -> None:
        """Put an item on the bench; one that was begun is put aside and waits there."""
        now = self._session.item
        self._line.say("")
        self._box.tell_found(f"found {item.tag}, {standing_word(item.standing).lower()}")
        if now is not None and now.id == item.id and self._session.begun:
            self._leading.on()
            return
        self.put_aside()
        self._scans.off_bench()
        self._scans.add(Scanned(item.tag, self._desk.jobs.now(), Became.ON_BENCH, item.id))
        at = self._scanning.at
        if at is None or at.site_id == item.site_id:
            self._scanning.at = AtWork(item.site_id, item.area_id, item.area, item.site_name)
        if self._session.lay(item):
            self._desk.messages.tell(f"{item.tag} goes on with what was typed before.")
        self._around.ask_place()
        self._sheet.to_top()
        if item.corrects is None:
            self._leading.on()
        else:
            self._sheet.to_first()

    def put_aside(self) -> bool:
        """Let what was begun wait until its item is scanned again; whether anything was."""
        aside = self._session.put_aside()
        if aside is None:
            return False
        self._scans.settle(aside.id, Became.ASIDE)
        self._desk.messages.tell(f"{aside.tag} is put aside with what was typed; scan it again to go on.")
        return True

    def leave(self) -> None:
        """Put the item aside, with what was typed of it, and be ready for the next."""
        item = self._session.item
        if self._saving.busy:
            return
        if item is not None and not self.put_aside():
            self._desk.messages.tell(f"{item.tag} is off the bench; nothing was typed of it.")
        self._clear()

    def leave_record(self) -> None:
        """Leave the record that was to be corrected as it is."""
        item = self._session.item
        if item is not None and not self._saving.busy:
            self._clear()
            self._desk.messages.tell(f"The record of {item.tag} stays as it is.")

    def _clear(self) -> None:
        self._session.clear()
        self._scans.off_bench()
        self._line.say("")
        self._box.tell_found("")
        self._box.ready()

    def read_again(self) -> None:
        """Read the item from the register again, where nothing of it was typed."""
        item = self._session.item
        if item is not None and not self._session.begun and not self._saving.busy:
            question = partial(still_on_bench, item=item, today=self._desk.jobs.today)
            self._desk.jobs.ask(question, self._again, failed=partial(self._gone, item))

    def _again(self, item: BenchItem) -> None:
        now = self._session.item
        if now is not None and now.id == item.id and not self._session.begun:
            cursor = QApplication.focusWidget()
            here = cursor is not None and self._sheet.isAncestorOf(cursor)
            self._session.lay(item)
            if here:
                self._leading.on()

    def _gone(self, item: BenchItem, reason: Exception) -> None:
        """Take off the bench what is in the register no more, such as an item whose entering was undone."""
        if not isinstance(reason, Refused):
            self._desk.messages.failure(reason)
        elif self._session.item is item:
            self._clear()
            self._scans.settle(item.id, Became.UNDONE)
            self._line.say(str(reason), Became.UNDONE)

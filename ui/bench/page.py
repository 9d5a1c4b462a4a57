"""The bench: a tag is scanned, the item is looked over and measured, the record is saved, the next one is scanned."""

from collections.abc import Callable
from functools import partial
from itertools import pairwise
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QApplication, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from register.domain.words import Result
from register.services.bench.on_bench import Finished
from register.services.recording import Recorded
from ui.bench.afterwards import Afterwards
from ui.bench.coming import Coming, TakingUp
from ui.bench.correcting import Correcting
from ui.bench.cursor import Cursor
from ui.bench.drafts import Drafts
from ui.bench.laying import Laying
from ui.bench.listening import Listening
from ui.bench.memory import Memory
from ui.bench.newcomer import NewcomerSheet
from ui.bench.nothing import NothingHere
from ui.bench.saving import Saving
from ui.bench.scan import ScanBox, ScanLine
from ui.bench.scanning import Scanning
from ui.bench.session import Session
from ui.bench.sheet import ItemSheet
from ui.bench.side import Here, Scans, Side
from ui.bench.surroundings import Surroundings
from ui.bench.verdict import VerdictPanel
from ui.bench.withdrawal import TakingOut
from ui.bench.words import few
from ui.look.typeface import px
from ui.page import Desk, Page
from ui.wanted import CorrectRecord

NARROW: Final = 1340
"""Below this width, grown with the type, the middle would be too narrow for seven columns of readings."""


class BenchPage(Page):
    """The page where tests are made."""

    key = "bench"
    title = "Bench"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.session, self.memory = Session(desk.jobs.today), Memory(desk.folder)
        self.here, self.scans = Here(), Scans()
        self.box, self.line = ScanBox(), ScanLine()
        self.sheet, self.verdict = ItemSheet(self.session), VerdictPanel(self.session)
        self._nothing = NothingHere(partial(desk.go, "register", None), desk.deeds)
        self.newcomer = NewcomerSheet()
        self.listening = Listening(self, self.box.field, self._heeds, lambda: self.memory.now.scanner)
        self.scanning = Scanning(desk, self.box, self.line, self.scans, self.memory)
        self.coming = Coming(self, self.scanning, self.session, self.newcomer, self.memory)
        self.around = Surroundings(desk, self.here, self.sheet.crew, self.scanning, self.memory)
        self.saving = Saving(desk, self.session, self.sheet)
        self.correcting = Correcting(desk, self.session, self.line, self.sheet.correction)
        self.after = Afterwards(self, self.session, self.scans, self._nothing, self.line, self.correcting)
        self.leading = Cursor(self.session, self.sheet, self.verdict, self.saving.save)
        self.laying = Laying(
            desk, self.session, self.box, self.line, self.scans, self.sheet, self.scanning, self.around, self.leading,
            self.saving,
        )  # fmt: skip
        self.taking_out = TakingOut(self, desk, self._ready)
        self.drafts = Drafts(self, desk.folder, self.session.half_typed)
        self.taking_up = TakingUp(self, self.session, self.drafts)
        self._stack = QStackedWidget()
        for each in (self._nothing, self.sheet, self.newcomer):
            self._stack.addWidget(each)
        self._side = Side(self.here, self.scans)
        self._lay_out()
        self._listen()
        self._laid()

    def _lay_out(self) -> None:
        centre = QVBoxLayout()
        centre.setSpacing(px(12))
        for widget in (self.box, self.line):
            centre.addWidget(widget)
        centre.addWidget(self._stack, 1)
        self._row = QHBoxLayout(self)
        self._row.addWidget(self._side)
        self._row.addLayout(centre, 1)
        self._row.addWidget(self.verdict)
        self._fit()

    def _listen(self) -> None:
        self.session.laid.connect(self._laid)
        self.session.judged.connect(self._judged)
        for source in (self.box, self.listening):
            source.scanned.connect(partial(self.scanning.take, self.listening))
        self.scanning.found.connect(self.laying.lay)
        self.scanning.unknown.connect(self._unknown)
        self.scanning.new_item.connect(self.coming.ask_newcomer)
        self.coming.wanted.connect(self._show_newcomer)
        self.coming.placed.connect(self.around.ask_place)
        self.coming.closed.connect(self._ready)
        self.newcomer.left.connect(self.laying.leave)
        self.after.again = self.scanning.put_on
        self.after.changed.connect(self._allow)
        self.scanning.correct.connect(self.correcting.begin)
        self.correcting.found.connect(self.laying.lay)
        self.correcting.dropped.connect(self.laying.leave_record)
        self.here.chosen.connect(self.scanning.put_on)
        self.scans.chosen.connect(self.scanning.put_on)
        self.sheet.entered.connect(self.leading.enter)
        self.sheet.looked.connect(self.leading.on)
        self.around.chosen.connect(self.leading.on)
        self.around.placed.connect(self._fit)
        self.verdict.entered.connect(self.leading.on)
        self.verdict.saved.connect(self.saving.save)
        self.saving.kept.connect(self._saved)
        self.verdict.left.connect(self.laying.leave)
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        escape.activated.connect(self.laying.leave)
        self.desk.deeds.offer("bench.scan", self._to_scan)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._follow)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Put the left side where there is room for it: in a small window only while no item lies here."""
        narrow = self.width() < px(NARROW)
        at = self._row.count() - 1 if narrow else 0
        if self._row.indexOf(self._side) != at:
            self._row.removeWidget(self._side)
            self._row.insertWidget(at, self._side)
        self._side.setVisible(not narrow or self.session.item is None)
        edge = px(16 if narrow else 24)
        self._row.setContentsMargins(edge, px(12 if narrow else 16), edge, px(12 if narrow else 16))
        self._row.setSpacing(px(12 if narrow else 16))
        self.box.show_narrow(narrow=narrow, beside=self.here.short)
        for part in (self._side, self.sheet, self.verdict):
            part.show_narrow(narrow=narrow)

    def _follow(self, _before: QWidget | None, now: QWidget | None) -> None:
        if now is not None and self.session.item is not None:
            self.sheet.bring_into_sight(now)

    def shown(self, wanted: object = None) -> None:
        """Come to the front, ready for a tag where nothing is on the bench."""
        super().shown(wanted)
        self._allow()
        if self.session.item is None:
            self.box.setFocus()

    def refresh(self) -> None:
        """Read the crew, what is left here, and the item again where nothing of it was typed."""
        self.around.refresh()
        self.after.refresh()
        self.laying.read_again()

    def _heeds(self) -> bool:
        return self.isVisible() and (self.window().isActiveWindow() or QApplication.activeModalWidget() is not None)

    def show_wanted(self, wanted: object) -> None:
        """Put an item on the bench that another page names by its id, or a record that is to be put right."""
        if isinstance(wanted, CorrectRecord):
            self.correcting.begin(wanted.record_id)
        elif isinstance(wanted, str):
            self.scanning.put_on(wanted)

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do while the bench is in front."""
        return {
            "bench.save": self.saving.save, "bench.look": self.sheet.look.tick_all, "item.withdraw": self._withdraw,
            "bench.connect": self.sheet.set_up.explain,
        } | self._always() | self.after.offers()  # fmt: skip

    def _always(self) -> dict[str, Callable[[], None]]:
        """Return what can be done here with nothing on the bench."""
        return {
            "bench.place": self.coming.ask_place,
            "bench.aside": self.coming.list_aside,
            "bench.scanner": self.coming.set_up_scanner,
        }

    def unsaved(self) -> str:
        """Return which worksheets closing now would lose; none where they are kept for the next start."""
        tags = self.session.unsaved
        if self.drafts.write():
            return ""
        return f"What was typed at the bench for {few(tags)} is not saved and would be lost." if tags else ""

    def _allow(self) -> None:
        if self.isVisible():
            always, after, item = self._always(), self.after.offers(), self.session.item
            for name in self.offers():
                here = item is not None and (name != "bench.connect" or item.known.item.has_switch)
                possible = self.after.possible(name) if name in after else name in always or here
                self.desk.deeds.enable(name, enabled=possible)

    def _to_scan(self) -> None:
        if not self.isVisible():
            self.desk.go(self.key, None)
        self.box.setFocus()

    def _unknown(self, code: str) -> None:
        """Ask what an unknown tag is where nothing lies on the bench; otherwise the line offers it."""
        if self.session.item is None:
            self.coming.ask_newcomer(code)
            self.box.setFocus()

    def _show_newcomer(self) -> None:
        """Show what is asked of an unknown tag; an item that was begun waits meanwhile."""
        self.laying.put_aside()
        self.session.clear()
        self._stack.setCurrentWidget(self.newcomer)
        self.newcomer.begin()

    def _laid(self) -> None:
        """Show the item that is on the bench now, or that nothing is."""
        there = self.session.item is not None
        self._stack.setCurrentWidget(self.sheet if there else self._nothing)
        self.drafts.changed()
        self.verdict.setVisible(there)
        self._fit()
        if there:
            self.sheet.lay_out()
        self.sheet.crew.lend(self.session.item.corrects if self.session.item is not None else None)
        if there:
            self.verdict.refresh()
            order = [self.here.lines, self.scans.lines, self.box.field, *self.sheet.widgets(), *self.verdict.widgets()]
            for before, after in pairwise(order):
                QWidget.setTabOrder(before, after)
        self._allow()

    def _judged(self) -> None:
        self.drafts.changed()
        self.sheet.refresh()
        self.verdict.refresh()

    def _saved(self, done: Finished, recorded: Recorded, said: str) -> None:
        self.after.saved(done, recorded, said)
        self.scanning.forget()
        if done.item.corrects is None:
            self.around.remember()
            self.sheet.crew.next_item()
        self.desk.messages.tell(said)
        if self.session.item is not None and self.session.item.id == done.item.id:
            self.session.clear()
        self.box.tell_found("")
        self.box.ready()
        self.drafts.write()
        before, judged = done.item.withdrawn, recorded.judgement
        failed = judged is not None and judged.verdict is Result.FAIL and not recorded.known
        if failed and (before is None or not before.tag_number):
            self.taking_out.ask(done.item.id)

    def _withdraw(self) -> None:
        if self.session.item is not None:
            self.taking_out.ask(self.session.item.id)

    def _ready(self) -> None:
        """Be ready for the next tag after a dialog, or go on with the item that is still there."""
        if self._stack.currentWidget() is self._nothing:
            self.box.ready()

"""The bench: a tag is scanned, the item is looked over and measured, the record is saved, the next one is scanned."""

from collections.abc import Callable
from functools import partial
from itertools import pairwise
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QApplication, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from register.domain.words import Result
from register.services.bench import BenchItem, Finished, on_bench
from register.services.recording import Recorded
from ui.bench.became import OF_VERDICT, Became
from ui.bench.coming import Coming, TakingUp
from ui.bench.cursor import Cursor
from ui.bench.drafts import Drafts
from ui.bench.listening import Listening
from ui.bench.memory import Memory
from ui.bench.newcomer import NewcomerSheet
from ui.bench.saving import Saving
from ui.bench.scan import ScanBox, ScanLine
from ui.bench.scanning import AtWork, Scanning
from ui.bench.session import Session
from ui.bench.sheet import ItemSheet, NothingHere
from ui.bench.side import Here, Scanned, Scans, left_side
from ui.bench.surroundings import Surroundings
from ui.bench.verdict import VerdictPanel
from ui.bench.withdrawal import TakingOut
from ui.bench.words import few
from ui.dates import shown
from ui.look.typeface import px
from ui.look.widgets import standing_word
from ui.page import Desk, Page

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
        self._nothing = NothingHere(partial(desk.go, "register", None))
        self.newcomer = NewcomerSheet()
        self.listening = Listening(self, self.box.field, self._heeds, lambda: self.memory.now.scanner)
        self.scanning = Scanning(desk, self.box, self.line, self.scans, self.memory)
        self.coming = Coming(self, self.scanning, self.session, self.newcomer, self.memory)
        self.around = Surroundings(desk, self.here, self.sheet.crew, self.scanning, self.memory)
        self.saving = Saving(desk, self.session, self.sheet)
        self.leading = Cursor(self.session, self.sheet, self.verdict, self.saving.save)
        self.taking_out = TakingOut(self, desk, self._ready)
        self.drafts = Drafts(self, desk.folder, self.session.half_typed)
        self.taking_up = TakingUp(self, self.session, self.drafts, self.line)
        self._stack = QStackedWidget()
        for each in (self._nothing, self.sheet, self.newcomer):
            self._stack.addWidget(each)
        self._left = left_side(self.here, self.scans)
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
        self._row.addWidget(self._left)
        self._row.addLayout(centre, 1)
        self._row.addWidget(self.verdict)
        self._fit()

    def _listen(self) -> None:
        self.session.laid.connect(self._laid)
        self.session.judged.connect(self._judged)
        for source in (self.box, self.listening):
            source.scanned.connect(partial(self.scanning.take, self.listening))
        self.scanning.found.connect(self._lay)
        self.scanning.unknown.connect(self._unknown)
        self.scanning.new_item.connect(self.coming.ask_newcomer)
        self.coming.wanted.connect(self._show_newcomer)
        self.coming.placed.connect(self.around.ask_place)
        self.coming.closed.connect(self._ready)
        self.newcomer.left.connect(self.leave)
        self.taking_up.go_on = self.scanning.put_on
        self.here.chosen.connect(self.scanning.put_on)
        self.scans.chosen.connect(self.scanning.put_on)
        self.sheet.entered.connect(self.leading.enter)
        self.sheet.looked.connect(self.leading.on)
        self.around.chosen.connect(self.leading.on)
        self.around.placed.connect(self._fit)
        self.verdict.entered.connect(self.leading.on)
        self.verdict.saved.connect(self.saving.save)
        self.saving.kept.connect(self._saved)
        self.verdict.left.connect(self.leave)
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        escape.activated.connect(self.leave)
        self.desk.deeds.offer("bench.scan", self._to_scan)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._follow)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Leave out the left side where there is no room for it."""
        narrow = self.width() < px(NARROW)
        self._left.setVisible(not narrow)
        edge = px(16 if narrow else 24)
        self._row.setContentsMargins(edge, px(12 if narrow else 16), edge, px(12 if narrow else 16))
        self._row.setSpacing(px(12 if narrow else 16))
        self.box.show_narrow(narrow=narrow, beside=self.here.short)
        self.sheet.show_narrow(narrow=narrow)
        self.verdict.show_narrow(narrow=narrow)

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
        item = self.session.item
        if item is not None and not self.session.begun and not self.saving.busy:
            self.desk.jobs.ask(partial(on_bench, item_id=item.id, today=self.desk.jobs.today), self._again)

    def _again(self, item: BenchItem) -> None:
        now = self.session.item
        if now is not None and now.id == item.id and not self.session.begun:
            cursor = QApplication.focusWidget()
            here = cursor is not None and self.sheet.isAncestorOf(cursor)
            self.session.lay(item)
            if here:
                self.leading.on()

    def _heeds(self) -> bool:
        return self.isVisible() and (self.window().isActiveWindow() or QApplication.activeModalWidget() is not None)

    def show_wanted(self, wanted: object) -> None:
        """Put an item on the bench that another page names by its id."""
        if isinstance(wanted, str):
            self.scanning.put_on(wanted)

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do while the bench is in front."""
        return {
            "bench.save": self.saving.save, "bench.look": self.sheet.look.tick_all, "item.withdraw": self._withdraw,
            "bench.connect": self.sheet.set_up.explain,
        } | self._always()  # fmt: skip

    def _always(self) -> dict[str, Callable[[], None]]:
        """Return what can be done here with nothing on the bench."""
        return {
            "bench.place": self.coming.ask_place,
            "bench.aside": self.coming.list_aside,
            "bench.scanner": self.coming.set_up_scanner,
        }

    def unsaved(self) -> str:
        """Return which worksheets closing now would lose."""
        tags = self.session.unsaved
        return f"What was typed at the bench for {few(tags)} is not saved and would be lost." if tags else ""

    def _allow(self) -> None:
        if self.isVisible():
            always, item = self._always(), self.session.item
            for name in self.offers():
                possible = item is not None and (name != "bench.connect" or item.known.item.has_switch)
                self.desk.deeds.enable(name, enabled=name in always or possible)

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
        self._set_aside()
        self.session.clear()
        self._stack.setCurrentWidget(self.newcomer)
        self.newcomer.begin()

    def _lay(self, item: BenchItem) -> None:
        """Put an item on the bench; one that was begun is put aside and waits there."""
        now = self.session.item
        self.line.say("")
        self.box.tell_found(f"found {item.tag}, {standing_word(item.standing).lower()}")
        if now is not None and now.id == item.id and self.session.begun:
            self.leading.on()
            return
        self._set_aside()
        self.scans.add(Scanned(item.tag, self.desk.jobs.now(), Became.ON_BENCH, item.id))
        at = self.scanning.at
        if at is None or at.site_id == item.site_id:
            self.scanning.at = AtWork(item.site_id, item.area_id, item.area, item.site_name)
        if self.session.lay(item):
            self.desk.messages.tell(f"{item.tag} goes on with what was typed before.")
        self.around.ask_place()
        self.sheet.to_top()
        self.leading.on()

    def _set_aside(self) -> bool:
        aside = self.session.put_aside()
        if aside is None:
            return False
        self.scans.settle(aside.id, Became.ASIDE)
        self.desk.messages.tell(f"{aside.tag} is put aside with what was typed; scan it again to go on.")
        return True

    def _laid(self) -> None:
        """Show the item that is on the bench now, or that nothing is."""
        there = self.session.item is not None
        self._stack.setCurrentWidget(self.sheet if there else self._nothing)
        self.drafts.changed()
        self.verdict.setVisible(there)
        if there:
            self.sheet.lay_out()
            self.verdict.refresh()
            order = [self.here.lines, self.scans.lines, self.box.field, *self.sheet.widgets(), *self.verdict.widgets()]
            for before, after in pairwise(order):
                QWidget.setTabOrder(before, after)
        self._allow()

    def _judged(self) -> None:
        self.drafts.changed()
        self.sheet.refresh()
        self.verdict.refresh()

    def _saved(self, done: Finished, recorded: Recorded) -> None:
        verdict = recorded.judgement.verdict if recorded.judgement is not None else Result.INCOMPLETE
        self.scans.settle(done.item.id, OF_VERDICT[verdict])
        self.scanning.forget()
        self.around.remember()
        self.sheet.crew.next_item()
        self.desk.messages.tell(" ".join([_told(recorded), *recorded.warnings]))
        if self.session.item is not None and self.session.item.id == done.item.id:
            self.session.clear()
        self.box.tell_found("")
        self.box.ready()
        self.drafts.write()
        before = done.item.withdrawn
        if verdict is Result.FAIL and (before is None or not before.tag_number) and not recorded.known:
            self.taking_out.ask(done.item.id)

    def leave(self) -> None:
        """Put the item aside, with what was typed of it, and be ready for the next."""
        item = self.session.item
        if self.saving.busy:
            return
        if item is not None and not self._set_aside():
            self.desk.messages.tell(f"{item.tag} is off the bench; nothing was typed of it.")
        self.session.clear()
        self.line.say("")
        self.box.tell_found("")
        self.box.ready()

    def _withdraw(self) -> None:
        if self.session.item is not None:
            self.taking_out.ask(self.session.item.id)

    def _ready(self) -> None:
        """Be ready for the next tag after a dialog, or go on with the item that is still there."""
        if self._stack.currentWidget() is self._nothing:
            self.box.ready()


def _told(recorded: Recorded) -> str:
    """Return what the status line says of a saved record."""
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

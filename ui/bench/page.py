"""The bench: a tag is scanned, the item is looked over and measured, the record is saved, the next one is scanned."""

from collections.abc import Callable
from functools import partial
from itertools import pairwise
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QApplication, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from register.domain.records import Place
from register.domain.words import Result
from register.services.bench import BenchItem, Finished, Outcome, Scan, crew, on_bench, scan
from register.services.bench_place import WorkPlace, work_place
from register.services.recording import Recorded
from register.services.worksheet import in_working_order
from ui.bench.saving import Saving
from ui.bench.scan import ScanBox, ScanLine
from ui.bench.session import Session
from ui.bench.sheet import ItemSheet, NothingHere
from ui.bench.side import NEARBY, Became, Here, Scanned, Scans, left_side
from ui.bench.verdict import VerdictPanel
from ui.bench.withdrawal import TakingOut
from ui.dates import shown
from ui.look.typeface import px
from ui.page import Desk, Page

NARROW: Final = 1340
"""Below this width, grown with the type, the middle would be too narrow for seven columns of readings."""
_BECAME: Final = {Result.PASS: Became.PASS, Result.FAIL: Became.FAIL, Result.INCOMPLETE: Became.INCOMPLETE}

_NAMED: Final = 5


class BenchPage(Page):
    """The page where tests are made."""

    key = "bench"
    title = "Bench"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.session = Session(desk.jobs.today)
        self.here, self.scans = Here(), Scans()
        self.box, self.line = ScanBox(), ScanLine()
        self.sheet, self.verdict = ItemSheet(self.session), VerdictPanel(self.session)
        self._nothing = NothingHere(partial(desk.go, "register", None))
        self.saving = Saving(desk, self.session, self.sheet)
        self.taking_out = TakingOut(self, desk, self._taken_out)
        self._stack = QStackedWidget()
        self._stack.addWidget(self._nothing)
        self._stack.addWidget(self.sheet)
        self._left = left_side(self.here, self.scans)
        self._at: tuple[str, str, str] | None = None
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
        self.box.scanned.connect(self._scan)
        self.here.chosen.connect(self._ask_for)
        self.scans.chosen.connect(self._ask_for)
        self.sheet.entered.connect(self._enter)
        self.sheet.looked.connect(self._on)
        self.verdict.entered.connect(self._on)
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
        self.desk.jobs.ask(crew, self.sheet.crew.show_crew)
        self._ask_place()
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
                self._on()

    def _ask_place(self) -> None:
        if self._at is None:
            return
        site, area, name = self._at
        self.desk.jobs.ask(
            partial(work_place, site_id=site, area_id=area, area=name, today=self.desk.jobs.today, shown=NEARBY),
            self._show_place,
        )

    def _show_place(self, place: WorkPlace) -> None:
        self.here.show_place(place)
        self._fit()

    def show_wanted(self, wanted: object) -> None:
        """Put an item on the bench that another page names by its id."""
        if isinstance(wanted, str):
            self._ask_for(wanted)

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do while the bench is in front."""
        return {"bench.save": self.saving.save, "bench.look": self.sheet.look.tick_all, "item.withdraw": self._withdraw}

    def unsaved(self) -> str:
        """Return which worksheets closing now would lose."""
        tags = self.session.unsaved
        if not tags:
            return ""
        few = ", ".join(tags[:_NAMED]) + (f" and {len(tags) - _NAMED} more" if len(tags) > _NAMED else "")
        return f"What was typed at the bench for {few} is not saved and would be lost."

    def _allow(self) -> None:
        if self.isVisible():
            for name in self.offers():
                self.desk.deeds.enable(name, enabled=self.session.item is not None)

    def _to_scan(self) -> None:
        if not self.isVisible():
            self.desk.go(self.key, None)
        self.box.setFocus()

    def _scan(self, typed: str) -> None:
        self.desk.jobs.ask(partial(scan, typed=typed, today=self.desk.jobs.today), self._scanned)

    def _scanned(self, found: Scan) -> None:
        if found.item is not None:
            self._lay(found.item)
            return
        became = Became.UNKNOWN if found.outcome is Outcome.UNKNOWN else Became.REFUSED
        self.line.say(found.said)
        self.scans.add(Scanned(found.code, self.desk.jobs.now(), became))
        self.box.keep(found.code)

    def _ask_for(self, item_id: str) -> None:
        self.desk.jobs.ask(partial(on_bench, item_id=item_id, today=self.desk.jobs.today), self._lay)

    def _lay(self, item: BenchItem) -> None:
        """Put an item on the bench; one that was begun is put aside and waits there."""
        now = self.session.item
        if now is not None and now.id == item.id and self.session.begun:
            self._on()
            return
        self.line.say("")
        self._set_aside()
        self.scans.add(Scanned(item.tag, self.desk.jobs.now(), Became.ON_BENCH, item.id))
        self._at = (item.site_id, item.area_id, item.area)
        if self.session.lay(item):
            self.desk.messages.tell(f"{item.tag} goes on with what was typed before.")
        self._ask_place()
        self.sheet.to_top()
        self._on()

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
        self.verdict.setVisible(there)
        if there:
            self.sheet.lay_out()
            self.verdict.refresh()
            order = [self.here.lines, self.scans.lines, self.box.field, *self.sheet.widgets(), *self.verdict.widgets()]
            for before, after in pairwise(order):
                QWidget.setTabOrder(before, after)
        self._allow()

    def _judged(self) -> None:
        self.sheet.refresh()
        self.verdict.refresh()

    def _enter(self, place: Place) -> None:
        """Go from a cell to the next missing one; stay where what was typed is no reading."""
        if place in self.session.live.faults:
            self.sheet.readings.cells[place].entry.selectAll()
            return
        self._on(place)

    def _on(self, after: Place | None = None) -> None:
        """Go to what is still to be seen or measured; save where nothing is, if the cursor was in the last reading."""
        live = self.session.live
        if live.look_missing and after is None:
            first = self.sheet.look.first_open()
            if first is not None:
                first.setFocus()
                return
        if live.missing:
            behind = [] if after is None else _behind(after, live.missing)
            self.sheet.readings.cells[(behind or live.missing)[0]].entry.setFocus()
        elif live.look_missing:
            self._on()
        elif after is not None or self.verdict.enter.hasFocus():
            self.saving.save()
        else:
            self.verdict.enter.setFocus()

    def _saved(self, done: Finished, recorded: Recorded) -> None:
        verdict = recorded.judgement.verdict if recorded.judgement is not None else Result.INCOMPLETE
        self.scans.settle(done.item.id, _BECAME[verdict])
        self.desk.messages.tell(_told(recorded))
        if self.session.item is not None and self.session.item.id == done.item.id:
            self.session.clear()
        self.box.ready()
        before = done.item.withdrawn
        if verdict is Result.FAIL and (before is None or not before.tag_number) and not recorded.known:
            self.taking_out.ask(done.item.id)

    def leave(self) -> None:
        """Put the item aside, with what was typed of it, and be ready for the next."""
        item = self.session.item
        if item is None or self.saving.busy:
            return
        if not self._set_aside():
            self.desk.messages.tell(f"{item.tag} is off the bench; nothing was typed of it.")
        self.session.clear()
        self.line.say("")
        self.box.ready()

    def _withdraw(self) -> None:
        if self.session.item is not None:
            self.taking_out.ask(self.session.item.id)

    def _taken_out(self) -> None:
        """Be ready for the next tag, or go on with the item that is still there."""
        if self.session.item is None:
            self.box.ready()


def _behind(place: Place, missing: tuple[Place, ...]) -> list[Place]:
    return [each for each in missing if in_working_order(each) > in_working_order(place)]


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

"""What comes to the bench besides items: unknown tags, codes set aside, the place of work, half-typed tests."""

from functools import partial
from typing import Final

from PySide6.QtCore import QObject, Signal

from register.errors import Refused
from register.services.bench.aside import Aside, codes_aside, drop_code, enter_code
from register.services.bench.drafts import Draft, drafts_kept
from register.services.place_choices import SiteWithAreas, sites_with_areas
from register.services.places import area_named
from register.services.week.todays_stops import TodaysStop, todays_stops
from register.store.engine import Change
from ui.bench.aside_dialog import AsideDialog
from ui.bench.drafts import Drafts
from ui.bench.memory import Memory
from ui.bench.newcomer import Newcomer, NewcomerSheet
from ui.bench.place_dialog import PlaceDialog
from ui.bench.scanner_dialog import ScannerDialog
from ui.bench.scanning import AtWork, Scanning
from ui.bench.session import Session
from ui.bench.words import few
from ui.offer import Answer
from ui.page import Page

LABEL: Final = "RR-123-YZ"


class Coming(QObject):
    """Asks what a scan alone does not settle. `placed` tells where one works now, `closed` that all is said."""

    placed = Signal(object)
    closed = Signal()
    wanted = Signal()

    def __init__(self, page: Page, scanning: Scanning, session: Session, sheet: NewcomerSheet, memory: Memory) -> None:
        super().__init__(page)
        self._page, self._desk, self._scanning, self._session = page, page.desk, scanning, session
        self._sheet, self._memory = sheet, memory
        sheet.entered.connect(self._enter)
        sheet.dropped.connect(self._drop)

    def ask_newcomer(self, code: str) -> None:
        """Show what is asked of an unknown code."""
        at = self._scanning.at
        self._sheet.ask(code, f"{at.site_name}, {at.area}" if at else "")
        self.wanted.emit()

    def _enter(self, said: Newcomer) -> None:
        at = self._scanning.at
        if at is None:
            self._sheet.complain("Say first where you work: press F6. What you typed stays.")
            return
        deed = partial(_enter_code, said, at)
        self._desk.jobs.change(deed, partial(self._entered, said.code), failed=self._not_entered)

    def _entered(self, code: str, item_id: str) -> None:
        self._desk.messages.tell(f"{code} is entered as a new item.")
        self._scanning.forget()
        self._scanning.put_on(item_id)

    def _not_entered(self, reason: Exception) -> None:
        if isinstance(reason, Refused):
            self._sheet.complain(str(reason))
        else:
            self._desk.messages.failure(reason)

    def _drop(self, code: str) -> None:
        self._desk.jobs.change(partial(_drop_code, code), partial(self._dropped, code))

    def _dropped(self, code: str, _waited: bool) -> None:  # noqa: FBT001 - the answer of the service
        self._desk.messages.tell(f"{code} is let go; it is no item.")
        self.closed.emit()

    def list_aside(self) -> None:
        """Show the codes set aside."""
        self._desk.jobs.ask(codes_aside, self._show_aside)

    def _show_aside(self, codes: tuple[Aside, ...]) -> None:
        let_go = partial(self._change, "is let go; it is no item.")
        dialog = AsideDialog(self._page.window(), codes, self.ask_newcomer, let_go)
        dialog.open()

    def _change(self, said: str, code: str) -> None:
        self._desk.jobs.change(partial(_drop_code, code), lambda _waited: self._desk.messages.tell(f"{code} {said}"))

    def ask_place(self) -> None:
        """Ask where one works."""
        today = self._desk.jobs.today
        self._desk.jobs.ask(
            lambda connection: (sites_with_areas(connection), todays_stops(connection, today)), self._show_place
        )

    def _show_place(self, found: tuple[tuple[SiteWithAreas, ...], tuple[TodaysStop, ...]]) -> None:
        at, (sites, stops) = self._scanning.at, found
        here = (at.site_id, at.area) if at else ("", "")
        dialog = PlaceDialog(self._page.window(), sites, here, stops, self._work_at)
        dialog.finished.connect(lambda _answer: self.closed.emit())
        dialog.open()

    def _work_at(self, site: SiteWithAreas, area: str) -> None:
        def then(area_id: str) -> None:
            self.work_at(AtWork(site.id, area_id, area or "the whole site", site.name))
            self._desk.messages.tell(f"You work at {site.name} now; tags of other sites are told apart.")

        self._desk.jobs.change(partial(_area, site.id, area), then)

    def work_at(self, at: AtWork) -> None:
        """Take a place as the one where one works."""
        self._scanning.at = at
        if self._sheet.code:
            self._sheet.ask(self._sheet.code, f"{at.site_name}, {at.area}")
        self.placed.emit(at)

    def set_up_scanner(self) -> None:
        """Read a test label, and remember what it showed."""
        item = self._session.item
        printed = item.tag if item is not None else LABEL

        def keep(what: dict[str, str]) -> None:
            self._memory.keep(**what)
            self._desk.messages.tell("The scanner's settings are remembered on this computer.")

        dialog = ScannerDialog(self._page.window(), self._memory.now, printed, keep)
        dialog.finished.connect(lambda _answer: self.closed.emit())
        dialog.open()


class TakingUp(QObject):
    """Offers what was half-typed when the program ended, once the register has said which of it still counts."""

    def __init__(self, page: Page, session: Session, drafts: Drafts) -> None:
        super().__init__(page)
        self._desk, self._key, self._session, self._drafts = page.desk, page.key, session, drafts
        self._offered: frozenset[str] = frozenset()
        session.laid.connect(self._laid)
        if page.desk.folder is not None:
            question = partial(drafts_kept, every=drafts.every(), today=page.desk.jobs.today)
            self._desk.jobs.ask(question, self._known)

    def _known(self, kept: tuple[str, list[Draft]]) -> None:
        self._drafts.register, found = kept
        self._session.take_up(found)
        self._drafts.write()
        if not found:
            return
        self._offered = frozenset(draft.item.id for draft in found)
        tags = [draft.item.tag for draft in found]
        was = "was" if len(tags) == 1 else "were"
        go_on = Answer(f"Go on with {tags[0]}", "Alt+G", partial(self._desk.go, self._key, found[0].item.id))
        drop = Answer("Drop what was typed", "Alt+X", self._drop)
        self._desk.offer(f"{few(tags, 3)} {was} half-typed at the bench when the program ended.", [go_on, drop])

    def _laid(self) -> None:
        """Offer nothing more once the bench goes on with one of them."""
        item = self._session.item
        if item is not None and item.id in self._offered:
            self._close()

    def _drop(self) -> None:
        for key in self._offered:
            self._session.let_go(key)
        self._drafts.write()
        self._close()

    def _close(self) -> None:
        self._offered = frozenset()
        self._desk.offer("", ())


def _enter_code(said: Newcomer, at: AtWork, change: Change) -> str:
    return enter_code(change, said.code, said.kind, said.description, at.site_id, at.area)


def _drop_code(code: str, change: Change) -> bool:
    return drop_code(change, code)


def _area(site_id: str, area: str, change: Change) -> str:
    return area_named(change, site_id, area)

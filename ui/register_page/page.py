"""The register: every item, found as one types, with the card that says when each duty is due and why."""

from collections.abc import Callable
from functools import partial
from threading import Event
from typing import Any

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout

from register.domain.standing import SOON_DAYS
from register.domain.words import Standing
from register.services.item_card import ItemCard, item_card
from register.services.item_list import Narrowing, areas_of, listed, listed_rows, narrowing, standing_counts
from ui.look.widgets import Sheet
from ui.page import Desk, Page
from ui.register_page.card import Card
from ui.register_page.columns import columns
from ui.register_page.copying import Copying
from ui.register_page.deeds import ItemDeeds
from ui.register_page.drawer import Drawer
from ui.register_page.empty import Empty
from ui.register_page.filters import Filters
from ui.register_page.items_view import ItemsView
from ui.register_page.keeping import Keeping
from ui.table.model import RowsModel
from ui.wanted import ShowItems


class RegisterPage(Page):
    """Search and filters above, the list below, the card at the right."""

    key = "register"
    title = "Register"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._soon_days = SOON_DAYS
        self._total = -1
        self._asking = self._ask_again = False
        self._counting = Event()
        self._wanted_key = self._shown_item = ""
        self._card: ItemCard | None = None
        self.filters = Filters()
        self.model = RowsModel(columns(desk.jobs.today), self._fetch)
        self.view = ItemsView(self.model)
        self.copying = Copying(self.view, desk)
        self.card = Card(desk.deeds, desk.jobs.today)
        self.empty = Empty()
        self.deeds = ItemDeeds(self, self, desk)
        self._card_wait = QTimer(self, singleShot=True, interval=30)
        self._count_wait = QTimer(self, singleShot=True, interval=80)
        self._build()
        self._connect()
        self._keeping = Keeping(self, self.view, self.filters, desk.folder)

    def _build(self) -> None:
        sheet = Sheet()
        inside = QVBoxLayout(sheet)
        inside.setContentsMargins(1, 4, 1, 4)
        self._stack = QStackedWidget()
        inside.addWidget(self._stack)
        self._stack.addWidget(self.view)
        self._stack.addWidget(self.empty)
        left = QVBoxLayout()
        left.setSpacing(12)
        left.addWidget(self.filters)
        left.addWidget(sheet, 1)
        row = QHBoxLayout(self)
        row.setSpacing(24)
        row.addLayout(left, 1)
        self._drawer = Drawer(self, row, self.card)

    def _connect(self) -> None:
        self.filters.changed.connect(self.search)
        self.filters.site_changed.connect(self._ask_areas)
        self.filters.left.connect(self._into_list)
        self.desk.deeds.leads_to_change(self.filters.add)
        self.filters.add.clicked.connect(partial(self._do, "item.add"))
        self.view.order_wanted.connect(self.search)
        self.view.current_changed.connect(self._current)
        self.view.chosen.connect(self._into_card)
        self.card.left.connect(self._out_of_card)
        self.card.void_wanted.connect(self.deeds.void)
        self.card.correct_wanted.connect(self.deeds.correct)
        self._card_wait.timeout.connect(self._ask_card)
        self._count_wait.timeout.connect(self._ask_counts)

    def _do(self, key: str, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - from a signal
        self.desk.deeds.do(key)

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what can be done with the list and the item that is chosen."""
        return {
            "item.search": self._into_search,
            "item.copy": self.copying.begin,
            "item.columns": self.view.choose_columns,
            **self.deeds.offers(),
        }

    def shown(self, wanted: object = None) -> None:
        super().shown(wanted)
        self._enable()
        if wanted is None and not self.filters.search.text():
            self._into_search()

    def refresh(self) -> None:
        """Read again what the register has, which of it the list shows, and the item on the card."""
        today = self.desk.jobs.today
        self.desk.jobs.ask(lambda at: narrowing(at, today), self._offer)
        if self.card.item:
            self._ask_card()

    def show_wanted(self, wanted: object) -> None:
        """Show one item, named by its id, or the items that another page asks for."""
        if isinstance(wanted, ShowItems):
            self.filters.ask_for(wanted)
        elif isinstance(wanted, str):
            self._wanted_key = wanted
            if not self._find_wanted():
                self.filters.clear()
            self._drawer.open()

    def _offer(self, found: Narrowing) -> None:
        self._soon_days, self._total = found.soon_days, found.total
        self.filters.offer(found)
        self.search()

    def _ask_areas(self, site: str) -> None:
        if site:
            self.desk.jobs.ask(lambda at: areas_of(at, site), self.filters.offer_areas)

    # --- the list ---

    def search(self) -> None:
        """Ask which items are wanted now; while an answer is under way the last question waits and the others drop."""
        if self._asking:
            self._ask_again = True
            return
        if self._total < 0:
            return
        self._asking = True
        self._count_wait.stop()
        self._counting.set()  # of what nobody asks for any more
        wanted = self.filters.wanted(self.desk.jobs.today, self._soon_days)
        sort, descending = self.view.sort, self.view.descending
        self.desk.jobs.ask(
            lambda at: listed(at, wanted, sort=sort, descending=descending), self._show_keys, failed=self._failed
        )

    def _ask_counts(self) -> None:
        """Ask how many items each standing would show; the rows in sight come first."""
        wanted = self.filters.wanted(self.desk.jobs.today, self._soon_days)
        self._counting = self.desk.jobs.ask(lambda at: standing_counts(at, wanted), self.filters.count_standings)

    def _failed(self, error: Exception) -> None:
        self._asking = self._ask_again = False
        self.desk.messages.failure(error)

    def _show_keys(self, keys: list[str]) -> None:
        self._asking = False
        if self._ask_again:
            self._ask_again = False
            self.search()
            return
        before = self._shown_item
        self.model.show_keys(keys)
        self.filters.count(len(keys))
        self._count_wait.start()
        self._stack.setCurrentWidget(self.view if keys else self.empty)
        if not keys:
            self._say_empty()
            self._show_no_item()
        if self._wanted_key:
            self._find_wanted()
        elif not self.view.select_key(before) and keys:
            self.view.selectRow(0)

    def _find_wanted(self) -> bool:
        """Put the cursor on the item that another page asked for; a removed one is asked for by its standing."""
        key = self._wanted_key
        found = self.view.select_key(key)
        if found or Standing.REMOVED.value in self.filters.active:
            self._wanted_key = ""
        elif self.model.keys and not self.filters.active:
            self.filters.ask_for_standing(Standing.REMOVED)
        self._show_item(key)
        return found

    def _say_empty(self) -> None:
        active = self.filters.active
        if active:
            self.empty.say_no_fit(active, self._total, self.filters.clear)
        else:
            self.empty.say_no_items(self.desk.deeds)

    def _fetch(self, keys: list[str], then: Callable[[dict[str, Any]], None]) -> None:
        today = self.desk.jobs.today
        self.desk.jobs.ask(lambda at: listed_rows(at, keys, today), then)

    # --- the card ---

    def _current(self, key: str) -> None:
        if key:
            self._show_item(key)

    def _show_item(self, key: str) -> None:
        self._shown_item = key
        if self._card is not None and self._card.item.item_id != key:
            self._card = None  # nothing may be done to the item that was chosen before
            self._enable()
        self._card_wait.start()

    def _show_no_item(self) -> None:
        self._shown_item = ""
        self._card = None
        self.card.show_nothing()
        self._enable()

    def _ask_card(self) -> None:
        key, today = self._shown_item, self.desk.jobs.today
        if key:
            self.desk.jobs.ask(lambda at: item_card(at, key, today), partial(self._show_card, key))

    def _show_card(self, asked: str, card: ItemCard | None) -> None:
        if asked == self._shown_item and card is None:
            self._show_no_item()
        elif asked == self._shown_item and card is not None:
            self._card = card
            self.card.show_card(card)
            self._enable()

    def _enable(self) -> None:
        if self.isVisible():
            self.deeds.enable()

    def chosen_card(self) -> ItemCard | None:
        """Return the card of the item that is chosen."""
        return self._card

    def chosen_items(self) -> list[str]:
        """Return the ids of the items chosen in the list; the one on the card where that isn't among them."""
        keys = self.view.selected_keys()
        return keys if self._shown_item in keys or not self._shown_item else [self._shown_item]

    def chosen_site(self) -> str:
        """Return the id of the site that the list is narrowed to; empty where it isn't."""
        return next(iter(self.filters.site.chosen), "")

    def site_in_view(self) -> str:
        """Return the site that the list is narrowed to, else that of the item on the card."""
        return self.chosen_site() or (self._card.site_id if self._card is not None else "")

    # --- where the keyboard is ---

    def _into_search(self) -> None:
        self.filters.search.setFocus()
        self.filters.search.selectAll()

    def _into_list(self) -> None:
        if self.model.keys:
            if not self.view.currentIndex().isValid():
                self.view.selectRow(0)
            self.view.setFocus()

    def _into_card(self, key: str) -> None:
        self._show_item(key)
        self._drawer.open()
        self.card.area.setFocus()

    def _out_of_card(self) -> None:
        self._drawer.close()
        self.view.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self._drawer.is_open:
            self._out_of_card()
            return
        super().keyPressEvent(event)

"""Withdrawn: what is out of service, since when, why, and who is waited for."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtCore import QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QStackedWidget, QVBoxLayout

from register.domain.words import counted
from register.services.item_list import has_items
from register.services.photos import Shown, photos_of
from register.services.settings import setting
from register.services.withdrawals.listed import OutRow, out_of_service
from ui.look.typeface import px
from ui.look.widgets import Sheet, Words, button
from ui.page import Desk, Page
from ui.withdrawn.deeds import OutDeeds
from ui.withdrawn.empty import Empty
from ui.withdrawn.filters import OutFilters
from ui.withdrawn.groups import OutModel, OutView, lines_of
from ui.withdrawn.photos import PhotoStrip

EDGE: Final = 24
ROOM: Final = 860
"""So wide is a page on which the buttons stand beside the title."""
SHORT: Final = 1200
"""So wide is one that says beside its title more than how much there is."""


@dataclass(frozen=True, slots=True)
class _Found:
    rows: list[OutRow]
    firm: str
    any_items: bool


class WithdrawnPage(Page):
    """The page. It shows every item out of service, and leads to a test of it or to its removal for good."""

    key = "withdrawn"
    title = "Withdrawn"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._rows: list[OutRow] = []
        self._in_words = ""
        self._model = OutModel()
        self._view, self.filters = OutView(self._model), OutFilters(self)
        self.deeds = OutDeeds(self, desk, self._view.current_row)
        self._build()
        self._connect()

    def _build(self) -> None:
        self._about = Words("", 13, 400, "ink2", elide=True)
        self._notice = button("Notice for the owner…", hint="Ctrl+P")
        self._remove = button("Remove for good…")
        self._test = button("Test it now", "primary", hint="Ctrl+T")
        title, self._beside, self._above = QHBoxLayout(), QHBoxLayout(), Words("Withdrawn", 24, 600)
        title.setSpacing(16)
        title.addWidget(self._above)
        title.addWidget(self._about, 1)
        self._beside.setSpacing(8)
        chips = (self.filters.site_chip, self.filters.reason_chip)
        for chip in chips:
            chip.setFixedHeight(self._notice.sizeHint().height())  # in one row with buttons, in type of any size
        more = self.deeds.renewal.more("sheet.owner")
        for widget in (self.filters.clear, *chips, self._notice, self._remove, more, self._test):
            self._beside.addWidget(widget)
        self._head = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._head.setContentsMargins(0, 14, 0, 14)
        self._head.setSpacing(8)
        self._head.addLayout(title, 1)
        self._head.addLayout(self._beside)
        sheet, self._empty, self._inside = Sheet(), Empty(), QStackedWidget()
        self._inside.addWidget(self._view)
        self._inside.addWidget(self._empty)
        within = QVBoxLayout(sheet)
        within.setContentsMargins(1, 4, 1, 4)
        within.addWidget(self._inside)
        self._photos, column = PhotoStrip(), QVBoxLayout(self)
        column.setContentsMargins(EDGE, 0, EDGE, 16)
        column.setSpacing(0)
        column.addLayout(self._head)
        column.addWidget(sheet, 1)
        column.addWidget(self._photos)

    def _connect(self) -> None:
        deeds = self.desk.deeds
        self._view.current_changed.connect(self._enable)
        self._view.current_changed.connect(self._ask_photos)
        deeds.leads_to_change(self._test, self._remove)
        self._view.chosen.connect(partial(deeds.do, "item.test"))
        self._test.clicked.connect(partial(deeds.do, "item.test"))
        self._remove.clicked.connect(partial(deeds.do, "item.remove"))
        self._notice.clicked.connect(partial(deeds.do, "withdrawn.notice"))
        self.filters.changed.connect(self._list)
        self._empty.show_all.clicked.connect(self.filters.show_all)
        self._empty.find_item.clicked.connect(partial(self.desk.go, "register", None))
        self._empty.take_in.clicked.connect(partial(deeds.do, "sheet.take-in"))
        deeds.leads_to_change(self._empty.take_in)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the buttons below the title where there is no room beside it."""
        way = QBoxLayout.Direction
        needed = sum(each.sizeHint().width() for each in (self._above, self._beside)) + 3 * EDGE
        beside = self.width() >= max(needed, px(ROOM))
        self._head.setDirection(way.LeftToRight if beside else way.TopToBottom)
        self._photos.fit(self)
        self._say_about()
        super().resizeEvent(event)

    def _say_about(self) -> None:
        """Say how much there is, in a narrow window no more than that."""
        few = self.width() < px(SHORT)
        self._about.say(self._in_words.partition(" out of service")[0] if few else self._in_words)
        self._about.setToolTip(self._in_words)

    def refresh(self) -> None:
        """Read everything out of service."""
        today = self.desk.jobs.today
        self.desk.jobs.ask(
            lambda connection: _Found(
                out_of_service(connection, today), setting(connection, "firm", ""), has_items(connection, today)
            ),
            self._take,
        )

    def show_wanted(self, wanted: object) -> None:
        """Put the cursor on an item."""
        if isinstance(wanted, str):
            self._view.select_item(wanted)

    def offers(self) -> dict[str, Callable[[], None]]:
        """Say what the actions do here."""
        return self.deeds.offers()

    def shown(self, wanted: object = None) -> None:
        """Come to the front."""
        super().shown(wanted)
        self._view.setFocus()
        self._enable()

    def _take(self, found: _Found) -> None:
        self._rows, self.deeds.firm = found.rows, found.firm
        self.filters.know(found.rows)
        self._empty.offer(any_items=found.any_items)
        self._list()

    def _list(self) -> None:
        kept = self._view.current_row()
        rows = [row for row in self._rows if self.filters.lets_through(row)]
        self._model.show_lines(lines_of(rows))
        self._view.fit()
        self._view.select_item(kept.item_id if kept is not None else "")
        self._in_words = _how_many(rows)
        self._say_about()
        self._inside.setCurrentIndex(0 if rows else 1)
        self._empty.show_for(self.filters.words, len(self._rows))
        self._ask_photos()
        self._enable()

    def _enable(self) -> None:
        """The deeds need an item under the cursor."""
        if not self.isVisible():
            return
        some = self._view.current_row() is not None
        for name in self.offers():
            self.desk.deeds.enable(name, enabled=some)
        for each in (self._test, self._remove, self._notice):
            each.setEnabled(some)

    def site_in_view(self) -> str:
        """Return the site that the list is narrowed to, else that of the item under the cursor."""
        row = self._view.current_row()
        return self.filters.site or (row.site_id if row is not None else "")

    def _ask_photos(self) -> None:
        """Show the photos of the item under the cursor."""
        row = self._view.current_row()
        if row is None:
            self._photos.hide()
        else:
            self.desk.jobs.ask(partial(photos_of, item_id=row.item_id), partial(self._show_photos, row))

    def _show_photos(self, row: OutRow, photos: Sequence[Shown]) -> None:
        if self._view.current_row() == row:
            self._photos.show_photos(row, photos)
            QTimer.singleShot(0, self._view, self._view.show_current)


def _how_many(rows: Sequence[OutRow]) -> str:
    sites = len({row.site_id for row in rows})
    if not rows:
        return ""
    return f"{counted(len(rows), 'item')} out of service at {counted(sites, 'site')}. Nothing here may be used."

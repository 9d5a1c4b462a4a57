"""Withdrawn: what is out of service, since when, why, and who is waited for."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final, TypeVar

from PySide6.QtCore import QPointF, QRectF, Qt, QTimer
from PySide6.QtGui import QColor, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QMenu, QStackedWidget, QVBoxLayout, QWidget

from register.domain.words import WithdrawalReason, counted
from register.errors import Refused, Unavailable
from register.services.item_list import has_items
from register.services.photos import Shown, photos_of
from register.services.settings import setting
from register.services.withdrawals.deeds import remove
from register.services.withdrawals.listed import OutRow, out_of_service
from ui.asking.carrying_out import carry_out
from ui.asking.remove import RemoveDialog
from ui.asking.renewal import RenewalDeeds
from ui.asking.replace import About
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Chip, Painted, Sheet, Words, button
from ui.messages import ask_where
from ui.page import Desk, Page
from ui.tags.deeds import TagDeeds
from ui.withdrawn.groups import OutModel, OutView, lines_of
from ui.withdrawn.notice import write_notice
from ui.withdrawn.photos import PhotoStrip

REASONS: Final = {
    WithdrawalReason.FAILED: "Failed a test",
    WithdrawalReason.DAMAGED: "Damaged",
    WithdrawalReason.OVERDUE: "Overdue",
}

EDGE: Final = 24
ROOM: Final = 860
"""So wide is a page on which the buttons stand beside the title."""
SHORT: Final = 1200
"""So wide is one that says beside its title more than how much there is."""

Key = TypeVar("Key")


def _call(taker: Callable[[Key | None], None], key: Key | None, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - a signal's
    taker(key)


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
        self._firm = self._held = ""
        self._site: str | None = None
        self._reason: WithdrawalReason | None = None
        self.tags = TagDeeds(self, desk, self.window)
        self.renewal = RenewalDeeds(self, desk, self.window, lambda: _about_row(self._view.current_row()))
        self._model = OutModel()
        self._view = OutView(self._model)
        self._build()
        self._connect()

    def _build(self) -> None:
        self._about = Words("", 13, 400, "ink2", elide=True)
        self._site_chip, self._reason_chip = Chip("Site", drop=True), Chip("Reason", drop=True)
        self._clear = button("Show all", "quiet")
        self._notice = button("Notice for the owner…", hint="Ctrl+P")
        self._remove = button("Remove for good…")
        self._test = button("Test it now", "primary", hint="Ctrl+T")
        title, self._beside, self._above = QHBoxLayout(), QHBoxLayout(), Words("Withdrawn", 24, 600)
        title.setSpacing(16)
        title.addWidget(self._above)
        title.addWidget(self._about, 1)
        self._beside.setSpacing(8)
        filters = (self._clear, self._site_chip, self._reason_chip)
        for chip in (self._site_chip, self._reason_chip):
            chip.setFixedHeight(self._notice.sizeHint().height())  # in one row with buttons, in type of any size
        for widget in (*filters, self._notice, self._remove, self.renewal.more("sheet.owner"), self._test):
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
        self._view.current_changed.connect(self._look)
        deeds.leads_to_change(self._test, self._remove)
        self._view.chosen.connect(partial(deeds.do, "item.test"))
        self._test.clicked.connect(partial(deeds.do, "item.test"))
        self._remove.clicked.connect(partial(deeds.do, "item.remove"))
        self._notice.clicked.connect(partial(deeds.do, "withdrawn.notice"))
        self._clear.clicked.connect(self._show_all)
        self._empty.show_all.clicked.connect(self._show_all)
        self._empty.find_item.clicked.connect(partial(self.desk.go, "register", None))
        self._empty.take_in.clicked.connect(partial(deeds.do, "sheet.take-in"))
        deeds.leads_to_change(self._empty.take_in)
        self._site_chip.clicked.connect(self._choose_site)
        self._reason_chip.clicked.connect(self._choose_reason)

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
        self._about.say(self._held.partition(" out of service")[0] if few else self._held)
        self._about.setToolTip(self._held)

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
        return {
            "item.test": self._test_now, "item.tag": self._print_tag, "item.remove": self._remove_now,
            "withdrawn.notice": self._print_notice, **self.renewal.offers(),
        }  # fmt: skip

    def shown(self, wanted: object = None) -> None:
        """Come to the front."""
        super().shown(wanted)
        self._view.setFocus()
        self._enable()

    def _take(self, found: _Found) -> None:
        self._rows, self._firm = found.rows, found.firm
        self._empty.offer(any_items=found.any_items)
        self._list()

    def _list(self) -> None:
        kept = self._view.current_row()
        rows = [row for row in self._rows if self._site in {None, row.site_id} and self._reason in {None, row.reason}]
        self._model.show_lines(lines_of(rows))
        self._view.fit()
        self._view.select_item(kept.item_id if kept is not None else "")
        self._held = _about(rows)
        self._say_about()
        self._chips()
        self._inside.setCurrentIndex(0 if rows else 1)
        self._empty.show_for(self._filter_words(), len(self._rows))
        self._look()
        self._enable()

    def _chips(self) -> None:
        """Show what is filtered by, always in sight."""
        site = next((row.site for row in self._rows if row.site_id == self._site), "Site")
        for chip, said, on in (
            (self._site_chip, site, self._site is not None),
            (self._reason_chip, REASONS[self._reason] if self._reason else "Reason", self._reason is not None),
        ):
            chip.setText(said)
            chip.setCheckable(on)
            chip.setChecked(on)
            chip.setAccessibleName(f"Filter: {said}" if on else f"Filter by {said.lower()}")
            chip.updateGeometry()
        self._clear.setVisible(bool(self._filter_words()))

    def _filter_words(self) -> str:
        site = next((row.site for row in self._rows if row.site_id == self._site), "")
        parts = ([f"at {site}"] if site else []) + ([REASONS[self._reason].lower()] if self._reason else [])
        return ", ".join(parts)

    def _choose_site(self) -> None:
        sites = {row.site_id: row.site for row in self._rows}
        self._choose(self._site_chip, sorted(sites.items(), key=lambda each: each[1]), self._by_site)

    def _choose_reason(self) -> None:
        self._choose(self._reason_chip, list(REASONS.items()), self._by_reason)

    def _choose(self, chip: Chip, choices: Sequence[tuple[Key, str]], taker: Callable[[Key | None], None]) -> None:
        menu = QMenu(chip)
        menu.addAction("All").triggered.connect(partial(_call, taker, None))
        for key, said in choices:
            menu.addAction(said).triggered.connect(partial(_call, taker, key))
        menu.popup(chip.mapToGlobal(chip.rect().bottomLeft()))

    def _by_site(self, site: str | None) -> None:
        self._site = site
        self._list()

    def _by_reason(self, reason: WithdrawalReason | None) -> None:
        self._reason = reason
        self._list()

    def _show_all(self) -> None:
        self._site, self._reason = None, None
        self._list()

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
        return self._site or (row.site_id if row is not None else "")

    def _look(self) -> None:
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

    def _test_now(self) -> None:
        row = self._view.current_row()
        if row is not None:
            self.desk.go("bench", row.item_id)

    def _print_tag(self) -> None:
        row = self._view.current_row()
        if row is not None:
            self.tags.print_tags([row.item_id])

    def _remove_now(self) -> None:
        row = self._view.current_row()
        if row is not None:
            place = f"{row.site}, {row.area}"
            self._asked = RemoveDialog(self.window(), row.tag, row.description, place, partial(self._remove_row, row))
            self._asked.open()

    def _remove_row(self, row: OutRow, reason: str) -> None:
        carry_out(self.desk, self._asked, lambda change: remove(change, row.item_id, reason=reason), self._removed)

    def _removed(self, tag: str) -> None:
        self._asked.accept()
        self.desk.messages.tell(f"{tag} was removed for good; its history stays.")

    def _print_notice(self) -> None:
        from register.exchange.workbook.handing import file_word

        row = self._view.current_row()
        if row is None:
            return
        name = f"out-of-service-{file_word(row.tag)}.pdf"
        path = ask_where(self.desk.messages, "Notice for the owner", name, "PDF (*.pdf)")
        if path is None:
            return
        self.desk.jobs.ask(partial(photos_of, item_id=row.item_id), partial(self._write_notice, path, row))

    def _write_notice(self, path: Path, row: OutRow, photos: Sequence[Shown]) -> None:
        newest = next((each.content for each in photos if each.on >= row.since), b"")
        try:
            write_notice(path, row, self._firm, self.desk.jobs.today, newest)
        except (Refused, Unavailable) as reason:
            self.desk.messages.failure(reason)
        else:
            self.desk.messages.tell(f"The notice for {row.tag} is in {path.name}.")


def _about_row(row: OutRow | None) -> About | None:
    if row is None:
        return None
    return About(row.item_id, row.tag, row.description, f"{row.site}, {row.area}")


def _about(rows: Sequence[OutRow]) -> str:
    sites = len({row.site_id for row in rows})
    if not rows:
        return ""
    return f"{counted(len(rows), 'item')} out of service at {counted(sites, 'site')}. Nothing here may be used."


class Empty(QWidget):
    """What is shown where nothing is withdrawn, or nothing that the filter lets through."""

    def __init__(self) -> None:
        super().__init__()
        self._head = Words("", 20, 600)
        self._said = Words("", 13, 400, "ink2", wrap=True)
        self._said.setFixedWidth(px(460))
        for words in (self._head, self._said):
            words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.show_all, self.find_item = button("Show all withdrawn", "primary"), button("Find an item")
        self.take_in = button("Take in a spreadsheet…", "primary")
        column, row = QVBoxLayout(self), QHBoxLayout()
        for choice in (self.show_all, self.find_item, self.take_in):
            row.addWidget(choice)
        row.setSpacing(8)
        column.addStretch(2)
        column.addWidget(Painted(_closed_contact), 3)
        for widget in (self._head, self._said):
            column.addWidget(widget, 0, Qt.AlignmentFlag.AlignHCenter)
            column.addSpacing(10)
        column.addLayout(row)
        column.setAlignment(row, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(3)

    def offer(self, *, any_items: bool) -> None:
        """Lead to the items that there are; where there is none yet, to taking in a spreadsheet."""
        self.find_item.setVisible(any_items)
        self.take_in.setVisible(not any_items)

    def show_for(self, filtered: str, out: int) -> None:
        """Say what is true now; `filtered` names the filter, `out` counts what it hides."""
        self._head.say(f"Nothing is withdrawn {filtered}" if filtered else "Nothing is withdrawn")
        self._said.say(
            "An item comes here when a test fails, or when you take it out of service yourself. It leaves by a"
            " complete pass, or for good."
        )
        self._said.setFixedHeight(self._said.heightForWidth(px(460)))
        self.show_all.setVisible(bool(filtered))
        self.show_all.setText(f"Show all {out} withdrawn")


def _closed_contact(painter: QPainter, place: QRectF) -> None:
    """Draw a large closed contact: everything is in service."""
    tokens, middle = colours(), place.center()
    painter.setPen(QPen(QColor(tokens.rule), 2))
    for left, right in ((-84, -46), (46, 84)):
        painter.drawLine(QPointF(middle.x() + left, middle.y()), QPointF(middle.x() + right, middle.y()))
    painter.setPen(QPen(QColor(tokens.service.fill), 4))
    painter.drawLine(QPointF(middle.x() - 36, middle.y()), QPointF(middle.x() + 36, middle.y()))
    for x in (-36, 36):
        draw.box(painter, QRectF(middle.x() + x - 10, middle.y() - 10, 20, 20), tokens.service.fill, None, 10)

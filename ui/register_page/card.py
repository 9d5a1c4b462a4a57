"""The card of one item, beside the list or drawn over it."""

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QLayout,
    QMenu,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from register.domain.words import Standing
from register.services.item_card import ItemCard
from register.services.past_readings import History
from ui.actions import Deeds
from ui.look.flow import Flow
from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Chip, Painted, Sheet, Words, button
from ui.register_page import card_parts as parts
from ui.register_page import kept_parts as kept
from ui.register_page.chart import Chart

WIDE: Final = 390
MORE: Final = (
    "item.edit", "item.move", "item.interval", "item.tag", "item.new-tag", "item.withdraw", "item.missing",
    "item.found", "item.repaired", "item.replace", "item.remove",
)  # fmt: skip
"""What can be done with the item beside testing it."""


class Card(Sheet):
    """Everything about one item. Signals: `left` when Esc or the cross closes it, the others with a wrong record."""

    left = Signal()
    void_wanted = Signal(str)
    correct_wanted = Signal(str)

    def __init__(self, deeds: Deeds, today: date) -> None:
        super().__init__()
        self._today, self._deeds = today, deeds
        self._item = ""
        self._all_records = False
        self.setFixedWidth(px(WIDE))
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setAccessibleName("Item card")
        self.area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 8, 1, 8)
        column.setSpacing(0)
        column.addWidget(self.area, 1)
        self._foot = _foot(deeds)
        column.addWidget(self._foot)
        self.show_nothing()

    @property
    def item(self) -> str:
        """The id of the item shown; empty where none is."""
        return self._item

    def show_nothing(self) -> None:
        """Show that no item is chosen."""
        self._item = ""
        self._foot.hide()
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(40, 0, 40, 0)
        column.addStretch(1)
        column.addWidget(Painted(_closed, size=QSize(px(32), px(32))), 0, Qt.AlignmentFlag.AlignHCenter)
        said = Words("Choose an item in the list to see its dates and why.", 13, 400, "ink2", wrap=True)
        said.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(said)
        column.addStretch(1)
        self._put(inside)

    def show_card(self, card: ItemCard) -> None:
        """Show one item."""
        again = card.item.item_id == self._item
        self._all_records = self._all_records and again
        before = self.area.verticalScrollBar().value() if again else 0
        self._item = card.item.item_id
        self.area.setAccessibleDescription(f"{card.item.tag}, {card.item.description}")
        self._put(self._inside(card))
        self.area.verticalScrollBar().setValue(before)
        self._foot.setVisible(card.item.standing is not Standing.REMOVED)

    def _put(self, inside: QWidget) -> None:
        self.area.setWidget(inside)
        inside.setAutoFillBackground(False)

    def _inside(self, card: ItemCard) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(19, 12, 19, 20)
        column.setSpacing(0)
        column.addLayout(parts.head(card))
        if card.withdrawal is not None:
            column.addSpacing(14)
            column.addWidget(parts.out_block(card.withdrawal))
        if now := kept.photos_now(card):
            column.addSpacing(10)
            column.addLayout(kept.photos_part(now, card.item.tag))
        if card.item.standing is Standing.REMOVED:
            column.addSpacing(14)
            column.addWidget(parts.removed_block(card))
        if card.succession.replaces is not None or card.succession.replaced_by is not None:
            column.addSpacing(14)
            column.addWidget(parts.succession_block(card.succession))
        if card.item.not_found_on is not None:
            column.addSpacing(14)
            column.addWidget(parts.missing_block(card.item.not_found_on))
        for query in card.queries:
            column.addSpacing(14)
            column.addWidget(parts.query_block(query))
        for part in self._duties(card):
            _ruled(column)
            column.addLayout(part)
        if card.histories:
            _ruled(column)
            column.addWidget(Histories(card.histories))
        _ruled(column)
        self._records(column, card)
        _put_history(column, card)
        column.addStretch(1)
        return inside

    def _duties(self, card: ItemCard) -> list[QLayout]:
        if card.item.out_of_scope:
            return [parts.stacked(Words(card.item.out_of_scope, 12, 400, "ink2", wrap=True))]
        if card.item.standing is Standing.REMOVED:
            return []
        return [parts.duty_part(duty, self._today) for duty in card.duties]

    def _records(self, column: QVBoxLayout, card: ItemCard) -> None:
        count = len(card.records)
        title = "Records" if count else "No test on record"
        column.addWidget(Words(title, 13, 600))
        if card.undone:
            column.addSpacing(4)
            column.addLayout(parts.undone_part(card.undone))
        if not count:
            return
        column.addSpacing(8)
        few = card.records if self._all_records else card.records[: parts.FEW]
        gone = card.item.standing is Standing.REMOVED
        mending = parts.Mending(self.void_wanted.emit, None if gone else self.correct_wanted.emit)
        records = parts.records_part(few, mending)
        self._deeds.leads_to_change(*records.findChildren(QPushButton))
        column.addWidget(records)
        if count > parts.FEW and not self._all_records:
            column.addSpacing(4)
            more = button(f"All {count} records", "quiet")
            more.clicked.connect(partial(self._show_all, card))
            row = QHBoxLayout()
            row.setContentsMargins(0, 0, 0, 0)
            row.addWidget(more)
            row.addStretch(1)
            column.addLayout(row)

    def _show_all(self, card: ItemCard, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - from a signal
        self._all_records = True
        self.show_card(card)
        self.area.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)


class Histories(QWidget):
    """How the quantities of an item moved: one chart at a time, and what to choose another by."""

    def __init__(self, histories: tuple[History, ...]) -> None:
        super().__init__()
        self._histories = histories
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(8)
        self._title = Words("", 13, 600, wrap=True)
        self._unit = Words("", 12, 400, "ink3")
        self._column.addLayout(parts.in_row(self._title, self._unit, stretch=0))
        self._chart: Chart | None = None
        self._group = QButtonGroup(self)
        if len(histories) > 1:
            self._column.addWidget(self._chooser())
        self._show(0)

    def _chooser(self) -> QWidget:
        """Return a chip for each quantity, in a further line where they have no room in one."""
        chips = QWidget()
        row = Flow(chips, 6)
        for place, history in enumerate(self._histories):
            chip = Chip(history.short)
            chip.setAccessibleName(history.title)
            chip.setChecked(place == 0)
            chip.setFixedHeight(px(28))
            self._group.addButton(chip, place)
            row.addWidget(chip)
        self._group.idToggled.connect(self._toggled)
        return chips

    def _toggled(self, place: int, on: bool) -> None:  # noqa: FBT001 - Qt's signal
        if on:
            self._show(place)

    def _show(self, place: int) -> None:
        history = self._histories[place]
        self._title.setText(history.title)
        worst = f", worst of {history.readings} readings" if history.readings > 1 else ""
        self._unit.setText(f"{history.unit}{worst}")
        chart = Chart(history)
        if self._chart is not None:
            self._column.removeWidget(self._chart)
            self._chart.deleteLater()
        self._chart = chart
        self._column.addWidget(chart)


def _headed(column: QVBoxLayout, title: str, part: QLayout) -> None:
    """Put a part with its title below a hairline."""
    _ruled(column)
    column.addWidget(Words(title, 13, 600))
    column.addSpacing(8)
    column.addLayout(part)


def _put_history(column: QVBoxLayout, card: ItemCard) -> None:
    """Put below the records what else is kept of the item: repairs, earlier photos, tags."""
    if card.repairs:
        _headed(column, "Repairs", kept.repairs_part(card.repairs))
    if before := kept.photos_before(card):
        _headed(column, "Earlier photos", kept.photos_part(before, card.item.tag))
    _headed(column, "Tags", parts.stacked(parts.tags_part(card.tags)))


def _ruled(column: QVBoxLayout) -> None:
    column.addSpacing(14)
    column.addWidget(parts.Rule())
    column.addSpacing(12)


def _closed(painter: QPainter, place: QRectF) -> None:
    glyph(painter, "closed", 0, 0, place.width(), colours().rule)


def _foot(deeds: Deeds) -> QWidget:
    """Return what can be done with the item: test it now, or one of the other deeds in a menu."""
    foot = QWidget()
    row = QHBoxLayout(foot)
    row.setContentsMargins(19, 12, 19, 8)
    row.setSpacing(8)
    test = button("Test it now   Ctrl T", "primary")
    deeds.leads_to_change(test)
    test.clicked.connect(_doer(deeds, "item.test"))
    more = button("More", drop=True)
    menu = QMenu(more)
    menu.addActions([deeds.actions[key] for key in MORE])
    menu.addSeparator()
    menu.addAction(deeds.actions["sheet.owner"])
    more.setMenu(menu)
    row.addWidget(test, 1)
    row.addWidget(more)
    return foot


def _doer(deeds: Deeds, key: str) -> Callable[[], None]:
    return lambda: deeds.do(key)

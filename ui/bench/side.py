"""The left side: what is left at this place, and the last ten scans. A line of either puts its item on the bench."""

from collections import deque
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import (
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from register.domain.words import Result, counted
from register.services.bench.place import Nearby, WorkPlace
from ui.bench.became import GLYPHS, OF_VERDICT, TONES, Became
from ui.bench.words import few
from ui.dates import shown_time
from ui.look import draw
from ui.look.glyphs import STANDING_GLYPHS, glyph
from ui.look.theme import Tokens, colours, standing_tone
from ui.look.typeface import font, px
from ui.look.widgets import Painted, Sheet, Words, standing_word

LAST: Final = 10
NEARBY: Final = 5
NEARBY_NARROW: Final = 3
"""So many of them are in sight where the window is low; the others are scrolled to."""
NEARBY_ROW: Final = 28
_DATA: Final = Qt.ItemDataRole.UserRole


def _inks(became: Became, tokens: Tokens) -> tuple[str, str]:
    """Return the colour of the word and of the glyph."""
    if became is Became.ON_BENCH:
        return tokens.accent, tokens.accent
    tone = getattr(tokens, TONES.get(became, "unknown"))
    return tone.text, tone.fill


@dataclass(slots=True)
class Scanned:
    """One scan of today: its code, when, what became of it, the item where there is one, and the record once saved."""

    code: str
    at: datetime
    became: Became
    item_id: str = ""
    record_id: str = ""

    @property
    def saved(self) -> bool:
        """Whether a record was made of it that counts."""
        return self.became in OF_VERDICT.values()


class Lines(QListWidget):
    """A short list without a frame, one stop for the keyboard; Enter or a click chooses a line.

    `chosen` gives the item of a line that has one, `picked` the line itself.
    """

    chosen = Signal(str)
    picked = Signal(object)

    def __init__(self, name: str, delegate: QStyledItemDelegate, row: int) -> None:
        super().__init__()
        self._delegate = delegate
        self.setItemDelegate(delegate)
        self.setAccessibleName(name)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setUniformItemSizes(True)
        self._row = row
        self.itemActivated.connect(self._choose)
        self.itemClicked.connect(self._choose)

    def put(self, said: str, data: object) -> None:
        """Add a line: what a screen reader says of it, and what is drawn."""
        line = QListWidgetItem(said)
        line.setData(_DATA, data)
        line.setSizeHint(QSize(0, px(self._row)))
        self.addItem(line)

    def _choose(self, line: QListWidgetItem) -> None:
        data = line.data(_DATA)
        self.picked.emit(data)
        if isinstance(data, Nearby):
            self.chosen.emit(data.id)


class _NearbyLine(QStyledItemDelegate):
    """Draws an item that is due here: its tag, what it is, how it stands."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        each = index.data(_DATA)
        place = QRectF(option.rect)
        _chosen_ground(painter, option, place)
        wide = draw.tag(painter, place.x(), place.y() + (place.height() - px(20)) / 2, each.tag, px(20))
        x = place.x() + wide + px(10)
        words = QRectF(x, place.y(), place.right() - x - px(24), place.height())
        draw.text(painter, words, each.description)
        tone = standing_tone(each.standing)
        y = place.y() + (place.height() - px(15)) / 2
        glyph(painter, STANDING_GLYPHS[each.standing], place.right() - px(16), y, px(15), tone.fill)


class _ScanLine(QStyledItemDelegate):
    """Draws a scan: its mark, its code, what became of it, when."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        each, tokens = index.data(_DATA), colours()
        place = QRectF(option.rect)
        _chosen_ground(painter, option, place)
        ink, fill = _inks(each.became, tokens)
        glyph(painter, GLYPHS[each.became], place.x(), place.y() + (place.height() - px(14)) / 2, px(14), fill)
        code = QRectF(place.x() + px(24), place.y(), px(84), place.height())
        draw.text(painter, code, each.code, 12, 500, code=True)
        word = QRectF(place.x() + px(112), place.y(), place.width() - px(112 + 42), place.height())
        draw.text(painter, word, each.became.value, 12, 500, ink)
        draw.text(painter, place, shown_time(each.at), 12, 400, tokens.ink3, draw.RIGHT)


def _chosen_ground(painter: QPainter, option: QStyleOptionViewItem, place: QRectF) -> None:
    state = option.state
    if state & QStyle.StateFlag.State_HasFocus and state & QStyle.StateFlag.State_Selected:
        draw.box(painter, place.adjusted(-4, 0, 4, 0), colours().accent_soft, None, 4)


class Here(Sheet):
    """What was done at this site today, and what is due next to the item."""

    chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._place: WorkPlace | None = None
        self._narrow = False
        self._when = Words("Where the first scan leads", 12, 500, "accent")
        self._site = Words("No place yet", 20, 600, wrap=True)
        self._count = Words("", 34, 500)
        self._of = Words("", 13, 400, "ink2")
        self._ticks = Painted(self._draw_ticks)
        self._ticks.setFixedHeight(px(30))
        self._sums = Painted(self._draw_sums)
        self._sums.setFixedHeight(px(22))
        self._area = Words("", 13, 600)
        self._due = Words("", 13, 500, "ink2")
        self.lines = Lines("Due next to it", _NearbyLine(self), NEARBY_ROW)
        self.lines.chosen.connect(self.chosen)
        self._missed = Words("", 12, 500, "soon", wrap=True)
        self._none = Words("What is due at the place of an item is listed here.", 12, 400, "ink2", wrap=True)
        self._fill()

    def _fill(self) -> None:
        self._column = column = QVBoxLayout(self)
        column.setSpacing(px(4))
        figures, headed = QHBoxLayout(), QHBoxLayout()
        figures.setSpacing(px(8))
        figures.addWidget(self._count)
        figures.addWidget(self._of, 1, Qt.AlignmentFlag.AlignVCenter)
        headed.addWidget(self._area, 1)
        headed.addWidget(self._due)
        column.addWidget(self._when)
        column.addWidget(self._site)
        column.addSpacing(px(6))
        column.addLayout(figures)
        column.addWidget(self._ticks)
        column.addWidget(self._sums)
        column.addSpacing(px(10))
        column.addLayout(headed)
        column.addWidget(self.lines, 1)
        column.addWidget(self._none)
        column.addWidget(self._missed)
        self._missed.hide()
        column.addStretch(0)
        self.show_narrow(narrow=False)

    def show_narrow(self, *, narrow: bool) -> None:
        """Take less room in a small window, whose scan box says how many are done."""
        self._narrow = narrow
        self._site.setFont(font(15 if narrow else 20, 600))
        side, top = (px(15), px(10)) if narrow else (px(20), px(17))
        self._column.setContentsMargins(side, top, side, top)
        self._show_parts()

    def _show_parts(self) -> None:
        known, few_lines = self._place is not None, self._narrow
        for widget in (self._ticks, self._sums, self._area, self._due):
            widget.setVisible(known)
        for widget in (self._count, self._of):
            widget.setVisible(known and not few_lines)
        self._when.setVisible(not few_lines or not known)
        rows = min(self.lines.count(), NEARBY_NARROW if few_lines else NEARBY)
        self.lines.setFixedHeight(px(NEARBY_ROW) * max(1, rows))
        self.lines.setVisible(known and rows > 0)
        self._none.setVisible(not known or not rows)

    def show_stops(self, count: int) -> None:
        """Say how many stops there are today, while it is open which of them is at hand."""
        if self._place is None:
            self._when.say("Today")
            self._site.say(counted(count, "stop"))
            self._none.say("F6 chooses the one where you work. The first scan does, too.")

    def show_place(self, place: WorkPlace) -> None:
        """Show a place with what is left there."""
        self._place = place
        done, whole = len(place.done), len(place.done) + place.to_do
        self._when.say("Today at")
        self._site.say(place.site_name)
        self._count.say(str(done))
        self._of.say(f"of {whole} done")
        self._ticks.setAccessibleName(f"{done} of {whole} done")
        self._area.say(f"Due in {place.area}")
        self._due.say(str(place.nearby_count))
        self.lines.clear()
        for each in place.nearby:
            self.lines.put(f"{each.tag}, {each.description}, {standing_word(each.standing)}", each)
        self._none.say("Nothing more is due here.")
        self._missed.say(f"Not found last time, look again: {few(place.missed)}.")
        self._missed.setVisible(bool(place.missed))
        self._show_parts()
        self._ticks.update()
        self._sums.update()

    @property
    def short(self) -> str:
        """The progress in a few words, for the scan box of a small window."""
        place = self._place
        return "" if place is None else f"{place.site_name}: {len(place.done)} of {len(place.done) + place.to_do} done"

    def _draw_ticks(self, painter: QPainter, room: QRectF) -> None:
        if self._place is None:
            return
        tokens, done = colours(), self._place.done
        whole = len(done) + self._place.to_do
        step = max(3.0, min(px(20), (room.width() + 4) / max(1, whole)))
        fits = int((room.width() + 4) // step)
        for number in range(min(whole, fits)):
            wide, high = max(2.0, step - (4 if step > px(8) else 1)), room.height() - 2
            tick = QRectF(number * step, 1, wide, high)
            if number >= len(done):
                draw.box(painter, tick, None, tokens.line, 2)
            elif done[number] is Result.FAIL:
                draw.box(painter, QRectF(tick.x(), 1, wide, 5), tokens.overdue.fill, None, 1)
                draw.box(painter, QRectF(tick.x(), 9, wide, high - 8), tokens.overdue.fill, None, 2)
            elif done[number] is Result.INCOMPLETE:
                draw.box(painter, tick, tokens.unknown.soft, tokens.unknown.fill, 2)
            else:
                draw.box(painter, tick, tokens.service.fill, None, 2)

    def _draw_sums(self, painter: QPainter, room: QRectF) -> None:
        if self._place is None:
            return
        tokens, place, x = colours(), self._place, 0.0
        for name, word, count, tone in (
            ("tick", "Pass", place.count(Result.PASS), tokens.service),
            ("cross", "Fail", place.count(Result.FAIL), tokens.overdue),
            ("broken-ring", "To do", place.to_do, tokens.unknown),
        ):
            glyph(painter, name, x, (room.height() - px(13)) / 2, px(13), tone.fill)
            end = draw.text(painter, QRectF(x + px(20), 0, px(60), room.height()), word, 12, 400, tokens.ink2)
            draw.text(painter, QRectF(end + 6, 0, px(40), room.height()), str(count), 12, 600)
            x += px(88)


class Scans(Sheet):
    """The last ten scans, the newest first. `added` gives each as it comes.

    `chosen` gives the item of a line that leads back to the bench, `saved` a line with a record that counts.
    """

    chosen = Signal(str)
    saved = Signal(object)
    added = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._scans: deque[Scanned] = deque(maxlen=LAST)
        self.count = 0
        self._tally = Words("", 12, 500, "ink2")
        self.lines = Lines("Last ten scans", _ScanLine(self), 30)
        self.lines.picked.connect(self._choose)
        self._none = Words("Each tag that is scanned stays here with what became of it.", 12, 400, "ink2", wrap=True)
        column = QVBoxLayout(self)
        column.setSpacing(px(8))
        headed = QHBoxLayout()
        headed.addWidget(Words("Last ten scans", 13, 600), 1)
        headed.addWidget(self._tally)
        column.addLayout(headed)
        column.addWidget(self._none)
        column.addWidget(self.lines, 1)
        column.addStretch(0)
        self._column = column
        self.show_narrow(narrow=False)
        self._show()

    def show_narrow(self, *, narrow: bool) -> None:
        """Take less room in a small window."""
        side, top = (px(15), px(10)) if narrow else (px(20), px(14))
        self._column.setContentsMargins(side, top, side, top)

    def add(self, scanned: Scanned) -> None:
        """Put a scan at the top."""
        self._scans.appendleft(scanned)
        self.count += 1
        self._show()
        self.added.emit(scanned)

    def settle(self, key: str, became: Became, record_id: str = "") -> None:
        """Say what became of the newest scan of an item, or of a code that is no item's, and which record was made."""
        found = next((each for each in self._scans if key in {each.item_id, each.code}), None)
        if found is not None:
            found.became, found.record_id = became, record_id
            self._show()

    def off_bench(self) -> None:
        """Say of what lay on the bench and left it untouched that it was found, and no more."""
        for each in self._scans:
            if each.became is Became.ON_BENCH:
                each.became = Became.FOUND
        self._show()

    @property
    def records(self) -> tuple[str, ...]:
        """The records that were made of these scans."""
        return tuple(each.record_id for each in self._scans if each.record_id)

    @property
    def record_meant(self) -> str:
        """The record of the chosen line while the list has the cursor, or else the newest; only of those that count."""
        counts = [each for each in self._scans if each.saved and each.record_id]
        row = self.lines.currentRow()
        if self.lines.hasFocus() and 0 <= row < len(self._scans) and self._scans[row] in counts:
            return self._scans[row].record_id
        return counts[0].record_id if counts else ""

    def restand(self, asked: Collection[str], found: Mapping[str, Result | None]) -> None:
        """Say of the records asked after how they stand: by verdict, corrected where there is none, or else undone."""
        for each in self._scans:
            if each.record_id in found:
                verdict = found[each.record_id]
                each.became = Became.CORRECTED if verdict is None else OF_VERDICT[verdict]
            elif each.record_id in asked:
                each.became = Became.UNDONE
        self._show()

    def _choose(self, line: Scanned) -> None:
        if line.saved and line.record_id:
            self.saved.emit(line)
        elif line.item_id:
            self.chosen.emit(line.item_id)

    def _show(self) -> None:
        row = self.lines.currentRow()
        self.lines.clear()
        for each in self._scans:
            self.lines.put(f"{each.code}, {each.became.value}, {shown_time(each.at)}", each)
        self.lines.setCurrentRow(row)
        self._tally.say(f"{self.count} scanned" if self.count else "")
        self._none.setVisible(not self._scans)
        self.lines.setVisible(bool(self._scans))
        self._column.setStretch(self._column.count() - 1, int(not self._scans))


class Side(QWidget):
    """Both, one above the other: at the left, or in a small window at the right while no item needs the room."""

    def __init__(self, here: Here, scans: Scans) -> None:
        super().__init__()
        self._parts = (here, scans)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addWidget(here)
        self._column.addWidget(scans, 1)
        self.show_narrow(narrow=False)

    def show_narrow(self, *, narrow: bool) -> None:
        """Take less room in a small window."""
        self._column.setSpacing(px(12 if narrow else 16))
        self.setFixedWidth(px(272 if narrow else 304))
        for part in self._parts:
            part.show_narrow(narrow=narrow)

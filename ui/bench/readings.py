"""All cells of an item: the grid of outlets by half-cycle and multiple, and below it the other checks."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import partial
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from register.domain.limits import NoLimit, Unsettled
from register.domain.measures import plain_number
from register.domain.places import CURRENT_WORDS
from register.domain.plate import current_sent_ma
from register.domain.records import Finding, Place
from register.domain.words import Check, Result, counted
from register.services.bench.worksheet import INSULATION_V, Cell, Live, Worksheet, column_order
from ui.bench.cell import ReadingCell
from ui.bench.words import TITLES, is_trip, limit_words, times, worst_words
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import px, width
from ui.look.widgets import Chip, Painted, Words

MARGIN: Final = 96
"""The width of the column in which the sheet's parts are named."""
GAP: Final = 4
BESIDE: Final = 8
"""So much further from the cells of the check beside it a name begins."""
LEAST_ACROSS: Final = 6
INSULATION: Final = Place(Check.INSULATION_RESISTANCE)
HALF_ROW: Final = 2
"""So many cells of one check leave room for another check beside them."""


class Readings(QWidget):
    """Every cell of the item on the bench. `typed` tells the text of one, `entered` that Enter was pressed in it.

    `insulated` gives at which voltage insulation is measured, which is chosen beside its cell.
    `fault` says what is wrong with a text, `unsettled` why a limit can't be named; the sheet shows both below.
    """

    typed = Signal(object, str)
    entered = Signal(object)
    insulated = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.cells: dict[Place, ReadingCell] = {}
        self._rows: list[_RowHead] = []
        self._worst: dict[Check, _CheckHead] = {}
        self.voltage: Chip | None = None
        self._grid: QWidget | None = None
        self.fault = Words("", 12, 500, "overdue", wrap=True)
        self._faults: Mapping[Place, str] = {}
        self._pasting = ""
        self.unsettled = Words("", 12, 500, "soon", wrap=True)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(px(6))

    def _typed(self, place: Place, text: str) -> None:
        self._pasting = ""
        self.typed.emit(place, text)

    def lay_out(self, sheet: Worksheet, live: Live) -> None:
        """Make the cells that are asked for now."""
        self._pasting = ""
        if self._grid is not None:
            self._column.removeWidget(self._grid)
            self._grid.hide()
            self._grid.deleteLater()
        self.cells, self._rows, self._worst, self.voltage = {}, [], {}, None
        self._grid = QWidget(self)
        layout = QGridLayout(self._grid)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setHorizontalSpacing(px(GAP))
        layout.setVerticalSpacing(px(GAP))
        layout.setColumnMinimumWidth(0, px(MARGIN))
        trips = [cell for cell in live.cells if is_trip(cell.place)]
        rest = [cell for cell in live.cells if not is_trip(cell.place)]
        columns = _columns(trips)
        across = max(len(columns), LEAST_ACROSS)
        for column in range(1, across + 1):
            layout.setColumnStretch(column, 1)
        row = self._lay_trips(layout, sheet, trips, columns)
        self._lay_rest(layout, sheet, rest, row, across)
        self._column.insertWidget(0, self._grid)
        self.show_live(live)

    def _lay_trips(self, layout: QGridLayout, sheet: Worksheet, trips: Sequence[Cell], columns: Sequence[Cell]) -> int:
        if not trips:
            return 0
        layout.addWidget(_two_lines("Readings", "trip time, ms"), 0, 0, 1, 1)
        rated = sheet.item.safety_switch.rated_residual_ma if sheet.item.safety_switch else None
        for number, cell in enumerate(columns, start=1):
            span = 1 if cell.place.half_cycle is None else 2
            if not cell.place.half_cycle:
                layout.addWidget(_group_head(cell, rated), 0, number, 1, span)
            if cell.place.half_cycle is not None:
                layout.addWidget(_half_cycle(cell.place.half_cycle), 1, number)
        outlets = list(dict.fromkeys(cell.place.outlet for cell in trips))
        at = {(cell.place.outlet, column_order(cell.place)): cell for cell in trips}
        for row, outlet in enumerate(outlets, start=2):
            head = _RowHead(outlet)
            self._rows.append(head)
            layout.addWidget(head, row, 0)
            for number, column in enumerate(columns, start=1):
                here = at.get((outlet, column_order(column.place)))
                if here is not None:  # an outlet that the plate was given since has no reading that nothing asks for
                    self._add(layout, here, sheet, row, number)
        return 2 + len(outlets)

    def _lay_rest(self, layout: QGridLayout, sheet: Worksheet, rest: Sequence[Cell], row: int, across: int) -> None:
        if row and rest:
            line = Painted(_hairline, size=QSize(px(10), px(9)))
            line.setMaximumWidth(10_000)
            line.setMinimumWidth(0)
            layout.addWidget(line, row, 0, 1, across + 1)
            row += 1
        groups: dict[Check, list[Cell]] = {}
        for cell in rest:
            groups.setdefault(cell.place.check, []).append(cell)
        slot = 0
        for check, cells in groups.items():
            half = len(cells) <= HALF_ROW
            if slot and not half:
                row, slot = row + 1, 0
            second = bool(cells[0].either) and slot == 1
            head = _CheckHead(f"or {TITLES[check].lower()}" if second else TITLES[check], cells, beside=bool(slot))
            self._worst[check] = head
            first, span = (HALF_ROW + 1, 2) if slot else (0, 1)
            layout.addWidget(head, row, first, 1, span)
            for number, cell in enumerate(cells):
                at = first + span + number % across
                self._add(layout, cell, sheet, row + number // across, at, low=True)
            if half:
                row, slot = row + slot, 1 - slot
            else:
                row += (len(cells) - 1) // across + 1

    def _add(
        self, layout: QGridLayout, cell: Cell, sheet: Worksheet, row: int, column: int, *, low: bool = False
    ) -> None:
        made = ReadingCell(cell, sheet.typed.get(cell.place, ""), low=low)
        made.typed.connect(self._typed)
        made.entry.entered.connect(partial(self.entered.emit, cell.place))
        made.entry.led.connect(partial(self._lead, layout, (row, column)))
        made.entry.pasted.connect(partial(self._paste, layout, (row, column)))
        made.entry.seen.connect(self._say_fault)
        self.cells[cell.place] = made
        insulation = cell.place == INSULATION
        layout.addWidget(made, row, column, 1, 2 if low and cell.place.outlet is None and not insulation else 1)
        if insulation:
            self.voltage = _Voltage(sheet.insulation_v, self.insulated.emit)
            layout.addWidget(self.voltage, row, column + 1, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)

    def _lead(self, layout: QGridLayout, at: tuple[int, int], across: int, down: int) -> None:
        """Go to the next cell in a direction."""
        row, column = at[0] + down, at[1] + across
        while 0 <= row < layout.rowCount() and 0 < column < layout.columnCount():
            found = _cell_at(layout, row, column)
            if found is not None:
                found.entry.setFocus()
                return
            row, column = row + down, column + across

    def _paste(self, layout: QGridLayout, at: tuple[int, int], rows: list[list[str]]) -> None:
        """Fill the cells from here down and to the right, all of them or none; Ctrl+V again after a correction."""
        across = max(len(row) for row in rows)
        found = [
            (cell, text)
            for down, row in enumerate(rows)
            for right, text in enumerate(row)
            if (cell := _cell_at(layout, at[0] + down, at[1] + right)) is not None
        ]
        if len(found) < sum(len(row) for row in rows):
            size = counted(len(rows), "row") + (f" of {across}" if across > 1 else "")
            self._pasting = f"{size} were copied, but there are fewer cells from here on, so nothing was pasted."
        else:
            self._pasting = ""
            for cell, text in found:
                cell.fill(text)
        self._say_fault()

    def show_live(self, live: Live) -> None:
        """Show the marks of this moment."""
        missing = set(live.missing)
        for place, cell in self.cells.items():
            cell.show_state(live.found.get(place), live.faults.get(place, ""), missing=place in missing)
        for head in self._rows:
            head.show_missing(sum(1 for place in missing if place.outlet == head.outlet and is_trip(place)))
        for check, named in self._worst.items():
            named.show_found([each for each in live.found.values() if each.place.check is check])
        self._faults = live.faults
        self._say_fault()
        open_limits = [cell.limit.why for cell in live.cells if isinstance(cell.limit, Unsettled | NoLimit)]
        self.unsettled.say(open_limits[0] if open_limits else "")
        self.unsettled.setVisible(bool(open_limits))

    def _say_fault(self) -> None:
        """Say what is wrong with the cell that has the cursor, or else with the first wrong one."""
        here = next((place for place, cell in self.cells.items() if cell.entry.hasFocus()), None)
        said = self._pasting or (self._faults.get(here) if here else None) or next(iter(self._faults.values()), "")
        self.fault.say(said)
        self.fault.setVisible(bool(said))

    def widgets(self) -> Iterator[QWidget]:
        """Yield the fields in reading order."""
        for place, cell in self.cells.items():
            yield cell.entry
            if place == INSULATION and self.voltage is not None:
                yield self.voltage


def _cell_at(layout: QGridLayout, row: int, column: int) -> ReadingCell | None:
    """Return the cell at a place of the grid; None where there is none."""
    item = layout.itemAtPosition(row, column) if row < layout.rowCount() and column < layout.columnCount() else None
    found = item.widget() if item is not None else None
    return found if isinstance(found, ReadingCell) else None


def _columns(trips: Sequence[Cell]) -> list[Cell]:
    """Return a cell for each column of the grid, in order."""
    found: dict[tuple[int, bool, Decimal, int], Cell] = {}
    for cell in trips:
        found.setdefault(column_order(cell.place), cell)
    return [found[key] for key in sorted(found)]


def _two_lines(first: str, second: str) -> QWidget:
    def drawn(painter: QPainter, place: QRectF) -> None:
        draw.text(painter, QRectF(0, 0, place.width(), px(22)), first, 13, 600)
        draw.text(painter, QRectF(0, px(22), place.width(), px(18)), second, 12, 400, colours().ink3)

    made = Painted(drawn)
    made.setFixedHeight(px(42))
    made.setMinimumWidth(math.ceil(max(width(first, 13, 600), width(second, 12))))
    return made


def _group_head(cell: Cell, rated_ma: Decimal | None) -> QWidget:
    multiple, limit = cell.place.multiple, limit_words(cell.limit)
    title = "Rising" if multiple is None else times(multiple)
    sent = "" if cell.place.test_current is None else CURRENT_WORDS[cell.place.test_current]
    if multiple is None:
        limit = limit.replace(" to ", "\N{EN DASH}")
    elif rated_ma is not None and not sent:
        sent = f"{plain_number(current_sent_ma(rated_ma, multiple))} mA"

    def drawn(painter: QPainter, place: QRectF) -> None:
        inset = px(9)
        end = draw.text(painter, QRectF(inset, 0, place.width(), px(22)), title, 15, 600, elide=False)
        draw.text(painter, QRectF(end + px(8), 0, place.width() - end - px(8), px(22)), sent, 12, 500, colours().ink2)
        room = QRectF(inset, px(22), place.width() - inset, px(18))
        draw.text(painter, room, limit, 12, 500, colours().ink2)

    made = Painted(drawn)
    made.setFixedHeight(px(42))
    made.setToolTip(f"{title} {sent}".rstrip() + f": {limit}")
    return made


def _half_cycle(degrees: int) -> QWidget:
    def drawn(painter: QPainter, place: QRectF) -> None:
        size, tokens = px(16), colours()
        glyph(painter, f"half-{degrees}", px(9), (place.height() - size) / 2, size, tokens.ink2)
        words = QRectF(px(30), 0, place.width(), place.height())
        draw.text(painter, words, f"{degrees}°", 12, 500, tokens.ink2)

    made = Painted(drawn)
    made.setFixedHeight(px(24))
    return made


def _hairline(painter: QPainter, place: QRectF) -> None:
    draw.across(painter, 0, place.width(), place.height() / 2)


class _Voltage(Chip):
    """At which voltage insulation is measured; pressing it takes the other one."""

    def __init__(self, volts: int, taken: Callable[[int], object]) -> None:
        super().__init__("")
        self._taken = taken
        self.setToolTip("Press for 250 V d.c.: equipment with surge protection, which conducts at 500 V.")
        self.clicked.connect(self._take)
        self._show(volts)

    def _show(self, volts: int) -> None:
        self.setChecked(volts != INSULATION_V[0])
        self.say(f"{volts} V")
        self.setAccessibleName(f"Insulation is measured at {volts} V d.c.")

    def _take(self) -> None:
        volts = INSULATION_V[self.isChecked()]
        self._show(volts)
        self._taken(volts)


class _RowHead(QWidget):
    """The name of an outlet, and how many of its trips are missing."""

    def __init__(self, outlet: int | None) -> None:
        super().__init__()
        self.outlet = outlet
        self._title = Words("Switch" if outlet is None else f"Outlet {outlet}", 13, 600)
        self._missing = Words("", 12, 500, "unknown")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addStretch(1)
        column.addWidget(self._title)
        column.addWidget(self._missing)
        column.addStretch(1)

    def show_missing(self, count: int) -> None:
        """Say how many are missing."""
        self._missing.say(f"{count} missing" if count else "")
        self._missing.setVisible(bool(count))


class _CheckHead(QWidget):
    """The name of a check and its limit, or the worst of several outlets once all are known."""

    def __init__(self, title: str, cells: Sequence[Cell], *, beside: bool) -> None:
        super().__init__()
        self._title, self._limit, self._outlets = title, limit_words(cells[0].limit), len(cells)
        self._found: Sequence[Finding] = ()
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(BESIDE) if beside else 0, 0, 0, 0)
        column.setSpacing(0)
        self._words = Words(self._title, 13, 600)
        self._below = Words("", 12, 400, "ink3")
        column.addWidget(self._words)
        column.addWidget(self._below)
        self.show_found(())

    def show_found(self, found: Sequence[Finding]) -> None:
        """Show the limit, or the worst of several values."""
        failed = [each for each in found if each.result is Result.FAIL]
        several = self._outlets > 1
        if several and failed:
            self._below.say(f"{counted(len(failed), 'fails', 'fail')}", "overdue")
        elif several and len(found) == self._outlets and found[0].measure and found[0].measure.value is not None:
            self._below.say(f"worst {worst_words(found)}", "ink2")
        else:
            self._below.say(self._limit, "ink3")

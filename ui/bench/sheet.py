"""The middle of the bench: the item, its plate, how it is connected, the look, the readings, who measures."""

from collections.abc import Iterator
from typing import Final

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QApplication, QFrame, QGridLayout, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from register.domain.measures import TRIPS
from register.domain.words import CONTRACTORS_DUTIES, Bound, Duty, SetUp, spoken
from ui.bench.cell import ReadingCell
from ui.bench.crew import CrewChoice
from ui.bench.look import Look
from ui.bench.plate import Plate
from ui.bench.readings import MARGIN, Readings
from ui.bench.scan import ScanLine
from ui.bench.session import Session
from ui.bench.setup import SetUpChoice
from ui.bench.setup_card import SetUpCard
from ui.bench.wide import Wide
from ui.bench.words import is_trip
from ui.dates import shown
from ui.look import draw
from ui.look.flow import Flow
from ui.look.typeface import px
from ui.look.widgets import Chip, Painted, Sheet, StandingLabel, TagLabel, Words

FOOT_ROOM: Final = 500
"""So wide is a sheet on which words stand before the fields at its foot."""


class Head(QWidget):
    """The tag, what it is, where it is, how it stands, and which duties are to be done."""

    chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._tag = TagLabel(height=32, size=17)
        self._name = Words("", 20, 600, elide=True)
        self._class, self._strokes = "", 0
        self._chip = Painted(self._draw_class)
        self._standing = StandingLabel()
        self._place = Words("", 13, 400, "ink2", elide=True)
        first, second = QHBoxLayout(), QHBoxLayout()
        first.setSpacing(px(16))
        second.setSpacing(px(12))
        first.addWidget(self._tag)
        first.addWidget(self._name, 1)
        second.addWidget(self._place, 1)
        second.addWidget(self._chip)
        second.addWidget(self._standing)
        self._column = QVBoxLayout(self)
        self._column.setSpacing(px(4))
        self._column.addLayout(first)
        self._column.addLayout(second)

    def show_item(self, session: Session) -> None:
        """Show the item on the bench."""
        item = session.item
        assert item is not None
        outlets = session.sheet.item.outlets
        counted = f", {outlets} outlets" if outlets > 1 and "outlet" not in item.description else ""
        self._tag.show_number(item.tag)
        self._name.say(f"{item.description}{counted}")
        self._class, self._strokes = item.environment, item.strokes
        self._chip.setFixedSize(QSize(int(draw.class_width(item.environment)) + 1, px(20)))
        self._chip.setAccessibleName(f"Environment class {item.environment}")
        self._standing.show_standing(item.standing)
        last = item.last_pass
        slowest = f", slowest {last.slowest}" if last and last.slowest else ""
        passed = f"Last pass {shown(last.tested_on)}{slowest}." if last else "No pass on record."
        self._place.say(f"{item.site_name}, {item.area}. {passed}")

    def layout_for(self, inset: int, *, narrow: bool) -> None:
        """Keep to the sheet's margins."""
        self._column.setContentsMargins(inset, px(6 if narrow else 12), inset, 0)

    def _draw_class(self, painter: QPainter, _place: QRectF) -> None:
        draw.class_chip(painter, 0, 0, self._class, self._strokes, px(20))


class Duties(QWidget):
    """Which of the item's duties are done now. `chosen` gives them; the last one can't be switched off."""

    chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.chips: dict[Duty, Chip] = {}
        self._row = Flow(self, px(8))
        self._made = {duty: self._chip(duty) for duty in Duty if duty in CONTRACTORS_DUTIES}

    def show_duties(self, known: tuple[Duty, ...], chosen: tuple[Duty, ...]) -> None:
        """Show a chip for each duty, in one order whatever was shown before."""
        self.chips = {duty: self._made[duty] for duty in known}
        for duty, chip in self._made.items():
            chip.setVisible(duty in known)
            chip.setChecked(duty in chosen)

    def _chip(self, duty: Duty) -> Chip:
        words = spoken(duty)
        chip = Chip(f"{words[:1].upper()}{words[1:]}")
        chip.clicked.connect(self._choose)
        self._row.addWidget(chip)
        return chip

    def _choose(self) -> None:
        chosen = tuple(duty for duty, chip in self.chips.items() if chip.isChecked())
        if chosen:
            self.chosen.emit(chosen)
            return
        sender = self.sender()
        if isinstance(sender, Chip):
            sender.setChecked(True)


class ItemSheet(Sheet):
    """Everything about the item on the bench. It scrolls where the window is too low, and follows the cursor."""

    entered = Signal(object)
    looked = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.head, self.duties, self.plate = Head(), Duties(), Plate()
        self.set_up, self.look, self.readings = SetUpChoice(), Look(), Readings()
        self.crew = CrewChoice(session.today)
        self._parts: dict[str, tuple[Words, QWidget]] = {}
        self._inside = QWidget()
        self._grid = QGridLayout(self._inside)
        self._grid.setHorizontalSpacing(px(4))
        self._grid.setColumnMinimumWidth(0, px(MARGIN))
        self._grid.setColumnStretch(1, 1)
        for row, (title, part) in enumerate(
            (("To do", self.duties), ("Plate", self.plate), ("Set-up", self.set_up), ("Look first", self.look)), 1
        ):
            self._part(row, title, part)
        self._wide = Wide(self.readings)
        self._grid.addWidget(self._wide, 5, 0, 1, 2)
        self._grid.setRowStretch(6, 1)
        self._area = _scrolling(self._inside)
        self._sight_soon = QTimer(self, singleShot=True, interval=0)
        self._sight_soon.timeout.connect(self._keep_in_sight)
        for each in (self._inside, self._area):
            each.installEventFilter(self)
        self._foot = QHBoxLayout()
        self._foot.setSpacing(px(4))
        self.correction = ScanLine()
        self._stack_up()
        self.show_narrow(narrow=False)
        self._listen()

    def _stack_up(self) -> None:
        """Put what scrolls between what stays in sight above and below it."""
        self._by = Words("Measured by", 13, 600, wrap=True)
        self._by.setFixedSize(px(MARGIN), px(36))
        self._foot.addWidget(self._by, 0, Qt.AlignmentFlag.AlignTop)
        self._foot.addWidget(self.crew, 1)
        self._line = Painted(_hairline)
        self._line.setFixedHeight(1)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(1, 8, 1, 8)
        self._column.setSpacing(px(8))
        self._band = QHBoxLayout()
        self._band.addWidget(self.correction)
        self._column.addLayout(self._band)
        self._column.addWidget(self.head)
        self._column.addWidget(self._area, 1)
        self._column.addWidget(self.readings.fault)
        self._column.addWidget(self.readings.unsettled)
        self._column.addWidget(self._line)
        self._column.addLayout(self._foot)

    def _part(self, row: int, title: str, part: QWidget) -> None:
        label = Words(title, 13, 600)
        self._parts[title] = (label, part)
        self._grid.addWidget(label, row, 0, Qt.AlignmentFlag.AlignTop)
        self._grid.addWidget(part, row, 1)

    def _listen(self) -> None:
        session = self._session
        self.plate.connect_fields()
        self.plate.changed.connect(session.plate)
        self.duties.chosen.connect(session.set_out)
        self.set_up.chosen.connect(session.connect_by)
        self.set_up.other.connect(self._try_other)
        self.set_up.asked.connect(self._show_card)
        self.crew.dated.connect(session.done_on)
        self.look.seen.connect(session.see)
        self.look.done.connect(self.looked)
        self.readings.typed.connect(session.type)
        self.readings.insulated.connect(session.insulate_at)
        self.readings.entered.connect(self.entered)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Leave the words at the foot out where the fields need their room."""
        self._by.setVisible(self.width() >= px(FOOT_ROOM))
        super().resizeEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keep what has the cursor in sight when cells have taken their places, or there is less room for them."""
        if watched in {self._inside, self._area} and event.type() is QEvent.Type.Resize:
            self._sight_soon.start()
        return False

    def _keep_in_sight(self) -> None:
        focus = QApplication.focusWidget()
        if focus is not None and self.isVisible():
            self.bring_into_sight(focus)

    def show_narrow(self, *, narrow: bool) -> None:
        """Take less room in a small window."""
        inset = px(15 if narrow else 23)
        self.head.layout_for(inset, narrow=narrow)
        self.crew.show_narrow(narrow=narrow)
        self._foot.setContentsMargins(inset, 0, inset, 0)
        self._band.setContentsMargins(inset, 0, inset, 0)
        for words in (self.readings.fault, self.readings.unsettled):
            words.setContentsMargins(inset, 0, inset, 0)
        self._grid.setContentsMargins(inset, px(2), inset, px(4))
        self._grid.setVerticalSpacing(px(8 if narrow else 10))
        self._column.setContentsMargins(1, px(4 if narrow else 8), 1, px(8 if narrow else 12))

    def lay_out(self) -> None:
        """Show another item, or the same with other cells."""
        session = self._session
        assert session.item is not None
        sheet, live = session.sheet, session.live
        self.head.show_item(session)
        self.duties.show_duties(session.item.duties, sheet.duties)
        self._show("To do", shown=len(session.item.duties) > 1)
        self.plate.show_item(sheet.item)
        self.set_up.show_set_up(sheet.set_up or SetUp.TESTER_FEEDS_DEVICE)
        self._show("Set-up", shown=any(is_trip(cell.place) for cell in live.cells))
        self._show("Look first", shown=sheet.asks_look)
        self.look.lay_out(sheet)
        self.readings.lay_out(sheet, live)
        self._wide.setVisible(bool(live.cells))
        self._offer_other()

    def _try_other(self, set_up: SetUp) -> None:
        """Connect the switch the other way, and go to what is to be measured again."""
        self._session.try_other(set_up)
        self.looked.emit()

    def _show_card(self) -> None:
        SetUpCard(self.window(), self.set_up.way, self.set_up.take_other).open()

    def _show(self, title: str, *, shown: bool) -> None:
        for widget in self._parts[title]:
            widget.setVisible(shown)

    def refresh(self) -> None:
        """Show the marks of this moment."""
        self.look.show_sheet(self._session.sheet)
        self.readings.show_live(self._session.live)
        self._offer_other()

    def _offer_other(self) -> None:
        """Offer the other set-up while a trip gave no reading in this one."""
        readings = self._session.live.record.readings
        nothing = any(each.check in TRIPS and each.measure.bound is Bound.NO_READING for each in readings)
        self.set_up.offer_other(wanted=nothing)

    def bring_into_sight(self, widget: QWidget) -> None:
        """Scroll so that a widget is seen."""
        if self._inside.isAncestorOf(widget):
            holder = widget.parentWidget()
            whole = holder if isinstance(holder, ReadingCell) else widget
            self._area.ensureWidgetVisible(whole, 0, px(28))
            if self.readings.isAncestorOf(whole):
                self._wide.ensureWidgetVisible(whole, px(8), 0)

    def to_first(self) -> None:
        """Put the cursor into the first reading, or on the first thing to look at where nothing is measured."""
        first = next((each for part in (self.readings, self.look) for each in part.widgets() if each.isEnabled()), None)
        if first is not None:
            first.setFocus()

    def to_top(self) -> None:
        """Scroll to the item's tag."""
        self._area.verticalScrollBar().setValue(0)

    def widgets(self) -> Iterator[QWidget]:
        """Yield everything that takes the cursor, in reading order."""
        yield from self.correction.widgets()
        yield from self.duties.chips.values()
        for part in (self.plate, self.set_up, self.look, self.readings, self.crew):
            yield from part.widgets()


def _scrolling(inside: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setWidget(inside)
    inside.setAutoFillBackground(False)
    return area


def _hairline(painter: QPainter, place: QRectF) -> None:
    draw.across(painter, 0, place.width(), 0)

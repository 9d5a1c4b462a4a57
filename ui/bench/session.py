"""What lies on the bench at this moment: the item, its worksheet and the verdict, and who is told when they change."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from PySide6.QtCore import QObject, Signal

from register.domain.items import Item
from register.domain.records import Place
from register.domain.words import Duty, Result, SetUp
from register.services.bench.drafts import Draft, draft_data
from register.services.bench.on_bench import BenchItem
from register.services.bench.worksheet import Live, Worksheet, live, no_reading


class Session(QObject):
    """The item on the bench and the day of its test. `laid`: the cells are others now, `judged`: the verdict is new.

    Worksheets that were put aside wait here until their item is scanned again.
    """

    laid = Signal()
    judged = Signal()

    def __init__(self, today: date) -> None:
        super().__init__()
        self.today = self.on = today
        self.item: BenchItem | None = None
        self._sheet: Worksheet | None = None
        self._live: Live | None = None
        self._aside: dict[str, tuple[BenchItem, Worksheet]] = {}

    @property
    def sheet(self) -> Worksheet:
        """The worksheet of the item on the bench."""
        assert self._sheet is not None
        return self._sheet

    @property
    def live(self) -> Live:
        """The verdict on the worksheet as it is."""
        assert self._live is not None
        return self._live

    @property
    def begun(self) -> bool:
        """Whether anything on the bench would be lost; of a correction, whether it differs from the record."""
        if self.item is None or self._sheet is None:
            return False
        wrong = self.item.corrects
        return self._sheet.begun if wrong is None else self._sheet != wrong.sheet

    def lay(self, item: BenchItem) -> bool:
        """Put an item on the bench; whether it goes on with a worksheet that was put aside."""
        before = self._aside.pop(item.id, None)
        self.item = item
        if before is not None:
            self.item = replace(item, record_id=before[0].record_id, corrects=before[0].corrects)
        self._take(item.worksheet() if before is None else before[1])
        self.laid.emit()
        return before is not None

    def clear(self) -> None:
        """Take the item off the bench."""
        self.item = self._sheet = self._live = None
        self.laid.emit()

    def put_aside(self) -> BenchItem | None:
        """Keep the worksheet until the item is scanned again; return the item, or None where nothing was begun."""
        if self.item is None or not self.begun:
            return None
        self._aside[self.item.id] = (self.item, self.sheet)
        return self.item

    def take_up(self, drafts: Sequence[Draft]) -> None:
        """Put aside tests that were half-typed when the program ended; what is here already goes before."""
        here = self.item.id if self.item is not None and self.begun else ""
        for draft in drafts:
            if draft.item.id != here:
                self._aside.setdefault(draft.item.id, (draft.item, draft.sheet))

    def let_go(self, item_id: str) -> None:
        """Forget a worksheet that was put aside."""
        self._aside.pop(item_id, None)

    def half_typed(self) -> list[dict[str, Any]]:
        """Return every worksheet that was begun and not saved, as plain data."""
        here = [(self.item, self.sheet)] if self.item is not None and self.begun else []
        tags = {item.id for item, _sheet in here}
        return [draft_data(*each) for each in here + [each for key, each in self._aside.items() if key not in tags]]

    def half_typed_of(self, item_id: str) -> BenchItem | None:
        """Return the item where something of it is half-typed, here or put aside."""
        if self.item is not None and self.item.id == item_id and self.begun:
            return self.item
        aside = self._aside.get(item_id)
        return None if aside is None else aside[0]

    @property
    def waiting(self) -> int:
        """How many worksheets were put aside."""
        return len(self._aside)

    @property
    def unsaved(self) -> list[str]:
        """The tags of the items whose worksheets were begun and not saved."""
        here = [self.item.tag] if self.item is not None and self.begun else []
        return here + [item.tag for item, _sheet in self._aside.values() if item.tag not in here]

    def type(self, place: Place, text: str) -> None:
        """Take the text of one cell."""
        if self.sheet.typed.get(place, "") != text:
            self._judge(self.sheet.with_text(place, text))

    def see(self, seen: Mapping[str, bool | None]) -> None:
        """Take what was seen of some points of the look: right, wrong, or not looked at."""
        look = {key: value for key, value in ({**self.sheet.look, **seen}).items() if value is not None}
        self._judge(replace(self.sheet, look=look))

    def connect_by(self, set_up: SetUp) -> None:
        """Take how the switch is connected."""
        self._judge(replace(self.sheet, set_up=set_up))

    def insulate_at(self, volts: int) -> None:
        """Take the voltage at which insulation is measured."""
        self._judge(replace(self.sheet, insulation_v=volts))

    def done_on(self, day: date) -> None:
        """Take the day on which the tests are made; it stays for the items that follow."""
        self.on = day
        if self._sheet is not None:
            self._judge(self._sheet)

    def try_other(self, set_up: SetUp) -> None:
        """Connect the other way, and ask again for what gave no reading."""
        kept = {place: text for place, text in self.sheet.typed.items() if not no_reading(place.check, text)}
        self._take(replace(self.sheet, set_up=set_up, typed=kept))
        self.laid.emit()

    def plate(self, item: Item) -> None:
        """Take what the rating plate says."""
        if item != self.sheet.item:
            self._take(replace(self.sheet, item=item))
            self.laid.emit()

    def set_out(self, duties: tuple[Duty, ...]) -> None:
        """Take which duties are to be done now."""
        if duties and duties != self.sheet.duties:
            self._take(replace(self.sheet, duties=duties))
            self.laid.emit()

    @property
    def verdict(self) -> Result:
        """The verdict on what is typed so far."""
        return self.live.judgement.verdict

    def _judge(self, sheet: Worksheet) -> None:
        self._take(sheet)
        self.judged.emit()

    def _take(self, sheet: Worksheet) -> None:
        self._sheet = sheet
        self._live = live(sheet, self.on)

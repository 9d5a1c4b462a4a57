"""What the list is narrowed to: the search, the chips of facts and of standings, how many are left, and Clear."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from register.domain.words import Kind, Standing, counted, first_word
from register.services.item_list import Choice, Narrowing
from register.store.lists import ItemFilter
from ui.look.flow import Flow
from ui.look.typeface import px
from ui.look.widgets import Chip, Words, button, standing_word
from ui.register_page.filter_chip import FilterChip
from ui.register_page.search import SearchField
from ui.wanted import ShowItems

STANDINGS: Final = (
    Standing.OVERDUE, Standing.DUE_SOON, Standing.UNTESTED, Standing.WITHDRAWN, Standing.IN_SERVICE,
    Standing.REMOVED,
)  # fmt: skip
KINDS: Final = tuple(Choice(kind.value, first_word(kind)) for kind in Kind)


@dataclass(frozen=True, slots=True)
class Period:
    """A time in which something falls due, asked for by another page, and how it is called."""

    first: date | None = None
    last: date | None = None
    words: str = ""


class Filters(QWidget):
    """Both rows above the list.

    Signals: `changed` when other items are asked for, `site_changed` with the id of the site chosen, `left` when the
    keyboard goes on to the list.
    """

    changed = Signal()
    site_changed = Signal(str)
    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.search = SearchField()
        self.kind = FilterChip("Kind", many=True)
        self.environment = FilterChip("Environment", many=True)
        self.site = FilterChip("Site", many=False)
        self.area = FilterChip("Area", many=False, none="Choose a site first")
        self._period = Period()
        self._period_chip = Chip("", removable=True)
        self.standings = {each: Chip(standing_word(each), standing=each) for each in STANDINGS}
        self._count = Words("", 13, 500, "ink2")
        self._clear = button("Clear", "quiet", name="Clear the search and all filters")
        self.add = button("Add", name="Add an item", hint="Add an item (Ctrl N)")
        self.add.setFixedHeight(px(40))
        self._total = 0
        self._offered = False
        self._asked: ShowItems | None = None
        self._kept: Mapping[str, frozenset[str]] = {}
        self.kind.offer(KINDS)
        self._build()
        self._connect()

    def _build(self) -> None:
        above = QHBoxLayout()
        above.setSpacing(8)
        above.addWidget(self.search, 1)
        for chip in self._facts:
            above.addWidget(chip)
        above.addWidget(self.add)
        chips = QWidget()
        row = Flow(chips)
        row.addWidget(self._period_chip)
        for standing in STANDINGS:
            row.addWidget(self.standings[standing])
        self._period_chip.hide()
        below = QHBoxLayout()
        below.setSpacing(8)
        below.addWidget(chips, 1)
        below.addWidget(self._count)
        below.addWidget(self._clear)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addLayout(above)
        column.addLayout(below)

    def _connect(self) -> None:
        self.search.searched.connect(self._tell)
        self.search.left.connect(self.left)
        self.site.changed.connect(self._site_changed)
        for chip in (self.kind, self.environment, self.area):
            chip.changed.connect(self._tell)
        for standing in self.standings.values():
            standing.clicked.connect(self._tell)
        self._period_chip.clicked.connect(self._drop_period)
        self._clear.clicked.connect(self.clear)

    @property
    def _facts(self) -> tuple[FilterChip, ...]:
        return self.kind, self.environment, self.site, self.area

    @property
    def _named(self) -> dict[str, FilterChip]:
        return dict(zip(("kind", "environment", "site", "area"), self._facts, strict=True))

    def offer(self, found: Narrowing) -> None:
        """Offer what the register has."""
        self._total = found.total
        self.environment.offer(found.environments)
        self.site.offer(found.sites)
        self._offered = True
        self._take_up()
        if self._asked is not None:
            asked, self._asked = self._asked, None
            self.ask_for(asked)

    def offer_areas(self, areas: tuple[Choice, ...]) -> None:
        """Offer the areas of the chosen site."""
        self.area.offer(areas)
        if areas and "area" in self._kept:
            self.area.choose(*self._kept["area"])
            self._kept = {}
            if self.area.chosen:
                self._tell()

    def kept(self) -> dict[str, frozenset[str]]:
        """Return what narrows the list, to be kept for the next time; a time that another page asked for isn't."""
        found = {name: chip.chosen for name, chip in self._named.items()}
        found["standing"] = frozenset(each.value for each, chip in self.standings.items() if chip.isChecked())
        found["text"] = frozenset({self.search.text().strip()} - {""})
        return found

    def take_up(self, kept: Mapping[str, frozenset[str]]) -> None:
        """Narrow the list as it was kept, once it is known what can be chosen; what is gone is left out."""
        self._kept = kept

    def _take_up(self) -> None:
        """Choose what was kept; the area follows when those of its site are known."""
        kept = self._kept
        self._kept = {"area": kept["area"]} if kept.get("site") and kept.get("area") else {}
        for name in ("kind", "environment", "site"):
            if name in kept:
                self._named[name].choose(*kept[name])
        for standing in kept.get("standing", frozenset()) & {each.value for each in STANDINGS}:
            self.standings[Standing(standing)].setChecked(True)
        for text in kept.get("text", ()):
            self.search.put(text)
        if self.site.chosen:
            self.site_changed.emit(next(iter(self.site.chosen)))

    def wanted(self, today: date, soon_days: int) -> ItemFilter:
        """Return which items are asked for."""
        return ItemFilter(
            today,
            text=self.search.text(),
            standings=frozenset(each for each, chip in self.standings.items() if chip.isChecked()),
            kinds=self.kind.chosen,
            environments=self.environment.chosen,
            site=next(iter(self.site.chosen), None),
            area=next(iter(self.area.chosen), None),
            soon_days=soon_days,
            due_from=self._period.first,
            due_to=self._period.last,
        )

    @property
    def active(self) -> tuple[str, ...]:
        """What narrows the list at present, each in words."""
        text = self.search.text().strip()
        found = [f"“{text}”"] if text else []
        found += [self._period.words] if self._period.words else []
        found += [standing_word(each).lower() for each, chip in self.standings.items() if chip.isChecked()]
        return (*found, *(chip.words for chip in self._facts if chip.words))

    def count(self, shown: int) -> None:
        """Say how many items are shown of how many."""
        total = counted(self._total, "item")
        self._count.setText(f"{shown:,} of {total}" if self.active else total)
        self._clear.setVisible(bool(self.active))

    def count_standings(self, counts: dict[Standing, int]) -> None:
        """Say how many items of each standing there would be."""
        for standing, chip in self.standings.items():
            chip.set_count(f"{counts.get(standing, 0):,}")

    def clear(self) -> None:
        """Ask for every item."""
        self._reset()
        self._tell()

    def ask_for(self, wanted: ShowItems) -> None:
        """Ask for what another page wants to be shown, as soon as the sites are known."""
        if not self._offered:
            self._asked = wanted
            return
        self._reset()
        if wanted.site_id is not None:
            self.site.choose(wanted.site_id)
            self.site_changed.emit(wanted.site_id)
        if wanted.due_from is not None or wanted.due_to is not None:
            self._period = Period(wanted.due_from, wanted.due_to, wanted.text or "due then")
            self._period_chip.say(self._period.words)
            self._period_chip.setChecked(True)
            self._period_chip.show()
        self._tell()

    def ask_for_standing(self, standing: Standing) -> None:
        """Ask for the items of one standing."""
        self._reset()
        self.standings[standing].setChecked(True)
        self._tell()

    def _reset(self) -> None:
        self._kept = {}
        self.search.empty()
        for chip in self._facts:
            chip.choose()
        for standing in self.standings.values():
            standing.setChecked(False)
        self._forget_period()
        self.offer_areas(())

    def _forget_period(self) -> None:
        self._period = Period()
        self._period_chip.hide()

    def _drop_period(self) -> None:
        self._forget_period()
        self._tell()

    def _site_changed(self) -> None:
        self._kept = {}
        self.offer_areas(())
        self.site_changed.emit(next(iter(self.site.chosen), ""))
        self._tell()

    def _tell(self, *_what: object) -> None:
        self.changed.emit()

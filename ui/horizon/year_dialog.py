"""Shows a year of weeks against the crew's hours, and what would be with other vans, intervals or one more site."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, Final

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QStackedWidget, QVBoxLayout, QWidget

from register.domain.intervals import Interval
from register.domain.words import Duty, counted, first_word
from register.errors import Refused
from register.planning.forecast import Forecast
from register.services.place_choices import sites_with_areas
from register.services.settings import setting
from register.services.week.forecast import WhatIf, forecast
from register.stopping import go_on
from ui.asking.fields import Field, Picked, beside
from ui.horizon.year import Year
from ui.horizon.year_chart import YearChart
from ui.horizon.year_paper import COLUMNS, YearPages, cells_of
from ui.look.typeface import px
from ui.look.widgets import Words, button
from ui.page import Desk
from ui.paper.taking import TakingDialog
from ui.table.model import Column, RowsModel
from ui.table.view import ListView

WIDE: Final = 1180
CHART: Final = 300
CHART_LOW: Final = 170
LOW: Final = 760
SHARES: Final = (15, 24, 16, 22, 12)
"""How what is tried shares the width, so that each choice is read whole in large type."""
WIDTHS: Final = (76, 130, 100, 80, 100, 100, 100, 140)
"""How wide the columns of the table are."""

VANS: Final = ((0, "As they are"), (1, "One more"), (2, "Two more"), (-1, "One fewer"))
DUTIES: Final = (Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME, Duty.FORMAL_VISUAL)
MONTHS: Final = (1, 3, 6, 12, 24, 60)


class _Steps(QObject):
    """Tells the window's thread how far the worker is: sites done, of how many."""

    went = Signal(int, int)


class YearDialog(TakingDialog):
    """The dialog. What is tried changes nothing in the register; it is worked out anew with each choice."""

    def __init__(self, window: QWidget, desk: Desk) -> None:
        super().__init__(window, desk, "A year ahead", thing="The year ahead", wide=WIDE)
        self._now: Forecast | None = None
        self._year: Year | None = None
        self._firm = ""
        self._steps = _Steps()
        self._steps.went.connect(self._tell_step)
        self._build(low=window.height() < px(LOW))
        self._gather()

    # --- how it looks ---

    def _build(self, *, low: bool) -> None:
        self.vans, self.duty = (
            Picked(VANS),
            Picked([(None, "Nothing"), *((each, first_word(each)) for each in DUTIES)]),
        )
        self.every = Picked([(months, Interval.of(months=months).words) for months in MONTHS])
        self.every.choose(MONTHS[2])
        self.like, self.items = Picked([(None, "None")]), QLineEdit()
        self.items.setPlaceholderText("as many")
        self.items_field = Field("With items", self.items)
        self._chart, self._week = YearChart(), Words("", 13, 500, wrap=True)
        self._table = ListView(RowsModel(_columns(""), self._fetch), "Every week in figures")
        self._table_button = button("Show as a table   Alt T")
        self._table_button.setShortcut("Alt+T")
        self._stack = QStackedWidget()
        for each in (self._chart, self._table):
            self._stack.addWidget(each)
        self._stack.setFixedHeight(px(CHART_LOW if low else CHART))
        self._lay_out()
        self.take_along("Nothing is changed by what is tried here.")
        self._connect()

    def _lay_out(self) -> None:
        asked = beside(
            Field("Vans", self.vans), Field("New interval for", self.duty), Field("Every", self.every),
            Field("One more site like", self.like), self.items_field, shares=SHARES,
        )  # fmt: skip
        asked.setSpacing(12)
        told, ways = QVBoxLayout(), QHBoxLayout()
        ways.setSpacing(8)
        ways.addWidget(self._week, 1)
        for each in (self._table_button, self._print):
            ways.addWidget(each, 0, Qt.AlignmentFlag.AlignTop)
        told.setSpacing(8)
        told.addWidget(self._said)
        told.addWidget(self._stack)
        told.addLayout(ways)
        self.body.addLayout(asked)
        self.body.addLayout(told)

    def _connect(self) -> None:
        for choice in (self.vans, self.duty, self.every, self.like):
            choice.currentIndexChanged.connect(self._gather)
        self.items.editingFinished.connect(self._gather)
        self._chart.week_chosen.connect(self._tell_week)
        self._table.current_changed.connect(self._tell_row)
        self._table_button.clicked.connect(self._turn_over)

    def _turn_over(self) -> None:
        """Show the table instead of the skyline, or the other way round."""
        table = self._stack.currentWidget() is self._chart
        self._stack.setCurrentWidget(self._table if table else self._chart)
        self._table_button.setText("Show as a skyline   Alt T" if table else "Show as a table   Alt T")
        self._table_button.setShortcut("Alt+T")
        if table:
            self._table.select_key(str(self._chart.chosen))
        (self._table if table else self._chart).setFocus()

    # --- what is tried ---

    def what_if(self) -> WhatIf:
        """Return what is tried; refused where the number of items is none."""
        like, typed, vans = self.like.chosen, self.items.text().strip(), self.vans.chosen
        if typed and not (typed.isascii() and typed.isdecimal() and len(typed) < _MOST_DIGITS):
            raise Refused(f"“{typed}” is no number of items. Give a whole number, such as 40.")
        duty, months = self.duty.chosen, self.every.chosen
        often = {str(duty): Interval.of(months=months)} if duty is not None and isinstance(months, int) else {}
        return WhatIf(
            vans if isinstance(vans, int) else 0, often, str(like or ""), int(typed) if typed and like else None
        )

    def _asked_words(self) -> str:
        """Return in words what is tried, once it could be read."""
        said = [f"vans: {self.vans.currentText().lower()}"] if self.vans.chosen else []
        said += [f"{self.duty.currentText()} every {self.every.currentText()}"] if self.duty.chosen else []
        typed = self.items.text().strip()
        many = f" with {counted(int(typed), 'item')}" if typed else ""
        said += [f"one more site like {self.like.currentText()}{many}"] if self.like.chosen else []
        return f"What is tried: {'; '.join(said)}." if said else ""

    def _gather(self) -> None:
        """Work it out anew; nobody waits for what was asked before."""
        self.every.setEnabled(self.duty.chosen is not None)
        self.items.setEnabled(self.like.chosen is not None)
        self.items_field.complain("")
        try:
            tried = self.what_if()
        except Refused as why:
            self.items_field.complain(str(why))
            return
        self.complain("")
        self.show_pages(None)
        self._said.say("The year is being worked out.")
        work = partial(_worked_out, tried, self._now, self._desk.jobs.today, self._steps.went.emit)
        self.gathers(self._desk.jobs.ask(work, partial(self._take, self._asked_words()), failed=self._not_worked_out))

    def _tell_step(self, done: int, of: int) -> None:
        if self._pages is None and not self.gone:
            self._said.say(f"The year is being worked out: {done:,} of {of:,} sites.")

    def _take(self, tried: str, found: "_Found") -> None:
        if self._now is None:
            self.like.offer([(None, "None"), *found.sites])
        self._now, self._year, self._firm = found.year.now, found.year, found.firm
        self._said.say("\n".join(found.year.lines))
        self._chart.show_year(found.year)
        model = self._table.model()
        assert isinstance(model, RowsModel)
        model.columns = _columns(found.year.beside_name.capitalize())
        model.show_keys([str(place) for place in range(len(found.year.weeks))])
        self.show_pages(YearPages(found.year, self._firm, self._desk.jobs.today, tried))

    def _not_worked_out(self, error: Exception) -> None:
        self._said.say("The year as it is tried could not be worked out.")
        self.failed(error)

    # --- the weeks ---

    def _fetch(self, keys: list[str], done: Callable[[dict[str, Any]], None]) -> None:
        year = self._year
        done({key: cells_of(year, int(key)) for key in keys} if year is not None else {})

    def _tell_week(self, place: int) -> None:
        self._week.say(self._year.week_words(place) if self._year is not None else "")

    def _tell_row(self, key: str) -> None:
        if key:
            self._chart.choose(int(key))

    # --- taking it along ---

    def file_name(self, ending: str) -> str:
        """Name the file after the day as at which it is."""
        return f"year-ahead-{self._desk.jobs.today.isoformat()}.{ending}"

    def pdf_title(self) -> str:
        """Say what it is."""
        return "A year ahead"


_MOST_DIGITS: Final = 7


@dataclass(frozen=True, slots=True)
class _Found:
    """What the register answers: the year, and what the dialog needs besides."""

    year: Year
    firm: str
    sites: list[tuple[str, str]]


def _worked_out(
    tried: WhatIf, now: Forecast | None, today: Any, went: Callable[[int, int], None], connection: Any  # noqa: ANN401 - pages don't name a connection
) -> _Found:  # fmt: skip
    """Work out the year as it is, unless it is known, and as it would be."""

    def step(done: int, of: int) -> None:
        go_on()
        if done % _EVERY == 0:
            went(done, of)

    known = now or forecast(connection, today, progress=step)
    other = forecast(connection, today, what_if=tried, progress=step) if tried.anything else None
    sites = [(site.code, site.name) for site in sites_with_areas(connection)]
    return _Found(Year(known, other), setting(connection, "firm", ""), sites)


_EVERY: Final = 10


def _columns(beside: str) -> tuple[Column, ...]:
    """Return the columns of the table, each with the figures of a week; `beside` names the last."""
    return tuple(
        Column(title or "beside", title or beside, partial(_cell, place), wide, "number" if place > 1 else "text")
        for place, ((title, _, _), wide) in enumerate(zip(COLUMNS, WIDTHS, strict=True))
    )


def _cell(place: int, cells: list[str]) -> str:
    return cells[place]

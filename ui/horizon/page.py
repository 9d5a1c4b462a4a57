"""Horizon: what falls due at each site in each week of the next quarter, and what is overdue already."""

from collections.abc import Callable
from functools import partial
from typing import Any, Final

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from register.domain.words import counted
from register.services.horizon import Horizon, due_in, horizon, oldest_overdue, overdue_now
from ui.dates import shown
from ui.horizon.empty import Empty
from ui.horizon.grid import ROW, WeeksView
from ui.horizon.head import Head
from ui.horizon.levelled import Levelling
from ui.horizon.model import FIRST_WEEK, OVERDUE, SITE, Choice
from ui.horizon.panel import Found, Panel, Strip
from ui.horizon.title import Title
from ui.look.typeface import px
from ui.look.widgets import Words
from ui.page import Desk, Page

NARROW: Final = 1200
"""In a narrower window the panel is a strip below the grid."""


class HorizonPage(Page):
    """The page. A cell is chosen by the cursor; the panel tells what falls due there and why."""

    key = "horizon"
    title = "Horizon"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._horizon: Horizon | None = None
        self._choice: Choice | None = None
        self._found: tuple[Choice, Found] | None = None
        self._asking = False
        self._narrow = False
        self._came = False
        self._levelling = Levelling(desk.jobs, self)
        self._build()
        self._connect()

    def _build(self) -> None:
        self._title = Title()
        self._grid = WeeksView("Work by site and week")
        self._totals = WeeksView("Work of all sites by week", totals=True)
        self._head = Head(self._grid)
        self._panel, self._strip, self._empty = Panel(), Strip(), Empty()
        self._left = QVBoxLayout()
        self._left.setSpacing(0)
        for widget in (self._title, self._head):
            self._left.addWidget(widget)
        self._left.addWidget(self._grid)
        self._left.addWidget(self._totals)
        self._left.addStretch(1)
        self._left.addWidget(self._strip)
        self._right = QVBoxLayout()
        self._right.setContentsMargins(0, 16, 0, 0)
        self._right.addWidget(self._panel)
        self._inside = QWidget()
        row = QHBoxLayout(self._inside)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(24)
        row.addLayout(self._left, 1)
        row.addLayout(self._right)
        empty = QWidget()
        column = QVBoxLayout(empty)
        column.setContentsMargins(0, 14, 0, 0)
        column.setSpacing(14)
        column.addWidget(Words("Horizon", 24, 600))
        column.addWidget(self._empty, 1)
        self._stack = QStackedWidget()
        self._stack.addWidget(self._inside)
        self._stack.addWidget(empty)
        self._column = QVBoxLayout(self)
        self._column.addWidget(self._stack)
        self._inside.hide()

    def _connect(self) -> None:
        for view in (self._grid, self._totals):
            view.choice_changed.connect(partial(self._choose, view))
            view.opened.connect(self._show_in_register)
        self._grid.left.connect(self._leave_grid)
        self._grid.across_changed.connect(self._fit_columns)
        self._totals.left.connect(self._leave_totals)
        self._head.week_chosen.connect(self._choose_week)
        self._levelling.found.connect(self._head.show_levelled)
        self._title.year.clicked.connect(partial(self.desk.deeds.do, "year.ahead"))
        for wanted in (self._title.owner.clicked, self._panel.owner_wanted):
            wanted.connect(partial(self.desk.deeds.do, "sheet.owner"))
        for place in (self._panel, self._strip):
            place.list_wanted.connect(partial(self.desk.deeds.do, "due.list"))
            place.register_wanted.connect(self._show_in_register)
        self._panel.item_wanted.connect(partial(self.desk.go, "register"))

    def refresh(self) -> None:
        """Read the horizon."""
        today = self.desk.jobs.today
        self._levelling.forget()
        self.desk.jobs.ask(lambda connection: horizon(connection, today), self._take)

    def shown(self, wanted: object = None) -> None:
        """Come to the front."""
        self._came = self._horizon is None
        super().shown(wanted)
        self._levelling.begin()
        if not self._came:
            self._grid.setFocus()

    def offers(self) -> dict[str, Callable[[], None]]:
        """Say what the actions do here."""
        return {"due.list": self._list_due, "year.ahead": self._look_ahead}

    def _take(self, found: Horizon) -> None:
        """Show the horizon; the cursor stays on the site and the week where it was."""
        view = self._totals if self._totals.chosen else self._grid
        kept = self._choice.row.site_id if self._choice is not None else None
        column = view.currentIndex().column()
        self._horizon, self._choice, self._found = found, None, None
        self._grid.cells.measure((*found.rows, found.total), found.today)
        self._grid.weeks.show_rows(found, found.rows)
        self._totals.weeks.show_rows(found, (found.total,))
        self._title.show_horizon(found)
        self._head.name_load(found)
        self._fit_rows()
        self._fit_columns()
        if not found.rows:
            self._show_nothing(found)
            if self._came:
                self._empty.first.setFocus()
            return
        self._stack.setCurrentIndex(0)
        self._inside.show()
        self._begin(view, kept, column)
        if self._came and self.isVisible():
            self._came = False
            view.setFocus()

    def _begin(self, view: WeeksView, kept: str | None, column: int) -> None:
        """Put the cursor where it was, or on what presses most."""
        places = [place for place, row in enumerate(view.weeks.rows) if row.site_id == kept]
        if places and column >= 0:
            view.choose(places[0], column)
            return
        row = self._grid.weeks.rows[0]
        soonest = next((place for place, work in enumerate(row.weeks) if work.duties), 0)
        self._grid.choose(0, OVERDUE if row.overdue or row.never_done else FIRST_WEEK + soonest)

    def _show_nothing(self, found: Horizon) -> None:
        deeds: dict[str, Callable[[], None]] = {}
        self._stack.setCurrentIndex(1)
        if found.items:
            until = shown(found.weeks[-1].last)
            deeds["Show all items"] = partial(self.desk.go, "register", None)
            self._empty.say(
                f"Nothing falls due until {until}",
                f"The register has {counted(found.items, 'item')}, and nothing is overdue. What falls due in the"
                f" next {len(found.weeks)} weeks is shown here, site by site.",
                deeds,
            )
            return
        for key, said in (("sheet.take-in", "Take in a spreadsheet…"), ("item.add", "Add an item…")):
            if self.desk.deeds.possible(key):
                deeds[said] = partial(self.desk.deeds.do, key)
        self._empty.say(
            "This register has no items yet",
            "Take in the spreadsheet that you keep today: this page then shows what is overdue, and what falls due at"
            " each site in the next quarter.",
            deeds,
        )

    def site_in_view(self) -> str:
        """Return the site of the chosen row; empty where the row is that of all sites."""
        return (self._choice.site or "") if self._choice is not None else ""

    def _choose(self, view: WeeksView, choice: Choice | None) -> None:
        for each in (self._grid, self._totals):
            each.show_chosen(chosen=each is view)
        if choice is None or choice == self._choice:
            return
        self._choice = choice
        self._head.show_week(choice.week)
        self._panel.show_choice(choice, self.desk.jobs.today)
        self._strip.show_choice(choice, self.desk.jobs.today)
        self._ask()

    def _choose_week(self, place: int) -> None:
        self._totals.setFocus()
        self._totals.choose(0, FIRST_WEEK + place)

    def _leave_grid(self, way: int) -> None:
        if way > 0:
            self._totals.choose(0, max(SITE, self._grid.currentIndex().column()))
            self._totals.setFocus()

    def _leave_totals(self, way: int) -> None:
        if way < 0:
            self._grid.choose(self._grid.weeks.rowCount() - 1, max(SITE, self._totals.currentIndex().column()))
            self._grid.setFocus()

    def _ask(self) -> None:
        """Ask what falls due there, one question at a time: while the cursor runs, only where it stops is asked."""
        if self._asking or self._choice is None:
            return
        self._asking = True
        question = partial(_question, self._choice, self.desk.jobs.today)
        self.desk.jobs.ask(question, partial(self._answer, self._choice), failed=self._fail)

    def _answer(self, asked: Choice, found: Found) -> None:
        self._asking = False
        if asked != self._choice:
            self._ask()
            return
        self._panel.show_found(asked, found, self.desk.jobs.today)
        self._strip.show_choice(asked, self.desk.jobs.today, found.then.items)
        self._levelling.begin()

    def _fail(self, error: Exception) -> None:
        self._asking = False
        self.desk.messages.failure(error)

    def _show_in_register(self) -> None:
        if self._choice is not None:
            self.desk.go("register", self._choice.wanted())

    def _list_due(self) -> None:
        from ui.horizon.due_dialog import DueDialog

        if self._horizon is not None and self._choice is not None:
            DueDialog(self.window(), self.desk, self._horizon, self._choice).open()
        else:
            self.desk.messages.tell("Nothing falls due in the weeks shown. All items are on the page Register.")

    def _look_ahead(self) -> None:
        from ui.horizon.year_dialog import YearDialog

        YearDialog(self.window(), self.desk).open()

    def _fit_rows(self) -> None:
        """Give the grid whole rows: as many as it has, or as there is room for."""
        around = (self._title, self._head, self._totals, *((self._strip,) if self._narrow else ()))
        taken = sum(widget.height() if widget is not self._strip else widget.sizeHint().height() for widget in around)
        room = (self._stack.height() - taken - 8) // px(ROW)
        self._grid.setFixedHeight(px(ROW) * max(3, min(room, len(self._grid.weeks.rows))))

    def _fit_columns(self) -> None:
        self._grid.fit(self._grid.viewport().width(), narrow=self._narrow)
        self._totals.take_widths(self._grid)
        self._head.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._narrow = event.size().width() < px(NARROW)
        side = 16 if self._narrow else 24
        self._column.setContentsMargins(side, 0, side, 8 if self._narrow else 16)
        self._panel.setVisible(not self._narrow)
        self._strip.setVisible(self._narrow)
        self._head.fit(narrow=self._narrow)
        self._title.fit(narrow=self._narrow)
        super().resizeEvent(event)
        self._column.activate()
        self._fit_rows()
        self._fit_columns()


def _question(choice: Choice, today: Any, connection: Any) -> Found:  # noqa: ANN401 - a connection, which pages don't name
    """Return what falls due there, and the duty there that is overdue the longest."""
    if choice.overdue:
        return Found(overdue_now(connection, today, site=choice.site), None)
    then = due_in(connection, today, choice.first, choice.last, site=choice.site)
    return Found(then, oldest_overdue(connection, today, site=choice.site) if choice.row.overdue else None)

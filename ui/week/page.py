"""Week: what to visit, in what order and by which van; planned by the program and bent by hand."""

from collections.abc import Callable
from datetime import date, timedelta
from functools import partial

from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QVBoxLayout

from register.domain.weeks import monday_of
from register.domain.words import counted
from register.errors import Refused
from register.planning.planned import Difference
from register.planning.week_rows import PlannedWeek
from register.services.week.bent import ask_again, bend, leave_out, toggle_lock, toggle_pin
from register.services.week.beside import Beside, beside_week
from register.services.week.kept import Kept, keep_week
from register.services.week.plan import WeekAsk
from ui.asking.van import ask_van
from ui.dates import shown_with_weekday
from ui.page import Desk, Page
from ui.week.hand_out import HandOut
from ui.week.parts import WeekParts
from ui.week.planning import Planner, kept_or_first
from ui.week.stop_dialog import open_stop
from ui.week.versions import Versions

WEEK = timedelta(days=7)


class WeekPage(Page):
    """The page. It opens on the week to come, as kept or as planned at once; until Thursday on this one if kept."""

    key = "week"
    title = "Week"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        today = desk.jobs.today
        self.monday = monday_of(today) + WEEK
        self._versions = Versions()
        self._opening, self._comes = True, False
        self.planner = Planner(self, desk.jobs)
        self.hand_out = HandOut(self, desk, lambda: self.week)
        self.parts = WeekParts()
        self.head, self.sheet, self.side = self.parts.head, self.parts.sheet, self.parts.side
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.parts)
        self._show_planning(planning=False)
        self._connect()

    def _connect(self) -> None:
        deeds = self.desk.deeds
        deeds.leads_to_change(self.head.keep)
        for widget, key in (
            (self.head.earlier, "week.earlier"), (self.head.later, "week.later"), (self.head.undo, "week.undo"),
            (self.head.keep, "week.keep"), (self.head.plan, "week.plan"),
        ):  # fmt: skip
            widget.clicked.connect(partial(deeds.do, key))
        self.head.cancel.clicked.connect(self.planner.stop)
        self.side.allow.clicked.connect(partial(self._plan_again, all_sites=True))
        self.sheet.moved.connect(partial(self._bend, bend))
        self.sheet.pinned.connect(partial(self._bend, toggle_pin))
        self.sheet.dropped.connect(partial(self._bend, leave_out))
        self.sheet.locked.connect(lambda day, van: self._bend(toggle_lock, day, van))
        self.sheet.opened.connect(self._open)
        self.planner.found.connect(self._planned)
        self.planner.went.connect(self.head.progress.setValue)
        self.planner.stopped.connect(self._stopped)
        self.planner.failed.connect(self._failed)

    @property
    def week(self) -> PlannedWeek | None:
        """The week that is shown, None while there is none."""
        return self._versions.week

    @property
    def kept(self) -> bool:
        """Whether the register has the week as it is shown."""
        return self._versions.kept

    # --- reading ---

    def refresh(self) -> None:
        """Read the week, unless it was bent and not kept: then it stays as it is on screen."""
        if self._versions.unsaved:
            return
        monday = self.monday
        self.desk.jobs.ask(
            kept_or_first(self.desk.jobs.today, monday, opening=self._opening), partial(self._take, monday),
            failed=self._failed,
        )  # fmt: skip

    def shown(self, wanted: object = None) -> None:
        """Come to the front."""
        super().shown(wanted)
        self._comes = True
        self.sheet.focus_first()
        self._enable()

    def unsaved(self) -> str:
        """Say what closing would lose."""
        return "the week as you changed it" if self._versions.unsaved else ""

    def _take(self, monday: date, found: tuple[PlannedWeek, bool]) -> None:
        if monday == self.monday and not self.planner.busy and not self._versions.unsaved:
            week, kept = found
            self._opening, self.monday = False, week.draft.asked.monday
            self._versions.start(week, kept=kept)
            self._show()

    def _go(self, by: timedelta) -> None:
        if self.unsaved() and not self.desk.messages.confirm(
            "The week is not kept", "What you changed of this week goes back if you leave it now.", "Leave it"
        ):
            return
        self.planner.stop()
        self.monday += by
        self._opening = False
        self._versions.start()
        self.refresh()

    # --- planning ---

    def _plan_again(self, _pressed: object = None, *, all_sites: bool = False) -> None:
        ask = ask_again(self.week, all_sites=all_sites) if self.week is not None else WeekAsk(self.monday)
        self._versions.mark()
        self.head.progress.setValue(0)
        self.planner.plan(ask, self.week)
        self._show_planning(planning=True)

    def _planned(self, week: PlannedWeek, last: bool) -> None:  # noqa: FBT001 - a signal's
        self._show_changed(week)
        if last:
            self._show_planning(planning=False)
            self.desk.messages.tell(f"Planned: {week.quality.words}")

    def _stopped(self) -> None:
        self._versions.unmark()  # where no other plan was found yet
        self._show_planning(planning=False)

    def _failed(self, why: Exception) -> None:
        self._show_planning(planning=False)
        if not isinstance(why, Refused):
            self.desk.messages.failure(why)
        elif self._versions.can_go_back:  # the week on screen stays, so that what hinders a plan can be changed
            self._undo()
            self.desk.messages.tell(str(why))
        else:
            self._versions.start()
            self.head.say(self.monday, None, kept=False)
            self._say_empty("There is no plan of this week", str(why), "The week after", partial(self._go, WEEK))

    def _show_planning(self, *, planning: bool) -> None:
        self.head.progress.setVisible(planning)
        self.head.cancel.setVisible(planning)
        self._enable()

    def hideEvent(self, event: QHideEvent) -> None:
        """Leave the worker to the page that comes to the front."""
        self.planner.stop()
        super().hideEvent(event)

    # --- by hand ---

    def _bend(self, deed: Callable[..., PlannedWeek | tuple[PlannedWeek, Difference]], *what: object) -> None:
        """Do one thing by hand to the week, say what it costs, and let it be undone."""
        if self.week is None or self.planner.busy:
            return
        try:
            after = deed(self.week, *what)
        except Refused as why:
            self.desk.messages.tell(str(why))
            return
        self._versions.mark()
        if isinstance(after, tuple):
            after, cost = after
            self.desk.messages.tell(cost.words)
        self._show_changed(after)

    def _undo(self) -> None:
        if self._versions.can_go_back:
            self._versions.go_back()
            self._show()

    def _open(self, key: str) -> None:
        if self.week is not None:
            open_stop(self, self.desk, self.week, key, partial(self._bend, toggle_pin, key))

    def _keep(self) -> None:
        week = self.week
        if week is not None:
            self.desk.jobs.change(lambda change: keep_week(change, week), partial(self._is_kept, week))

    def _is_kept(self, week: PlannedWeek, kept: Kept) -> None:
        self._versions.keep(week)
        self._enable()
        done = f"Week kept: {counted(kept.new, 'new visit')}, {kept.changed} changed, {kept.cancelled} cancelled."
        self.desk.messages.tell(" ".join([done, *kept.short]))

    # --- showing ---

    def _show_changed(self, week: PlannedWeek) -> None:
        self._versions.week, self._versions.kept = week, False
        self._show()

    def _show(self) -> None:
        week = self.week
        assert week is not None
        self.head.say(self.monday, week, kept=self.kept)
        if not week.draft.asked.vans:
            self._say_empty(
                "No van yet", "A week is planned for the vans that there are. Add one, and where it starts from.",
                "Add a van…", partial(self.desk.deeds.do, "week.van"),
            )  # fmt: skip
        elif not week.stops and not week.left_out:
            more = f"Nothing is overdue or due by {shown_with_weekday(week.draft.asked.last)}."
            self._say_empty("Nothing to visit this week", more, "The week after", partial(self._go, WEEK))
        else:
            self.sheet.show_week(week)
            self.side.show_week(week)
            self.desk.jobs.ask(partial(beside_week, week=week, today=self.desk.jobs.today), self._show_beside)
            self.parts.show_sheet()
            if self._comes:
                self._comes = False
                self.sheet.focus_first()
        self._enable()

    def _show_beside(self, told: Beside) -> None:
        if told.of is self.week:
            self.side.show_beside(told)

    def _say_empty(self, title: str, more: str, verb: str, deed: Callable[[], None]) -> None:
        self.parts.say_empty(title, more, verb, deed)
        self._enable()

    def offers(self) -> dict[str, Callable[[], None]]:
        """Say what the actions do here."""
        return {
            "week.plan": self._plan_again, "week.keep": self._keep, "week.undo": self._undo,
            "week.van": partial(ask_van, self, self.desk), "week.vans": partial(self.desk.go, "firm", "vans"),
            "week.earlier": partial(self._go, -WEEK), "week.later": partial(self._go, WEEK), **self.hand_out.offers(),
        }  # fmt: skip

    def _enable(self) -> None:
        """Say what can be done at present."""
        there, busy = self.week is not None and bool(self.week.draft.asked.vans), self.planner.busy
        possible = {
            "week.plan": there and not busy, "week.keep": there and not busy and not self.kept,
            "week.undo": self._versions.can_go_back and not busy, "week.calendar": there and self.kept,
            **dict.fromkeys(("week.sheets", "week.gpx", "week.geojson"), there and not busy),
        }  # fmt: skip
        if self.isVisible():
            for key, able in possible.items():
                self.desk.deeds.enable(key, enabled=able)
        head = self.head
        for widget, key in ((head.plan, "week.plan"), (head.keep, "week.keep"), (head.undo, "week.undo")):
            widget.setEnabled(possible[key])

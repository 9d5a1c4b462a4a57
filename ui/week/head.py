"""The line above the week: which week it is, how it stands, and what can be done with it."""

from datetime import date, timedelta
from typing import Final

from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QWidget

from register.domain.words import counted
from register.planning.week_rows import PlannedWeek
from ui.dates import shown_with_weekday
from ui.look.typeface import px
from ui.look.widgets import Words, button

FRIDAY: Final = 4
ROOMY: Final = 1000
BACK: Final = "‹ {}"  # noqa: RUF001 - points back
ON: Final = "{} ›"  # noqa: RUF001 - points on


class Head(QWidget):
    """The line. Progress and the button that stops are seen while a plan is looked for."""

    def __init__(self) -> None:
        super().__init__()
        self._name, self._dates = Words("", 24, 600), Words("", 15, 500, "ink2")
        self.about = Words("", 13, 400, "ink2", elide=True)
        self.earlier = button("", "quiet", name="The week before", hint="Ctrl+PgUp")
        self.later = button("", "quiet", name="The week after", hint="Ctrl+PgDown")
        self.undo = button("Undo", hint="Undo the last move (Alt+Backspace)")
        self.keep = button("Keep the week", name="Keep the week", hint="Ctrl+S")
        self.plan = button("Plan the rest again", "primary", name="Plan the rest again", hint="F5")
        self.cancel = button("Stop here")
        self.beside = button("Route", name="Route, and what is left out")
        self.beside.setCheckable(True)
        self.progress = QProgressBar()
        self.progress.setAccessibleName("How far planning is")
        self.progress.setTextVisible(False)
        self.progress.setFixedSize(px(90), px(8))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 14, 0, 8)
        row.setSpacing(8)
        for widget in (self._name, self.earlier, self.later, self._dates):
            row.addWidget(widget)
        row.addSpacing(8)
        row.addWidget(self.about, 1)
        for each in (self.progress, self.cancel, self.beside, self.undo, self.keep, self.plan):
            row.addWidget(each)

    def fit(self, across: int) -> None:
        """Say less where there is little room."""
        short = across < px(ROOMY)
        self._dates.setVisible(not short)
        self.plan.setText("Plan again" if short else "Plan the rest again")
        self.keep.setText("Keep" if short else "Keep the week")

    def say(self, monday: date, week: PlannedWeek | None, *, kept: bool) -> None:
        """Say which week is shown, and how it stands."""
        self._name.say(f"Week {monday.isocalendar().week}")
        for turn, days, said in ((self.earlier, -7, BACK), (self.later, 7, ON)):
            turn.setText(said.format((monday + timedelta(days=days)).isocalendar().week))
        ends = [shown_with_weekday(monday + timedelta(days=day)).partition(" ")[2] for day in (0, FRIDAY)]
        self._dates.say(" to ".join(ends))
        if week is None:
            self.about.say("")
            return
        duties = sum(len(stop.must) + len(stop.early) for stop in week.stops)
        stands = "Kept" if kept else "Not kept yet"
        self.about.say(f"{counted(len(week.stops), 'stop')}, {counted(duties, 'duty', 'duties')}. {stands}.")

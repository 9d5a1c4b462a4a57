"""What holds for all plans, as dialogs: the base with pace and lunch, and days on which no van goes out."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from PySide6.QtWidgets import QLineEdit, QWidget

from register.planning.kept_settings import MOST_FACTOR, MOST_LUNCH, MOST_SPEED, PlanSettings
from register.planning.problem import LunchClock
from register.planning.travel import Pace, place_from
from register.services.week.visiting import clock_from, clock_words
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, beside
from ui.asking.reading import Reading, number, said, whole
from ui.dates import shown, typed

WIDE: Final = 600


class PaceDialog(Dialog):
    """Asks for base, pace and lunch; `deed` gets the settings with them."""

    def __init__(self, window: QWidget, kept: PlanSettings, deed: Callable[[PlanSettings], None]) -> None:
        super().__init__(window, "Base, pace and lunch", wide=WIDE)
        self._kept, self._deed = kept, deed
        self.base = Field(
            "Base", QLineEdit(str(kept.base or "")),
            "Where vans start and end: latitude, longitude, such as -37.9, 148.6.",
        )  # fmt: skip
        self.factor = Field(
            "Road factor", QLineEdit(f"{kept.pace.road_factor:g}"), "How much longer roads are than a straight line."
        )
        self.speed = Field("Speed in km/h", QLineEdit(f"{kept.pace.speed_kmh:g}"), "How fast vans get on, all in all.")
        self.lunch_at = Field("Lunch at", QLineEdit(clock_words(kept.lunch.at)), "Work under way goes on after it.")
        self.lunch = Field("Minutes of lunch", QLineEdit(str(kept.lunch.minutes)), "0 where nobody stops for it.")
        self.body.addWidget(self.base)
        self.body.addLayout(beside(self.factor, self.speed))
        self.body.addLayout(beside(self.lunch_at, self.lunch))
        self.answers(leave="Leave it", verb="Save", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self.base.widget.setFocus()

    def _save(self) -> None:
        """Hand on what was typed, or say under each field what is wrong with it."""
        read, pace, lunch = Reading(), self._kept.pace, self._kept.lunch
        base = read.of(self.base, place_from, None)
        pace = Pace(
            read.of(self.factor, number(1, MOST_FACTOR), pace.road_factor),
            read.of(self.speed, number(1, MOST_SPEED), pace.speed_kmh),
        )
        lunch = LunchClock(
            read.of(self.lunch_at, clock_from, lunch.at), read.of(self.lunch, whole(0, MOST_LUNCH), lunch.minutes)
        )
        if read.wrong is not None:
            read.wrong.widget.setFocus()
            self.fit()
            return
        self._deed(replace(self._kept, base=base, pace=pace, lunch=lunch))


@dataclass(frozen=True, slots=True)
class DaysMeant:
    """Days off: from one to another, both included, and why."""

    first: date
    last: date
    why: str


class DaysOffDialog(Dialog):
    """Asks for days on which no van goes out; `deed` gets them."""

    def __init__(self, window: QWidget, today: date, deed: Callable[[DaysMeant], None]) -> None:
        super().__init__(window, "Add days off")
        self._today, self._deed = today, deed
        self.first, self.last, self.why = (
            Field("First day", QLineEdit()), Field("Last day", QLineEdit(), "Empty where it is one day alone."),
            Field("Why", QLineEdit(), "Such as stocktaking. It stands in the list."),
        )  # fmt: skip
        for field in (self.first, self.last):
            line = field.widget
            assert isinstance(line, QLineEdit)
            line.setPlaceholderText(f"such as {shown(today)}")
        self.body.addLayout(beside(self.first, self.last))
        self.body.addWidget(self.why)
        self.answers(leave="Leave it", verb="Add", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self.first.widget.setFocus()

    def _save(self) -> None:
        """Hand on what was typed, or say under each field what is wrong with it."""
        read = Reading()
        first = read.of(self.first, typed, self._today)
        last = read.of(self.last, typed, first) if said(self.last) else first
        if read.wrong is None and last < first:
            self.last.complain(f"That is before {shown(first)}. Give a day after it, or none.")
            read.wrong = self.last
        if read.wrong is not None:
            read.wrong.widget.setFocus()
            self.fit()
            return
        self._deed(DaysMeant(first, last, said(self.why)))

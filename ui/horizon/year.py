"""A year of weeks as it is shown: as it is, beside it what is tried, and both in words."""

from dataclasses import dataclass
from datetime import date

from register.domain.words import counted
from register.planning.forecast import Forecast, WeekLoad, totals_of
from register.services.week.forecast_text import hours_words, totals_words
from ui.dates import shown


@dataclass(frozen=True, slots=True)
class Year:
    """The weeks as they are, and as they would be if what is asked for were so."""

    now: Forecast
    tried: Forecast | None = None

    @property
    def weeks(self) -> tuple[WeekLoad, ...]:
        """The weeks that are drawn in full: what is tried, or else what is."""
        return (self.tried or self.now).weeks

    def beside(self, place: int) -> float:
        """Return the minutes that a week is held against: as it is, or, where nothing is tried, before levelling."""
        return self.now.weeks[place].minutes if self.tried is not None else self.weeks[place].best_minutes

    @property
    def beside_name(self) -> str:
        """What the weeks are held against."""
        return "as it is" if self.tried is not None else "before levelling"

    @property
    def lines(self) -> tuple[str, ...]:
        """The year in sentences: what is, then what would be."""
        told = [f"As it is: {totals_words(totals_of(self.now))}"]
        if self.tried is not None:
            told.append(f"If so: {totals_words(totals_of(self.tried))}")
        return tuple(told)

    def week_words(self, place: int) -> str:
        """Return a week in a sentence."""
        week = self.weeks[place]
        trips = counted(len(week.level), "trip")
        said = f"{week_name(week.monday)}, from {shown(week.monday)}: "
        said += f"{hours_words(week.minutes)} of work on {trips}" if week.level else "no work"
        said += f", about {hours_words(week.drive)} driving" if week.level else ""
        said += f"; the crew has {hours_words(week.crew_minutes)}"
        said += f", {hours_words(week.above)} too few" if week.above >= 1 else ""
        if abs(self.beside(place) - week.minutes) >= 1:
            said += f"; {self.beside_name} {hours_words(self.beside(place))}"
        return f"{said}."


def week_name(monday: date) -> str:
    """Return what a week is called."""
    return f"Week {monday.isocalendar().week}"

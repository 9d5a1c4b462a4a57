"""What stands around the item on the bench: who may measure, and what is left at the place where one works."""

from functools import partial

from PySide6.QtCore import QObject, Signal

from register.services.bench.on_bench import crew
from register.services.bench.place import WorkPlace, work_place
from register.services.week.todays_stops import TodaysStop, stop_to_begin, todays_stops
from ui.bench.crew import CrewChoice
from ui.bench.memory import Memory
from ui.bench.scanning import AtWork, Scanning
from ui.bench.side import NEARBY, Here
from ui.page import Desk


class Surroundings(QObject):
    """Keeps both up to date. `placed` tells that the place shows something new, `chosen` that the crew was chosen."""

    placed = Signal()
    chosen = Signal()

    def __init__(self, desk: Desk, here: Here, choice: CrewChoice, scanning: Scanning, memory: Memory) -> None:
        super().__init__()
        self._desk, self._here, self._choice, self._scanning, self._memory = desk, here, choice, scanning, memory
        choice.start_with(memory.now.tester, memory.now.instrument)
        choice.entered.connect(self._chosen)

    def refresh(self) -> None:
        """Read both anew."""
        self._desk.jobs.ask(crew, self._choice.show_crew)
        self.ask_place()

    def ask_place(self) -> None:
        """Read what is left where one works."""
        at = self._scanning.at
        if at is None:
            self._desk.jobs.ask(partial(todays_stops, today=self._desk.jobs.today), self._begin)
            return
        question = partial(
            work_place, site_id=at.site_id, area_id=at.area_id, area=at.area, today=self._desk.jobs.today, shown=NEARBY
        )
        self._desk.jobs.ask(question, self._show_place)

    def _begin(self, stops: tuple[TodaysStop, ...]) -> None:
        """Work at today's stop, where it is clear which; nothing is said where one has begun elsewhere meanwhile."""
        stop = stop_to_begin(stops)
        if self._scanning.at is not None or not stops:
            return
        if stop is None or not stop.area_id:
            self._here.show_stops(len(stops))
            return
        self._scanning.at = AtWork(stop.visit.site_id, stop.area_id, stop.area, stop.visit.name)
        self.ask_place()

    def _show_place(self, place: WorkPlace) -> None:
        self._here.show_place(place)
        self.placed.emit()

    def _chosen(self) -> None:
        self.remember()
        self.chosen.emit()

    def remember(self) -> None:
        """Keep who measures, for the next start as well."""
        tester, instrument = self._choice.own
        self._memory.keep(tester=tester, instrument=instrument)

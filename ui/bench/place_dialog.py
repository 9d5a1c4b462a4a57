"""Where one works: the site of the day and an area of it. Scans of other sites are told apart from it."""

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from register.services.place_choices import SiteWithAreas
from register.services.week.todays_stops import TodaysStop
from ui.asking.dialog import Dialog
from ui.asking.fields import ChoiceRow, Choices
from ui.asking.place_fields import PlaceFields
from ui.look.widgets import Words


class PlaceDialog(Dialog):
    """Asks for a site and an area; `deed` gets both. The stops of today stand above, to be chosen by their number."""

    def __init__(
        self,
        window: QWidget,
        sites: tuple[SiteWithAreas, ...],
        at: tuple[str, str],
        stops: tuple[TodaysStop, ...],
        deed: Callable[[SiteWithAreas, str], None],
    ) -> None:
        super().__init__(window, "Where do you work?")
        self._deed = deed
        rows = [
            (stop, ChoiceRow(stop.words, stop.progress, str(number) if number < 10 else ""))  # noqa: PLR2004 - one digit
            for number, stop in enumerate(stops, 1)
        ]
        self.stops = Choices(rows, "Stops of today") if rows else None
        if self.stops is not None:
            self.body.addWidget(Words("Stops of today", 13, 600))
            self.body.addWidget(self.stops)
            self.stops.changed.connect(self._take_stop)
        self.place = PlaceFields(sites, *at)
        self.body.addWidget(self.place)
        self.answers(
            leave="Leave it", verb="Work here", key="Ctrl+Return", deed=self._choose, hint="Enter is off here."
        )
        if self.stops is not None:
            self.stops.focus_row().setFocus()
        else:
            self.place.site.setFocus()

    def _take_stop(self) -> None:
        stop = self.stops.chosen if self.stops is not None else None
        if isinstance(stop, TodaysStop):
            self.place.site.choose(stop.visit.site_id)
            self.place.area.setEditText(stop.area)

    def _choose(self) -> None:
        site = self.place.chosen
        if self.place.check() and site is not None:
            self._deed(site, self.place.area_name)
            self.accept()

"""Where one works: the site of the day and an area of it. Scans of other sites are told apart from it."""

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from register.services.place_choices import SiteChoice
from ui.asking.dialog import Dialog
from ui.asking.place_fields import PlaceFields


class PlaceDialog(Dialog):
    """Asks for a site and an area; `deed` gets the site's id and the area's name."""

    def __init__(
        self,
        window: QWidget,
        sites: tuple[SiteChoice, ...],
        at: tuple[str, str],
        deed: Callable[[SiteChoice, str], None],
    ) -> None:
        super().__init__(window, "Where do you work?")
        self._deed = deed
        self.place = PlaceFields(sites, *at)
        self.body.addWidget(self.place)
        self.answers(
            leave="Leave it", verb="Work here", key="Ctrl+Return", deed=self._choose, hint="Enter is off here."
        )
        self.place.site.setFocus()

    def _choose(self) -> None:
        site = self.place.chosen
        if self.place.check() and site is not None:
            self._deed(site, self.place.area_name)
            self.accept()

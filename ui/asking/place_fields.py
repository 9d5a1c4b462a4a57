"""Where an item is: a site, and an area of it that may be a new one."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QCompleter, QVBoxLayout, QWidget

from register.domain.text import clean_text
from register.services.place_choices import SiteWithAreas
from ui.asking.fields import Field, Picked, beside
from ui.look.widgets import PickBox


class PlaceFields(QWidget):
    """The two fields. `changed` tells that another place is meant."""

    changed = Signal()

    def __init__(self, sites: tuple[SiteWithAreas, ...], site_id: str = "", area: str = "") -> None:
        super().__init__()
        self._sites = {site.id: site for site in sites}
        self.site = Picked([(site.id, f"{site.name} ({site.code})") for site in sites])
        self.site.setEditable(True)
        self.site.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        completer = self.site.completer()
        assert completer is not None
        completer.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        self.area = PickBox()
        self.area.setEditable(True)
        self.area.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.site_field = Field("Site", self.site)
        self.area_field = Field("Area", self.area, "Another name makes a new area.")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(beside(self.site_field, self.area_field))
        if site_id:
            self.site.choose(site_id)
        self._offer_areas()
        if area:
            self.area.setEditText(area)
        self.site.currentIndexChanged.connect(self._site_changed)
        self.area.editTextChanged.connect(self._area_changed)
        self._explain()

    @property
    def chosen(self) -> SiteWithAreas | None:
        """The site that is meant; None where what stands in the field is none."""
        found = self._sites.get(str(self.site.chosen))
        return found if found is not None and self.site.currentText() == self._words(found) else None

    @property
    def area_name(self) -> str:
        """The name of the area that is meant."""
        return clean_text(self.area.currentText())

    def place_class(self) -> str:
        """Return the title of the class that holds at the place; the site's for a new area."""
        site = self.chosen
        if site is None:
            return ""
        named = self.area_name.casefold()
        return next((area.environment for area in site.areas if area.name.casefold() == named), site.environment)

    def check(self) -> bool:
        """Say under the field what is wrong with it; return whether nothing is."""
        missing = "There is no such site. Choose one of the list." if self.chosen is None else ""
        self.site_field.complain(missing)
        if missing:
            self.site.setFocus()
        return not missing

    def _words(self, site: SiteWithAreas) -> str:
        return f"{site.name} ({site.code})"

    def _offer_areas(self) -> None:
        site = self.chosen
        self.area.clear()
        if site is not None:
            self.area.addItems([area.name for area in site.areas])
            self.area.setCurrentIndex(0 if site.areas else -1)

    def _site_changed(self, _place: int) -> None:
        self.area.blockSignals(True)  # noqa: FBT003 - Qt's own
        self._offer_areas()
        self.area.blockSignals(False)  # noqa: FBT003 - Qt's own
        self.site_field.complain("")
        self._explain()
        self.changed.emit()

    def _area_changed(self, _typed: str) -> None:
        self._explain()
        self.changed.emit()

    def _explain(self) -> None:
        site, named = self.chosen, self.area_name
        if site is None:
            self.area_field.explain("")
            return
        known = any(area.name.casefold() == named.casefold() for area in site.areas)
        new = "" if known else "A new area. " if named else "The whole site. "
        self.area_field.explain(f"{new}Class there: {self.place_class()}.")

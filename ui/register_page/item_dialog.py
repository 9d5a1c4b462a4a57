"""Adding an item by hand, and changing what one is."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.items import outlets_of
from register.domain.text import clean_tag, clean_text
from register.domain.words import Kind, first_word
from register.errors import Refused
from register.services.cords import WITH_CORDS
from register.services.editing import Changed, ItemFacts, ItemForm, moved_words
from register.services.place_choices import SiteWithAreas
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, Picked, beside
from ui.asking.place_fields import PlaceFields
from ui.asking.reading import right
from ui.dates import shown, typed
from ui.look.tick import Tick
from ui.look.typeface import font
from ui.register_page.plate_fields import PlateFields

KNOWN: Final = ((None, "Not known"), (True, "Yes"), (False, "No"))


@dataclass(frozen=True, slots=True)
class Answer:
    """What was said of an item. Place, tag, `since` and `new` are asked of a new one only."""

    facts: ItemFacts
    tag: str = ""
    site_id: str = ""
    area: str = ""
    since: date | None = None
    new: bool = False
    cord: bool = False


class ItemDialog(Dialog):
    """The form of an item; `form` is empty for a new one. `deed` gets the answer. Ctrl+Enter saves, Esc leaves.

    Signal `class_meant` wants to know what another class would do to the dates of an item; `show_class` gets it.
    """

    class_meant = Signal(object)

    def __init__(
        self,
        window: QWidget,
        form: ItemForm | None,
        sites: tuple[SiteWithAreas, ...],
        today: date,
        deed: Callable[[Answer], None],
        *,
        site_id: str = "",
    ) -> None:
        super().__init__(window, "Add an item" if form is None else "Change this item", wide=640)
        self._deed, self._form = deed, form
        facts = ItemFacts(Kind.PORTABLE_SAFETY_SWITCH) if form is None else form.facts
        self.tag = QLineEdit()
        self.tag.setFont(font(15, 500, code=True))
        self.kind = Picked([(each, first_word(each)) for each in Kind])
        self.kind.choose(facts.kind)
        self.description, self.serial = QLineEdit(facts.description), QLineEdit(facts.serial)
        self.place = PlaceFields(sites, site_id or (form.site_id if form else ""), form.area if form else "")
        self.environment = Picked()
        self.environment_field = Field("Environment class", self.environment)
        self.since = QLineEdit(shown(today))
        self.new = Tick("New: looked over, not yet tested")
        self.plate = PlateFields(
            facts.kind, None if form is None else facts.outlets, facts.rated_current_a, facts.safety_switch
        )
        self.flags = [_known(each) for each in (facts.protected_by_switch, facts.moved_in_use, facts.risk_factor)]
        self.battery = Tick("Battery-run")
        self.battery.setChecked(facts.battery_run)
        self.cord = Tick("It has a detachable cord: add it as an item of its own next")
        self.remarks = QLineEdit(facts.remarks)
        self.tag_field = Field("Tag", self.tag, "Scan it or type its number.")
        self.since_field = Field("In its place since", self.since)
        self._build()
        self._offer_classes()
        self.environment.choose(facts.environment)
        self.environment.currentIndexChanged.connect(self._class_chosen)
        self.kind.currentIndexChanged.connect(self._kind_changed)
        self.place.changed.connect(self._offer_classes)
        (self.tag if form is None else self.description).setFocus()

    def _build(self) -> None:
        adding, body = self._form is None, self.body
        description = Field("Description", self.description, "What it is called on site.")
        serial = Field("Serial number", self.serial)
        if self._form is not None:
            self.about(self._form.tag, self._form.facts.description, f"{self._form.site}, {self._form.area}")
            body.addLayout(beside(Field("Kind", self.kind), serial))
            body.addWidget(description)
            body.addWidget(self.environment_field)
        else:
            body.addLayout(beside(self.tag_field, Field("Kind", self.kind)))
            body.addWidget(description)
            body.addWidget(self.place)
            body.addLayout(beside(self.environment_field, serial))
            body.addLayout(beside(self.since_field, Field("Condition", self.new)))
        for widget in (self.place, self.tag_field, self.since_field, self.new):
            widget.setVisible(adding)
        body.addWidget(self.plate)
        names = ("Behind a safety switch", "Moved in normal use", "Risk factor")
        body.addLayout(beside(*(Field(name, flag) for name, flag in zip(names, self.flags, strict=True))))
        body.addWidget(self.battery)
        body.addWidget(self.cord)
        self._offer_cord()
        body.addWidget(Field("Remarks", self.remarks))
        verb = "Add" if adding else "Save"
        leave = "Leave it" if adding else "Leave as it was"
        self.answers(leave=leave, verb=verb, key="Ctrl+Return", deed=self._save, hint="Enter is off here.")

    def _kind_changed(self, _place: int) -> None:
        kind = self.kind.chosen
        if isinstance(kind, Kind):
            self.plate.show_kind(kind)
            self._offer_cord()
            self.fit()

    def _offer_cord(self) -> None:
        """Ask of a new item of a kind that may have one."""
        self.cord.setVisible(self._form is None and self.kind.chosen in WITH_CORDS)

    def _offer_classes(self) -> None:
        site, before = self.place.chosen, self.environment.chosen
        classes = () if site is None else site.classes
        here = f" ({self.place.place_class()})" if site is not None else ""
        self.environment.offer([(None, f"As its place{here}"), *((each.id, each.title) for each in classes)])
        self.environment.choose(before)

    def _class_chosen(self, _place: int) -> None:
        self.complain("")
        self.environment_field.explain("")
        if self._form is not None and self.environment.chosen != self._form.facts.environment:
            self.class_meant.emit(self.environment.chosen)

    def show_class(self, asked: object, changed: Changed) -> None:
        """Show what a class would do to the dates, unless another one is chosen by now."""
        if not self.gone and asked == self.environment.chosen:
            moved = moved_words(changed) or "Its dates stay as they are."
            self.environment_field.explain(f"Used as {changed.environment}. {moved[:1].upper()}{moved[1:]}")
            self.fit()

    def _save(self) -> None:
        """Hand over what was said, if it can be; else say beside each field what is wrong, and keep everything."""
        plate = self.plate.read()
        tag, since = self._tag(), self._since()
        placed = self._form is not None or self.place.check()
        kind, environment = self.kind.chosen, self.environment.chosen
        if plate is None or not tag or since is None or not placed or not isinstance(kind, Kind):
            self.complain("Something above is not right yet; it is said beside it.")
            self._go_to_first_wrong()
            return
        self.complain("")
        outlets, rated, switch = plate
        protected, moved, risk = (flag.chosen for flag in self.flags)
        facts = ItemFacts(
            kind=kind, description=clean_text(self.description.text()), serial=clean_text(self.serial.text()),
            environment=environment if isinstance(environment, str) else None, outlets=outlets_of(kind, outlets),
            rated_current_a=rated, safety_switch=switch, battery_run=self.battery.isChecked(),
            protected_by_switch=_flag(protected), moved_in_use=_flag(moved), risk_factor=_flag(risk),
            remarks=clean_text(self.remarks.text()),
        )  # fmt: skip
        site, cord = self.place.chosen, kind in WITH_CORDS and self.cord.isChecked()
        site_id = "" if site is None else site.id
        area, new = self.place.area_name, self.new.isChecked()
        self._deed(Answer(facts, tag=tag, site_id=site_id, area=area, since=since, new=new, cord=cord))

    def _go_to_first_wrong(self) -> None:
        wrong = next((field for field in self.findChildren(Field) if field.complaint), None)
        if wrong is not None:
            wrong.widget.setFocus()

    def _tag(self) -> str:
        return right(self.tag_field, clean_tag) if self._form is None else self._form.tag

    def _since(self) -> date | None:
        try:
            since = typed(self.since.text())
        except Refused as wrong:
            self.since_field.complain(str(wrong))
            return None
        self.since_field.complain("")
        return since


def _known(value: bool | None) -> Picked:  # noqa: FBT001 - what is known of a fact
    made = Picked(KNOWN)
    made.choose(value)
    return made


def _flag(value: object) -> bool | None:
    return value if isinstance(value, bool) else None

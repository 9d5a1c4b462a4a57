"""A site, a new one or one to be changed: what it is, whose, where, by which rules, and which readings it asks for."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from register.domain.records import ReadingPlan
from register.domain.text import clean_text
from register.services.firm import Redated, SiteFacts, SiteRow
from register.services.places import NewSite
from register.services.rulebooks import rulebook, rulebook_ids
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, Picked, beside
from ui.firm.effect import WAIT_MS, effect_block, effect_words
from ui.look.tick import Tick
from ui.look.widgets import PickBox, Words

MULTIPLES: Final = (Decimal(1), Decimal(2), Decimal(5))
WIDE: Final = 760
SHARES: Final = (3, 2)
"""How the two columns share the width: titles of rulebooks are long."""


@dataclass(frozen=True, slots=True)
class SiteMeant:
    """What was typed; `site` is None where it is a new one, which `code` names."""

    site: SiteRow | None
    code: str
    facts: SiteFacts

    @property
    def new(self) -> NewSite:
        """What is needed to enter it."""
        facts = self.facts
        return NewSite(
            code=self.code, name=facts.name, owner=facts.owner, rulebook=facts.rulebook,
            environment=facts.environment, address=facts.address, access=facts.access,
            reading_plan=facts.reading_plan,
        )  # fmt: skip


class PlanBoxes(QWidget):
    """Which readings a site asks for beyond the least that the rulebook asks."""

    def __init__(self, plan: ReadingPlan) -> None:
        super().__init__()
        self._others = tuple(each for each in plan.multiples if each not in MULTIPLES)
        self.multiples = {each: Tick(f"{each:f}×") for each in MULTIPLES}
        self.half, self.ramp = Tick("½×, must hold"), Tick("Rising current")
        for multiple, box in self.multiples.items():
            box.setChecked(multiple in plan.multiples)
            box.setAccessibleName(f"Trip time at {multiple:f} times the rated residual current")
        self.half.setAccessibleName("Half the rated residual current, which the switch must hold")
        self.half.setChecked(plan.half)
        self.ramp.setChecked(plan.ramp)
        row = QHBoxLayout()
        row.setSpacing(18)
        row.setContentsMargins(0, 4, 0, 4)
        for box in (*self.multiples.values(), self.half, self.ramp):
            row.addWidget(box)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(Words("Readings of safety switches", 13, 600))
        column.addLayout(row)
        column.addWidget(Words("The trip time at 1× is asked for in any case.", 12, 400, "ink2"))

    @property
    def plan(self) -> ReadingPlan:
        """What is ticked; the trip time at 1x where nothing is."""
        ticked = [multiple for multiple, box in self.multiples.items() if box.isChecked()]
        multiples = tuple(sorted((*self._others, *ticked))) or (Decimal(1),)
        return ReadingPlan(multiples, half=self.half.isChecked(), ramp=self.ramp.isChecked())


class SiteDialog(Dialog):
    """Asks for it. Signal `rehearsal` wants to know what another class or rulebook would do to the dates."""

    rehearsal = Signal(object)

    def __init__(
        self, window: QWidget, site: SiteRow | None, owners: Sequence[str], rules: str,
        deed: Callable[[SiteMeant], None],
    ) -> None:  # fmt: skip
        super().__init__(window, f"Change the site {site.code}" if site else "Add a site", wide=WIDE)
        self._site, self._deed = site, deed
        facts = site.facts if site else SiteFacts("", "", rules or rulebook_ids()[0], "")
        self.code, self.name, self.owner = QLineEdit(), QLineEdit(facts.name), PickBox()
        self.owner.setEditable(True)
        self.owner.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.owner.addItems(list(owners))
        self.owner.setEditText(facts.owner)
        self.rules = Picked([(key, rulebook(key).title) for key in rulebook_ids()])
        self.rules.choose(facts.rulebook)
        self.environment = Picked()
        self._offer_classes()
        self.environment.choose(facts.environment)
        self.address, self.access = QLineEdit(facts.address), QLineEdit(facts.access)
        for line in (self.address, self.access):
            line.setCursorPosition(0)
        self.plan = PlanBoxes(facts.reading_plan)
        self.effect = effect_block()
        self._build()
        self.answers(leave="Leave it", verb="Save", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self._wait = QTimer(self, singleShot=True, interval=WAIT_MS)
        self._wait.timeout.connect(self._ask)
        self.rules.currentIndexChanged.connect(self._rules_changed)
        self.environment.currentIndexChanged.connect(self._wait.start)
        (self.name if site else self.code).setFocus()

    def _build(self) -> None:
        self.code_field = Field("Code", self.code, "Short, such as BOAT.")
        self.name_field = Field("Name", self.name)
        self.owner_field = Field("Owner", self.owner, "Another name makes a new owner.")
        if self._site is None:
            self.body.addLayout(beside(self.code_field, self.name_field))
            self.body.addWidget(self.owner_field)
        else:
            self.code_field.hide()
            self.body.addLayout(beside(self.name_field, self.owner_field, shares=SHARES))
        self.rules_field = Field("Rulebook", self.rules)
        self.class_field = Field("Class of the premises", self.environment)
        self.body.addLayout(beside(self.rules_field, self.class_field, shares=SHARES))
        self.body.addWidget(self.effect)
        self.body.addWidget(Field("Address", self.address))
        self.body.addWidget(Field("Access", self.access, "How to get in, and what to mind."))
        self.body.addWidget(self.plan)

    @property
    def meant(self) -> SiteMeant:
        """What is typed at present."""
        facts = SiteFacts(
            name=clean_text(self.name.text()),
            owner=clean_text(self.owner.currentText()),
            rulebook=str(self.rules.chosen),
            environment=str(self.environment.chosen or ""),
            address=clean_text(self.address.text()),
            access=clean_text(self.access.text()),
            reading_plan=self.plan.plan,
        )
        return SiteMeant(self._site, clean_text(self.code.text()).upper(), facts)

    def show_effect(self, asked: SiteMeant, done: Redated) -> None:
        """Show what it would do to the dates, unless something else is chosen by now."""
        if not self.gone and asked == self._rehearsed():
            self.effect.say(*effect_words(done))
            self.effect.show()
            self.complain("")

    def show_refusal(self, asked: object, why: str) -> None:
        """Say why it can't be."""
        if not self.gone and asked == self._rehearsed():
            self.effect.hide()
            self.complain(why)

    def _rehearsed(self) -> SiteMeant:
        """Return the site as it is, with the rulebook and class chosen at present."""
        meant = self.meant
        assert self._site is not None
        facts = replace(self._site.facts, rulebook=meant.facts.rulebook, environment=meant.facts.environment)
        return SiteMeant(self._site, "", facts)

    def _offer_classes(self) -> None:
        self.environment.offer(
            [(each.id, each.title) for each in rulebook(str(self.rules.chosen)).environments.values()]
        )

    def _rules_changed(self, _place: int) -> None:
        self._offer_classes()
        self._wait.start()

    def _ask(self) -> None:
        self.complain("")
        if self._site is not None and self._rehearsed().facts != self._site.facts:
            self.rehearsal.emit(self._rehearsed())
        else:
            self.effect.hide()
            self.fit()

    def _save(self) -> None:
        facts, first = self.meant.facts, None
        for field, said, why in (
            (self.code_field, self.meant.code or self._site, "Give a short code, such as BOAT."),
            (self.name_field, facts.name, "Give the name of the site."),
            (self.owner_field, facts.owner, "Give the name of whoever is responsible for the site."),
            (self.class_field, facts.environment, "Choose how harshly things are used there."),
        ):
            field.complain("" if said else why)
            first = first or (None if said else field)
        if first is not None:
            first.widget.setFocus()
            self.fit()
            return
        self._deed(self.meant)

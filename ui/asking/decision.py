"""Another interval than the rulebook's for a duty of a site, an area or an item: a decision, shown before it holds."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.intervals import LONGEST, Interval, add_interval, every_words
from register.domain.schedule import Scope
from register.domain.words import Duty, counted, first_word
from register.errors import Refused
from register.services.deciding import Decided, Deciding, InForce, decide, deciding, end_decision
from register.services.overrides import NewOverride
from register.store.engine import Change
from ui.asking.carrying_out import carry_out
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field, Picked, beside
from ui.asking.reading import Reading, needed, said, whole
from ui.dates import shown, typed
from ui.look.theme import colours
from ui.look.widgets import Words
from ui.page import Desk

WAIT_MS: Final = 120
MOST: Final = LONGEST.months
REVIEW: Final = Interval.of(months=12)
MONTHS, WEEKS, RULES = "months", "weeks", "rules"
NOT_TYPED: Final = "not typed yet"


@dataclass(frozen=True, slots=True)
class Ending:
    """The decision on a duty is to end, for a reason."""

    duty: Duty
    reason: str


Meant = NewOverride | Ending


def ask_interval(page: QWidget, desk: Desk, scope: Scope, target_id: str) -> None:
    """Ask which other interval a duty is to have there, and keep the decision."""
    if desk.deeds.only_looking:
        desk.messages.tell(desk.deeds.only_looking)
        return

    def found(about: Deciding) -> None:
        dialog = DecisionDialog(page.window(), about, desk.jobs.today, lambda meant: _keep(desk, dialog, about, meant))
        dialog.rehearsal.connect(lambda meant: _rehearse(desk, dialog, about, meant))
        dialog.open()

    desk.jobs.ask(lambda connection: deciding(connection, scope, target_id), found)


def _deed(about: Deciding, meant: Meant) -> Callable[[Change], Decided]:
    if isinstance(meant, Ending):
        return lambda change: end_decision(change, about.scope, about.target_id, meant.duty, meant.reason)
    return lambda change: decide(change, meant)


def _keep(desk: Desk, dialog: "DecisionDialog", about: Deciding, meant: Meant) -> None:
    def done(decided: Decided) -> None:
        dialog.accept()
        what = "the rulebook's interval holds again" if isinstance(meant, Ending) else every_words(meant.interval)
        desk.messages.tell(f"{about.name}, {first_word(meant.duty).lower()}: {what}. {decided.words}")

    carry_out(desk, dialog, _deed(about, meant), done)


def _rehearse(desk: Desk, dialog: "DecisionDialog", about: Deciding, meant: Meant) -> None:
    def failed(error: Exception) -> None:
        if not dialog.not_possible(meant, error):
            desk.messages.failure(error)

    stop = desk.jobs.rehearse(_deed(about, meant), lambda done: dialog.show_effect(meant, done), failed=failed)
    dialog.gathers(stop)


class DecisionDialog(Dialog):
    """Asks for it; `deed` gets what was meant. Signal `rehearsal` wants to know what that would do to the dates."""

    rehearsal = Signal(object)

    def __init__(self, window: QWidget, about: Deciding, today: date, deed: Callable[[Meant], None]) -> None:
        super().__init__(window, "Another interval for a duty")
        self._about, self._today, self._deed = about, today, deed
        what = f"{about.name}, {about.about}" if about.about else about.name
        if about.scope is not Scope.ITEM:
            what = f"{what}: {counted(about.items, 'item')}, and what comes there later"
        self.body.addWidget(Words(what, 13, 500, "ink2", wrap=True))
        self.duty = Picked([(each, first_word(each)) for each in about.duties])
        self.duty_field = Field("Duty", self.duty)
        self.unit, self.number = Picked(), QLineEdit()
        self.number_field = Field("Every", self.number)
        self.reason = Field("Reason", QLineEdit(), "Such as hardly used, kept dry; what the decision rests on.")
        self.approver = Field("Approved by", QLineEdit(), "Whoever may answer for it.")
        self.approved = Field("Approved on", QLineEdit(shown(today)))
        self.review = Field("Review on", QLineEdit(shown(add_interval(today, REVIEW))), "Looked at again by then.")
        self.effect = Block("again", lambda: colours().soon, "ink")
        self._wait = QTimer(self, singleShot=True, interval=WAIT_MS)
        self._wait.timeout.connect(self._ask)
        self._build()

    def _build(self) -> None:
        self.body.addWidget(self.duty_field)
        self.body.addLayout(beside(self.number_field, Field("Months or weeks", self.unit), self.review))
        self.body.addWidget(self.reason)
        self.body.addLayout(beside(self.approver, self.approved))
        self.body.addWidget(self.effect)
        self.effect.hide()
        self.answers(leave="Leave it", verb="Decide", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self._duty_chosen()
        self.duty.currentIndexChanged.connect(self._duty_chosen)
        self.unit.currentIndexChanged.connect(self._unit_chosen)
        for field in (self.number_field, self.approved, self.review):
            line = field.widget
            assert isinstance(line, QLineEdit)
            line.textChanged.connect(self._wait.start)
        self.number.setFocus()

    @property
    def ending(self) -> bool:
        """Whether the rulebook's interval is to hold again."""
        return self.unit.chosen == RULES

    def show_effect(self, asked: Meant, done: Decided) -> None:
        """Show what the decision would do to the dates, unless another one is meant by now."""
        if not self.gone and asked == self._rehearsed():
            self.complain("")
            self.effect.say(done.words, _meaning(asked, done))
            self.effect.show()

    def not_possible(self, asked: Meant, error: Exception) -> bool:
        """Say why it can't be decided so; False where that is a fault of the program."""
        if self.gone or asked != self._rehearsed():
            return True
        self.effect.hide()
        return self.refused(error)

    def _duty_chosen(self) -> None:
        held = self._about.in_force.get(self._chosen())
        units = [(MONTHS, "months"), (WEEKS, "weeks")]
        self.unit.offer(units if held is None else [*units, (RULES, "as the rulebook says")])
        self.duty_field.explain("" if held is None else _held_words(held))
        self._unit_chosen()

    def _unit_chosen(self) -> None:
        """An end of a decision needs its reason alone."""
        for each in (self.number_field, self.approver, self.approved, self.review):
            each.setVisible(not self.ending)
        self._wait.start()

    def _chosen(self) -> Duty:
        chosen = self.duty.chosen
        assert isinstance(chosen, Duty)
        return chosen

    def _ask(self) -> None:
        meant = self._rehearsed()
        if meant is None:
            self.effect.hide()
            self.complain("")
        else:
            self.rehearsal.emit(meant)

    def _rehearsed(self) -> Meant | None:
        """Return what is typed as far as the dates depend on it; None where that can't be read yet."""
        if self.ending:
            return Ending(self._chosen(), NOT_TYPED)
        try:
            approved, review = typed(said(self.approved)), typed(said(self.review))
            return self._override(_every(said(self.number_field), self.unit.chosen), approved, review)
        except Refused:
            return None

    def _override(self, interval: Interval, approved: date, review: date) -> NewOverride:
        return NewOverride(
            scope=self._about.scope,
            target_id=self._about.target_id,
            duty=self._chosen(),
            interval=interval,
            reason=NOT_TYPED,
            approver=NOT_TYPED,
            approved_on=approved,
            review_on=review,
        )

    def _save(self) -> None:
        """Hand on what was typed, or say under each field what is wrong with it."""
        read = Reading()
        if self.ending:
            reason = read.of(self.reason, needed("Say why the decision ends."), "")
            meant: Meant = Ending(self._chosen(), reason)
        else:
            interval = read.of(self.number_field, lambda text: _every(text, self.unit.chosen), REVIEW)
            reason = read.of(self.reason, needed("Say why this interval is right."), "")
            approver = read.of(self.approver, needed("Say who approved it."), "")
            approved = read.of(self.approved, typed, self._today)
            review = read.of(self.review, typed, self._today)
            meant = replace(self._override(interval, approved, review), reason=reason, approver=approver)
        if read.wrong is None:
            self._deed(meant)
            return
        read.wrong.widget.setFocus()
        self.fit()


def _every(text: str, unit: object) -> Interval:
    """Return the interval of a typed number of months or weeks."""
    number = whole(1, MOST)(text)
    return Interval.of(months=number) if unit == MONTHS else Interval.of(days=7 * number)


def _held_words(held: InForce) -> str:
    by = f"Decided on {shown(held.approved_on)} by {held.approver}, to be reviewed on {shown(held.review_on)}."
    return f"At present {every_words(held.interval)}: {held.reason}. {by}"


def _meaning(meant: Meant, done: Decided) -> str:
    if isinstance(meant, Ending):
        return "The rulebook's interval holds again as soon as you save."
    if done.later:
        return "A later date holds until the review; after that the rulebook's does, unless it is decided anew."
    return "The dates follow as soon as you save."

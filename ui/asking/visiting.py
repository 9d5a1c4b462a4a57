"""How a site is visited: where it is, when it is open, how long it takes to get started, whom to ask, what to mind."""

from collections.abc import Callable
from typing import Final

from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

from register.errors import Refused
from register.planning.site_week import Hours
from register.planning.travel import place_from
from register.services.week.visiting import (
    MOST_PEOPLE,
    MOST_READY_MINUTES,
    Visiting,
    clock_words,
    hours_from,
    keep_visiting,
    visiting,
)
from ui.asking.carrying_out import carry_out
from ui.asking.days import LONG
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, beside
from ui.asking.reading import Reading, said, whole
from ui.look.typeface import px
from ui.look.widgets import Words
from ui.page import Desk

WIDE: Final = 720
NEVER_OPEN: Final = "A site that is never open can't be visited. Give the hours of at least one day."


def ask_visiting(page: QWidget, desk: Desk, site_id: str, name: str) -> None:
    """Ask how a site is visited, and keep it."""

    def found(facts: Visiting) -> None:
        dialog = VisitingDialog(page.window(), name, facts, lambda meant: _keep(desk, dialog, site_id, name, meant))
        dialog.open()

    desk.jobs.ask(lambda connection: visiting(connection, site_id), found)


def _keep(desk: Desk, dialog: "VisitingDialog", site_id: str, name: str, facts: Visiting) -> None:
    def done(_nothing: None) -> None:
        dialog.accept()
        desk.messages.tell(f"How {name} is visited is kept.")

    carry_out(desk, dialog, lambda change: keep_visiting(change, site_id, facts), done)


class VisitingDialog(Dialog):
    """Asks for it; `deed` gets what was typed."""

    def __init__(self, window: QWidget, name: str, facts: Visiting, deed: Callable[[Visiting], None]) -> None:
        super().__init__(window, f"Visits to {name}", wide=WIDE)
        self._deed = deed
        self.place = Field(
            "Where it is", QLineEdit(facts.place), "Latitude, longitude in degrees, such as -37.95, 148.70."
        )
        self.ready = Field(
            "Minutes to get started", QLineEdit(str(facts.ready_minutes)), "Signing in, induction, setting up."
        )
        self.people = Field("People needed", QLineEdit(str(facts.people)), "A van with fewer never goes.")
        self.hours = [Field(day, QLineEdit(_hours_words(facts, at))) for at, day in enumerate(LONG)]
        self.contact = Field("Contact", QLineEdit(facts.contact), "Whom to ask for, and how to reach them.")
        self.hazards = Field("Hazards", QPlainTextEdit(facts.hazards), "What to mind; it stands on the day sheet.")
        notes = self.hazards.widget
        assert isinstance(notes, QPlainTextEdit)
        notes.setTabChangesFocus(True)
        notes.setFixedHeight(px(64))
        self._build()
        self.answers(leave="Leave it", verb="Save", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self.place.widget.setFocus()

    def _build(self) -> None:
        where = beside(self.place, self.ready, self.people)
        where.setStretch(0, 2)
        self.body.addLayout(where)
        said_once = "When it can be entered, such as 08:00-16:30; empty where it is shut."
        self.body.addWidget(Words(said_once, 13, 400, "ink2"))
        for some in (self.hours[:4], self.hours[4:]):
            self.body.addLayout(beside(*some, *(QWidget() for _more in range(4 - len(some)))))
        self.body.addWidget(self.contact)
        self.body.addWidget(self.hazards)

    def _save(self) -> None:
        """Hand on what was typed, or say under each field what is wrong with it."""
        read = Reading()
        place = read.of(self.place, place_from, None)
        ready = read.of(self.ready, whole(0, MOST_READY_MINUTES), 0)
        people = read.of(self.people, whole(1, MOST_PEOPLE), 1)
        hours = {day: read.of(field, _hours_or_shut, None) for day, field in enumerate(self.hours)}
        opened = {day: each for day, each in hours.items() if each is not None}
        if not opened and read.wrong is None:
            self.hours[0].complain(NEVER_OPEN)
            read.wrong = self.hours[0]
        if read.wrong is not None:
            read.wrong.widget.setFocus()
            self.fit()
            return
        self._deed(
            Visiting(
                place=str(place) if place else "",
                hours=opened,
                ready_minutes=ready,
                people=people,
                contact=said(self.contact),
                hazards=said(self.hazards),
            )
        )


def _hours_words(facts: Visiting, day: int) -> str:
    return "-".join(map(clock_words, facts.hours[day])) if day in facts.hours else ""


def _hours_or_shut(text: str) -> Hours | None:
    try:
        return hours_from(text) if text else None
    except Refused:
        raise Refused(f"“{text}” are no hours. Write 08:00-16:30.") from None

"""Making a field pack: which sites, who works with it, and until when it holds."""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_text
from register.domain.words import Standing, counted
from register.errors import Refused
from register.exchange.pack import PACK_ENDING, write_pack
from register.services.finding import SiteChoice
from register.services.packs.days_out import DayOut
from register.services.packs.identity import FieldPack
from register.store.engine import Register
from ui.asking.carrying_out import work_out
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field, Picked, beside
from ui.dates import shown, shown_with_weekday, typed
from ui.look.theme import standing_tone
from ui.messages import ask_where
from ui.packs.site_list import SiteList
from ui.page import Desk

KINDS: Final = f"Field pack (*{PACK_ENDING})"
DAYS: Final = 14
"""For so many days a pack holds unless somebody says otherwise (common practice, no source)."""


AFTER: Final = timedelta(days=7)
"""So long after a planned day its pack holds at least (common practice, no source)."""


def day_words(day: DayOut) -> str:
    """Return a van's day in words: "Tue 24 Nov, Van 1: BOAT, HIRE"."""
    return f"{shown_with_weekday(day.day)}, {day.van}: {', '.join(day.sites)}"


class MakePackDialog(Dialog):
    """Asks for the sites, the holder and the last day, and writes the pack on Alt+S."""

    def __init__(
        self, window: QWidget, desk: Desk, sites: Sequence[SiteChoice], chosen: str = "", days: Sequence[DayOut] = ()
    ) -> None:
        super().__init__(window, "Make a field pack")
        self._desk = desk
        self.days = Picked([(None, "The sites ticked below"), *((each, day_words(each)) for each in days)])
        if days:
            self.body.addWidget(Field("For", self.days, "A day of a kept week ticks its sites."))
            self.days.currentIndexChanged.connect(self._take_day)
        self.sites = SiteList(sites, chosen)
        self.holder = QLineEdit()
        self.holder.setPlaceholderText("the name on the records")
        self._vans: set[str] = set()
        self.until = QLineEdit(shown(desk.jobs.today + timedelta(days=DAYS)))
        self._sites_field = Field("Sites", self.sites, "Space ticks a site.")
        self._holder_field = Field("Who works with it", self.holder, "A range of tag numbers of this name goes along.")
        self._until_field = Field("Until", self.until, "After this day it can't be opened any more.")
        self.body.addWidget(self._sites_field)
        self.body.addLayout(beside(self._holder_field, self._until_field))
        said = "All that these sites have goes along: items, tests, withdrawals, places, people, instruments."
        more = "The seal tells mix-ups and damage. It keeps no thief out: whoever has the file can read it."
        self.body.addWidget(Block("elsewhere", lambda: standing_tone(Standing.REMOVED), "ink", said, more))
        self._write = self.answers(
            leave="Leave it", verb="Save…", key="Alt+S", deed=self._ask_where, hint="Enter is off here."
        )
        self.sites.setFocus()

    def _take_day(self) -> None:
        """Tick the sites of a van's day, and name the van where nobody is named yet."""
        day = self.days.chosen
        if not isinstance(day, DayOut):
            return
        self.sites.tick(day.sites)
        if not clean_text(self.holder.text()) or self.holder.text() in self._vans:
            self.holder.setText(day.van)
            self._vans.add(day.van)
        until = max(day.day + AFTER, self._desk.jobs.today + timedelta(days=DAYS))
        self.until.setText(shown(until))

    def _ask_where(self) -> None:
        codes, holder = self.sites.ticked, clean_text(self.holder.text())
        self._sites_field.complain("" if codes else "Tick at least one site.")
        self._holder_field.complain("" if holder else "Give the name of who works with it.")
        day = self._day()
        if not codes or not holder or day is None:
            first = self.sites if not codes else self.holder if not holder else self.until
            first.setFocus()
            return
        name = "-".join(code.lower() for code in codes[:3])
        suggested = f"{name}-{self._desk.jobs.today.isoformat()}{PACK_ENDING}"
        path = ask_where(self._desk.messages, "Save the field pack", suggested, KINDS)
        if path is not None:
            self._save(path, holder, day)

    def _day(self) -> date | None:
        """Return the last day that was typed; None, with the reason said, where it is none."""
        try:
            day = typed(self.until.text())
        except Refused as why:
            self._until_field.complain(str(why))
            return None
        self._until_field.complain("")
        return day

    def _save(self, path: Path, holder: str, day: date) -> None:
        jobs, codes = self._desk.jobs, self.sites.ticked
        moment, today, actor = jobs.moment, jobs.today, jobs.actor

        def work(register: Register) -> FieldPack:
            return write_pack(
                register, path, sites=codes, holder=holder, expires_on=day, actor=actor, at=moment(), today=today
            )

        work_out(self._desk, self, work, partial(self._done, path), changes=True)

    def _done(self, path: Path, made: FieldPack) -> None:
        self._desk.messages.tell(f"The field pack for {made.holder} is in {path}: {counted(made.items, 'item')}.")
        self.accept()

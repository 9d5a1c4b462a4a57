"""A stop in full: how to get in, whom to ask, what to mind, the items by area, and what to load."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from register.domain.words import Duty, first_word
from register.planning.week_rows import PlannedStop, PlannedWeek
from register.services.places import known_site
from register.services.week.bent import stop_of
from register.services.week.day_sheets import StopLine, day_sheets
from register.services.week.kit import KitLine, kit_of, tag_colours
from register.services.week.visiting import clock_words
from ui.asking.dialog import Dialog
from ui.asking.visiting import ask_visiting
from ui.dates import shown
from ui.look.widgets import TagLabel, Words, button
from ui.page import Desk
from ui.week.look import clock, day_name


@dataclass(frozen=True, slots=True)
class StopTold:
    """A stop with what the day sheets say of it."""

    stop: PlannedStop
    line: StopLine
    site_id: str
    kit: tuple[KitLine, ...]


def stop_told(connection: Any, week: PlannedWeek, stop: PlannedStop) -> StopTold:  # noqa: ANN401 - the worker's own
    """Return what is to be shown of a stop."""
    lines = day_sheets(connection, week).stops
    van = week.draft.asked.vans[stop.van].name
    line = next(
        each for each in lines
        if (each.day, each.van, each.code, each.arrive) == (stop.day, van, stop.code, clock_words(stop.arrive))
    )  # fmt: skip
    kit = kit_of([stop], tag_colours(connection, [stop]))
    return StopTold(stop, line, known_site(connection, stop.code), kit)


def open_stop(page: QWidget, desk: Desk, week: PlannedWeek, key: str, pin: Callable[[], None]) -> None:
    """Show a stop of a week; `pin` pins it where it is, or no longer."""

    def show(told: StopTold) -> None:
        dialog = StopDialog(page.window(), told)
        desk.deeds.leads_to_change(dialog.visits)
        dialog.visits.clicked.connect(dialog.reject)
        dialog.visits.clicked.connect(lambda: ask_visiting(page, desk, told.site_id, told.stop.name))
        dialog.accepted.connect(pin)
        dialog.open()

    stop = stop_of(week, key)
    desk.jobs.ask(lambda connection: stop_told(connection, week, stop), show)


class StopDialog(Dialog):
    """Shows a stop; done, it is to be pinned where it is, or no longer."""

    def __init__(self, window: QWidget, told: StopTold) -> None:
        stop, line = told.stop, told.line
        super().__init__(window, stop.name)
        said = f"{day_name(stop.day)}, {clock(stop.arrive)} to {clock(stop.leave)}, {line.van}. {line.work}."
        self.body.addWidget(Words(said, 13, 500, "accent", wrap=True))
        self.body.addWidget(Words(stop.why, 13, 400, "ink", wrap=True))
        for head, text in (
            ("Address", line.address), ("Access", line.access), ("Contact", line.contact), ("Hazards", line.hazards)
        ):  # fmt: skip
            self._part(head, text or "Nobody said.", "ink" if text else "ink3")
        self.visits = button("How it is visited…", hint="Where it is, its hours, contact and hazards")
        self.body.addWidget(self.visits, 0, Qt.AlignmentFlag.AlignLeft)
        for area, tasks in _by_area(stop).items():
            self._tasks(area, tasks)
        kit = [f"{each.number} × {each.thing}, {each.what_for}" for each in told.kit]
        self._part("To load", "\n".join(kit) or "Nothing.")
        for head, text in (
            ("To look for again", "\n".join(line.extras.look_for)), ("Tag numbers for what is new", line.extras.tags),
            ("Field pack", line.extras.pack),
        ):  # fmt: skip
            if text:
                self._part(head, text)
        verb = "Unpin it" if stop.pinned else "Pin it"
        self.pin = self.answers(leave="Close", verb=verb, key="Ctrl+Return", deed=self.accept)
        self.pin.setEnabled(stop.parts == 1)

    def _part(self, head: str, text: str, ink: str = "ink") -> None:
        part = QVBoxLayout()
        part.setSpacing(4)
        part.addWidget(Words(head, 13, 600))
        part.addWidget(Words(text, 13, 400, ink, wrap=True))
        self.body.addLayout(part)

    def _tasks(self, area: str, tasks: Sequence[tuple[str, str]]) -> None:
        """Show the duties in an area, each beside the tag of its item."""
        part = QGridLayout()
        part.setHorizontalSpacing(12)
        part.setVerticalSpacing(4)
        part.setColumnStretch(1, 1)
        part.addWidget(Words(area, 13, 600), 0, 0, 1, 2)
        for line, (tag, text) in enumerate(tasks, 1):
            part.addWidget(TagLabel(tag, height=20, size=12), line, 0, Qt.AlignmentFlag.AlignTop)
            part.addWidget(Words(text, 13, 400, wrap=True), line, 1)
        self.body.addLayout(part)


def _by_area(stop: PlannedStop) -> dict[str, list[tuple[str, str]]]:
    """Return the duties by area, each with the tag of its item, those pulled forward with why."""
    found: defaultdict[str, list[tuple[str, str]]] = defaultdict(list)
    for task in stop.must:
        due = f"due {shown(task.due)}" if task.due else "never done"
        found[task.area].append((task.tag, f"{first_word(Duty(task.duty))}, {due}"))
    for each in stop.early:
        found[each.task.area].append((each.task.tag, f"{first_word(Duty(each.task.duty))}, pulled forward. {each.why}"))
    return dict(sorted(found.items()))

"""A stop in full: how to get in, whom to ask, what to mind, the items by area, and what to load."""

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from register.domain.words import Duty, spoken
from register.planning.week_rows import PlannedStop, PlannedWeek
from register.services.day_sheets import StopLine, day_sheets
from register.services.kit import kit_of
from ui.asking.dialog import Dialog
from ui.dates import shown
from ui.look.widgets import Words
from ui.week.look import clock, day_name


@dataclass(frozen=True, slots=True)
class StopTold:
    """A stop with what the day sheets say of it."""

    stop: PlannedStop
    line: StopLine


def stop_told(connection: Any, week: PlannedWeek, stop: PlannedStop) -> StopTold:  # noqa: ANN401 - the worker's own
    """Return what is to be shown of a stop."""
    lines = day_sheets(connection, week).stops
    van = week.draft.asked.vans[stop.van].name
    line = next(each for each in lines if (each.day, each.van, each.code) == (stop.day, van, stop.code))
    return StopTold(stop, line)


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
        for area, lines in _by_area(stop).items():
            self._part(area, "\n".join(lines))
        kit = [f"{each.number} × {each.thing}, {each.what_for}" for each in kit_of([stop])]
        self._part("To load", "\n".join(kit) or "Nothing.")
        verb = "Unpin it" if stop.pinned else "Pin it"
        self.pin = self.answers(leave="Close", verb=verb, key="Ctrl+Return", deed=self.accept)
        self.pin.setEnabled(stop.parts == 1)

    def _part(self, head: str, text: str, ink: str = "ink") -> None:
        part = QVBoxLayout()
        part.setSpacing(4)
        part.addWidget(Words(head, 13, 600))
        part.addWidget(Words(text, 13, 400, ink, wrap=True))
        self.body.addLayout(part)


def _by_area(stop: PlannedStop) -> dict[str, list[str]]:
    """Return the duties by area as lines, those pulled forward with why."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for task in stop.must:
        due = f"due {shown(task.due)}" if task.due else "never done"
        found[task.area].append(f"{task.tag}  {spoken(Duty(task.duty))}, {due}")
    for each in stop.early:
        found[each.task.area].append(f"{each.task.tag}  {spoken(Duty(each.task.duty))}, pulled forward. {each.why}")
    return dict(sorted(found.items()))

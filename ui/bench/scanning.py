"""What is done with each scan, in the order in which they came: looked up, listed, and offered what can be done."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QApplication

from register.services.bench.aside import set_aside
from register.services.bench.on_bench import BenchItem, Outcome, Scan, on_bench, scan
from register.services.moves import Moved, move_item
from register.store.engine import Change
from ui.bench.became import Became
from ui.bench.listening import Listening
from ui.bench.memory import Memory
from ui.bench.scan import ScanBox, ScanLine
from ui.bench.scanner import Repeats
from ui.bench.side import Scanned, Scans
from ui.dates import shown
from ui.offer import Answer
from ui.page import Desk

BEEPS: Final = {
    Outcome.FOUND: 1, Outcome.DONE_TODAY: 2, Outcome.ELSEWHERE: 3, Outcome.UNKNOWN: 4, Outcome.REFUSED: 4,
}  # fmt: skip
"""So many tones tell the outcomes apart; the system's tone has one pitch only."""
BETWEEN_MS: Final = 160


@dataclass(frozen=True, slots=True)
class AtWork:
    """Where one works: the ids of a site and of an area of it, and their names."""

    site_id: str
    area_id: str
    area: str
    site_name: str


class Scanning(QObject):
    """Takes codes. `found` gives an item to be put on the bench, `unknown` a code that no item has.

    `new_item` asks for an item of a code, `correct` for the record of an id to be put right.

    While more codes wait, an item that is found is listed and only the last one is put on the bench.
    """

    found = Signal(object)
    unknown = Signal(str)
    new_item = Signal(str)
    correct = Signal(str)

    def __init__(self, desk: Desk, box: ScanBox, line: ScanLine, scans: Scans, memory: Memory) -> None:
        super().__init__()
        self._desk, self._box, self._line, self._scans, self._memory = desk, box, line, scans, memory
        self._repeats = Repeats()
        self._open = 0
        self.at: AtWork | None = None

    def take(self, listening: Listening, typed: str) -> None:
        """Look a code up, unless it is the last one again within two seconds."""
        code = self._memory.now.scanner.code(typed)
        if self._repeats.same(code, listening.pace()):
            return
        site = self.at.site_id if self.at is not None else ""
        self._open += 1
        question = partial(scan, typed=code, today=self._desk.jobs.today, at_site=site)
        self._desk.jobs.ask(question, self._scanned, failed=self._failed)

    def forget(self) -> None:
        """Take the next code for a new one, whatever it is."""
        self._repeats.forget()

    def _failed(self, reason: Exception) -> None:
        self._open -= 1
        self._repeats.forget()
        self._desk.messages.failure(reason)

    def _scanned(self, told: Scan) -> None:
        self._open -= 1
        self._sound(told.outcome)
        if told.outcome is Outcome.FOUND and told.item is not None:
            if self._open:
                self._list(told, Became.FOUND)
            else:
                self.found.emit(told.item)
            return
        deed = {
            Outcome.DONE_TODAY: self._again, Outcome.ELSEWHERE: self._elsewhere, Outcome.UNKNOWN: self._unknown,
        }.get(told.outcome, self._refused)  # fmt: skip
        deed(told)
        if not self._open:
            self._box.keep(told.code)

    def _list(self, told: Scan, became: Became) -> None:
        item_id = told.item.id if told.item is not None else ""
        self._scans.add(Scanned(told.code, self._desk.jobs.now(), became, item_id))

    def _say(self, said: str, became: Became, answers: Sequence[Answer] = ()) -> None:
        self._box.tell_found("")
        self._line.say(said, became, answers)

    def _again(self, told: Scan) -> None:
        self._list(told, Became.AGAIN)
        again = Answer("Test it again", "Alt+T", partial(self.found.emit, told.item))
        correct = Answer("Correct the record", "Alt+C", partial(self.correct.emit, told.record_id))
        self._say(told.said, Became.AGAIN, [again, correct])

    def _elsewhere(self, told: Scan) -> None:
        item, at = told.item, self.at
        assert item is not None
        assert at is not None
        self._list(told, Became.ELSEWHERE)
        move = Answer(f"Move it to {at.area}", "Alt+M", partial(self._move, item, at))
        there = Answer("Test it where it is", "Alt+T", partial(self.found.emit, item))
        self._say(f"{told.said} F6 if you work there now.", Became.ELSEWHERE, [move, there])

    def _refused(self, told: Scan) -> None:
        self._list(told, Became.REFUSED)
        self._say(told.said, Became.REFUSED)

    def _unknown(self, told: Scan) -> None:
        """Keep an unknown code at once, so that scanning on loses nothing; say so only when it is kept."""
        self._list(told, Became.LOOKED_UP)
        self._say(told.said, Became.UNKNOWN, [Answer("New item", "Alt+N", partial(self.new_item.emit, told.code))])
        at = self.at
        keep = partial(_set_aside, told.code, at.site_id if at else None, at.area_id if at else None)
        self._desk.jobs.change(keep, partial(self._kept, told))
        if not self._open:
            self.unknown.emit(told.code)

    def _kept(self, told: Scan, _row: str) -> None:
        self._scans.settle(told.code, Became.UNKNOWN)
        if self._line.said == told.said:
            said = f"{told.said} It is kept with the codes set aside; scan on, or make it an item."
            self._say(said, Became.UNKNOWN, [Answer("New item", "Alt+N", partial(self.new_item.emit, told.code))])

    def _move(self, item: BenchItem, at: AtWork) -> None:
        self._desk.jobs.change(partial(_move_item, item.id, at.area_id), partial(self._moved, item, at))

    def _moved(self, item: BenchItem, at: AtWork, moved: Moved) -> None:
        due = f" Next due {shown(moved.due_after)}." if moved.due_after else ""
        self._desk.messages.tell(f"{item.tag} is moved to {at.site_name}, {at.area}.{due}")
        self.put_on(item.id)

    def put_on(self, item_id: str) -> None:
        """Put an item on the bench that is known by its id."""
        question = partial(on_bench, item_id=item_id, today=self._desk.jobs.today)
        self._desk.jobs.ask(question, self.found.emit)

    def _sound(self, outcome: Outcome) -> None:
        if self._memory.now.sound == "on":
            for number in range(BEEPS[outcome]):
                QTimer.singleShot(number * BETWEEN_MS, QApplication.beep)


def _set_aside(code: str, site_id: str | None, area_id: str | None, change: Change) -> str:
    return set_aside(change, code, site_id, area_id)


def _move_item(item_id: str, area_id: str, change: Change) -> Moved:
    return move_item(change, item_id, area_id)

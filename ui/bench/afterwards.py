"""What becomes of records once they are saved: how the list says they stand, and what can be done about the last."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import QObject, Signal

from register.domain.words import Result
from register.services.bench.correction import how_they_stand
from register.services.bench.on_bench import Finished
from register.services.recording import Recorded
from ui.bench.became import OF_VERDICT, Became
from ui.bench.correcting import Correcting
from ui.bench.nothing import NothingHere
from ui.bench.scan import ScanLine
from ui.bench.session import Session
from ui.bench.side import Scanned, Scans
from ui.dates import shown_time
from ui.offer import Answer
from ui.page import Page
from ui.tags.deeds import TagDeeds


@dataclass(frozen=True, slots=True)
class _Last:
    """The record that was saved last: of which item, and under which id; no id where it was known before."""

    item_id: str
    tag: str
    record_id: str


class Afterwards(QObject):
    """Follows the records of this bench. `again` puts an item on the bench once more.

    `changed` tells that what can be done about them is other than before.
    """

    changed = Signal()

    def __init__(
        self, page: Page, session: Session, scans: Scans, nothing: NothingHere, line: ScanLine, correcting: Correcting
    ) -> None:
        super().__init__(page)
        self._desk, self._session, self._scans, self._nothing = page.desk, session, scans, nothing
        self._line, self._correcting = line, correcting
        self.tags = TagDeeds(self, page.desk, page.window)
        self._last: _Last | None = None
        self.again: Callable[[str], None] = _nowhere
        scans.saved.connect(self._ask)

    def saved(self, done: Finished, recorded: Recorded, said: str) -> None:
        """Say in the list and on the empty bench what became of a test."""
        verdict = recorded.judgement.verdict if recorded.judgement is not None else Result.INCOMPLETE
        record_id = "" if recorded.known else recorded.id
        self._scans.settle(done.item.id, OF_VERDICT[verdict], record_id)
        self._last = _Last(done.item.id, recorded.tag, record_id)
        self._nothing.say_last(recorded.tag, OF_VERDICT[verdict], said.partition(". ")[2])

    def refresh(self) -> None:
        """Ask how the records of the list stand by now: one may have been undone or corrected."""
        records = self._scans.records
        if records:
            self._desk.jobs.ask(partial(how_they_stand, record_ids=records), partial(self._restand, records))

    def _restand(self, asked: Collection[str], found: Mapping[str, Result | None]) -> None:
        self._scans.restand(asked, found)
        self.changed.emit()
        last = self._last
        if last is None or last.record_id not in asked:
            return
        if last.record_id not in found:
            self._nothing.say_last(last.tag, Became.UNDONE, "Its record was taken back; Ctrl Y brings it again.")
        elif self._nothing.became is Became.UNDONE:
            verdict = found[last.record_id]
            self._nothing.say_last(last.tag, Became.CORRECTED if verdict is None else OF_VERDICT[verdict], "")

    def _ask(self, line: Scanned) -> None:
        """Offer what can be done about a line of the list whose record counts."""
        correct = Answer("Correct the record", "Alt+C", partial(self._correcting.begin, line.record_id))
        again = Answer("Test it again", "Alt+T", partial(self.again, line.item_id))
        said = f"{line.code} was saved at {shown_time(line.at)}: {line.became.value}."
        self._line.say(said, Became.AGAIN, [correct, again])

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what can be done about the item on the bench, or else about the one saved last."""
        return {"item.tag": self._print, "item.new-tag": self._new_tag, "bench.correct": self._correct}

    def possible(self, key: str) -> bool:
        """Whether one of these can be done at present."""
        if key == "bench.correct":
            return self._record_meant != ""
        return self._item_meant != ""

    @property
    def _item_meant(self) -> str:
        if self._session.item is not None:
            return self._session.item.id
        return "" if self._last is None else self._last.item_id

    @property
    def _record_meant(self) -> str:
        """The record of the line that is chosen in the list, or else the newest of the list that counts."""
        return self._scans.record_meant

    def _print(self) -> None:
        self.tags.print_tags([self._item_meant])

    def _new_tag(self) -> None:
        self.tags.give_new_tag(self._item_meant)

    def _correct(self) -> None:
        self._correcting.begin(self._record_meant)


def _nowhere(_item_id: str) -> None:
    """Stand in until the page says how an item is put on the bench."""

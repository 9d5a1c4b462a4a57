"""Where the cursor goes at the bench: from what was seen or measured to what is not yet, and at the end to saving."""

from collections.abc import Callable

from register.domain.records import Place
from register.services.bench.worksheet import in_working_order
from ui.bench.session import Session
from ui.bench.sheet import ItemSheet
from ui.bench.verdict import VerdictPanel


class Cursor:
    """Leads through the item on the bench; `save` is called where nothing is left."""

    def __init__(self, session: Session, sheet: ItemSheet, verdict: VerdictPanel, save: Callable[[], None]) -> None:
        self._session, self._sheet, self._verdict, self._save = session, sheet, verdict, save

    def enter(self, place: Place) -> None:
        """Go from a cell to the next missing one; stay where what was typed is no reading."""
        if place in self._session.live.faults:
            self._sheet.readings.cells[place].entry.selectAll()
            return
        self.on(place)

    def on(self, after: Place | None = None) -> None:
        """Go to what is still to be seen or measured; save where nothing is, if the cursor was in the last reading."""
        live = self._session.live
        if live.look_missing and after is None:
            first = self._sheet.look.first_open()
            if first is not None:
                first.setFocus()
                return
        if live.missing:
            behind = [] if after is None else _behind(after, live.missing)
            self._sheet.readings.cells[(behind or live.missing)[0]].entry.setFocus()
        elif live.look_missing:
            self.on()
        elif after is not None or self._verdict.enter.hasFocus():
            self._save()
        else:
            self._verdict.enter.setFocus()


def _behind(place: Place, missing: tuple[Place, ...]) -> list[Place]:
    return [each for each in missing if in_working_order(each) > in_working_order(place)]

"""`python -m tests.bench.at_bench`: the bench on a register, with a scanner; prints what was waited for as JSON.

Its arguments are a register and what day it is. Times are in seconds, from a key to what it puts on the screen. Nothing
is saved, so that the register can be measured again. It runs in a process of its own, because a window is started once.
"""

import json
import sys
from collections.abc import Iterable, Sequence
from contextlib import closing
from datetime import UTC, date, datetime
from itertools import islice
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import TYPE_CHECKING

import sqlalchemy as sa
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from register.domain.words import Kind
from register.services.projection import REMOVED
from register.store.engine import open_register
from register.store.tables import Item
from tests.bench.at_window import until

if TYPE_CHECKING:
    from ui.bench.page import BenchPage

SCANS, RUN = 25, 200


class Painted(QObject):
    """Sees whether a widget is painted again."""

    def __init__(self, widget: QWidget) -> None:
        super().__init__(widget)
        self.seen = False
        widget.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        self.seen = self.seen or event.type() is QEvent.Type.Paint
        return False


def tags_of(path: Path) -> tuple[list[str], list[str]]:
    """Return the tags of safety switches, and of all items, of a site that has many of both."""
    with closing(open_register(path)) as register, register.read() as connection:
        here = Item.state != REMOVED
        busiest = sa.select(Item.site_id).where(here).group_by(Item.site_id).order_by(sa.func.count().desc()).limit(1)
        rows = connection.execute(
            sa.select(Item.tag_number, Item.kind).where(here, Item.site_id == busiest.scalar_subquery())
        ).all()
    return [tag for tag, kind in rows if kind == Kind.PORTABLE_SAFETY_SWITCH.value], [tag for tag, _kind in rows]


def worked(path: Path, today: date) -> dict[str, float]:
    """Scan items one by one, type readings, and let a scanner send many codes without a pause."""
    from ui.bench.page import BenchPage
    from ui.window import Starting, application

    switches, tags = tags_of(path)
    starting = Starting(application(), today, lambda: datetime.now(UTC), remembered=path.with_suffix(".toml"))
    starting.begin(path)
    until(lambda: starting.opening is not None and starting.opening.program is not None and starting.at_rest)
    assert starting.opening is not None
    program = starting.opening.program
    assert program is not None
    program.frame.go("bench")
    page = program.frame.front
    assert isinstance(page, BenchPage)
    page.window().activateWindow()
    until(lambda: program.jobs.idle)
    found = {"a tag until its item stands": _scans(page, dict.fromkeys([*switches[:SCANS], *tags[:SCANS]]))}
    found["a digit until it stands and is judged"] = _typed(page, switches[SCANS])
    found["each code of many"] = _run(page, tags[SCANS : SCANS + RUN])
    program.frame.close()
    starting.close()
    return found


def _send(page: "BenchPage", tag: str) -> None:
    field = page.box.field
    field.setFocus()
    QTest.keyClicks(field, tag)
    QTest.keyClick(field, Qt.Key.Key_Return)


def _scan(page: "BenchPage", tag: str) -> float:
    painted, begun = Painted(page.sheet), perf_counter()
    _send(page, tag)
    until(lambda: page.session.item is not None and page.session.item.tag == tag and painted.seen)
    took = perf_counter() - begun
    until(lambda: page.desk.jobs.idle)
    return took


def _scans(page: "BenchPage", tags: Iterable[str]) -> float:
    return median(_scan(page, tag) for tag in tags)


def _typed(page: "BenchPage", tag: str) -> float:
    """Return what a key in a cell of readings takes."""
    _scan(page, tag)
    took = []
    for cell in islice(page.sheet.readings.cells.values(), 4):
        cell.entry.setFocus()
        painted = Painted(cell)
        for letter in "28.4":
            until(lambda: page.desk.jobs.idle)
            painted.seen, begun = False, perf_counter()
            QTest.keyClick(cell.entry, letter)
            until(lambda painted=painted: painted.seen)
            took.append(perf_counter() - begun)
    page.session.clear()
    return median(took)


def _run(page: "BenchPage", tags: Sequence[str]) -> float:
    """Return what each code takes of many that come at once; every one must be taken, in its order."""
    seen: list[str] = []
    page.scans.added.connect(lambda each: seen.append(each.code))
    begun = perf_counter()
    for tag in tags:
        _send(page, tag)
    until(lambda: len(seen) == len(tags) and page.desk.jobs.idle)
    assert seen == list(tags)
    return (perf_counter() - begun) / len(tags)


if __name__ == "__main__":
    print(json.dumps(worked(Path(sys.argv[1]), date.fromisoformat(sys.argv[2]))))

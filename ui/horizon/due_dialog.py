"""Asks which sites and until when, shows the list of what falls due as it is printed, and writes it."""

import threading
from functools import partial
from pathlib import Path
from typing import Any, Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from register.errors import Refused, Unavailable
from register.exchange.due_list import WrittenList, write_due_list
from register.services.due_list import DueList, due_list
from register.services.horizon import Horizon
from ui.asking.dialog import AROUND, Dialog
from ui.asking.fields import Field, Picked
from ui.dates import shown
from ui.horizon.due_sheet import PAGE, Pages, draw_page, laid_out
from ui.horizon.model import Choice
from ui.horizon.printing import PdfFile, Printing, full_page
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Words, button
from ui.page import Desk

WIDE: Final = 860
PREVIEW: Final = 540
"""How high a page of the preview is at most."""

MOST_ON_PAPER: Final = 5_000
"""A longer list is no use on paper: it would have hundreds of pages."""

REST: Final = 190
"""What the title and the buttons take of the dialog's height."""


class DueDialog(Dialog):
    """The dialog. It begins with the week and the site that were chosen."""

    def __init__(self, window: QWidget, desk: Desk, horizon: Horizon, choice: Choice) -> None:
        super().__init__(window, "List what falls due", wide=WIDE)
        self._desk, self._horizon = desk, horizon
        self._due: DueList | None = None
        self._pages: Pages | None = None
        self._page = 0
        self._gathering = threading.Event()
        self._writing: Printing | PdfFile | None = None
        self._build(horizon, choice)
        self.finished.connect(self._stop)
        self._gather()

    def _build(self, horizon: Horizon, choice: Choice) -> None:
        sites = [(row.site_id, row.name) for row in sorted(horizon.rows, key=lambda row: row.name)]
        self._site = Picked([("", "All sites"), *sites])
        self._site.choose(choice.row.site_id)
        self._week = Picked([(week, f"Week {week.number}, {shown(week.last)}") for week in horizon.weeks])
        self._week.choose(horizon.weeks[choice.week or 0])
        self._said = Words("", 13, 400, "ink2", wrap=True)
        self._earlier, self._later = button("Earlier", name="Earlier page"), button("Next", name="Next page")
        self._earlier.setShortcut("PgUp")
        self._later.setShortcut("PgDown")
        self._at = Words("", 12, 400, "ink3")
        self._book = button("Save as a workbook…   Alt B")
        self._book.setShortcut("Alt+B")
        self._print = button("Print…   Alt P")
        self._print.setShortcut("Alt+P")
        high = min(px(PREVIEW), self._room())
        self._preview = Painted(self._draw, size=QSize(round(high * PAGE.width() / PAGE.height()), high))
        self._lay_out()
        self._pdf = self.answers(
            leave="Close", verb="Save as PDF…", key="Alt+S", deed=self._ask_pdf,
            hint="Overdue duties and those never done are on the list too.",
        )  # fmt: skip
        for field in (self._site, self._week):
            field.currentIndexChanged.connect(self._gather)
        self._earlier.clicked.connect(partial(self._turn, -1))
        self._later.clicked.connect(partial(self._turn, 1))
        self._book.clicked.connect(self._ask_book)
        self._print.clicked.connect(self._ask_print)

    def _room(self) -> int:
        return self._host.height() - AROUND - px(REST)

    def _lay_out(self) -> None:
        turn = QHBoxLayout()
        turn.setSpacing(8)
        for widget in (self._earlier, self._later):
            turn.addWidget(widget)
        turn.addWidget(self._at, 1)
        right = QVBoxLayout()
        right.setSpacing(16)
        right.addWidget(Field("Sites", self._site))
        right.addWidget(Field("Due by the end of", self._week))
        right.addWidget(self._said)
        right.addLayout(turn)
        right.addStretch(1)
        right.addWidget(self._book)
        right.addWidget(self._print)
        row = QHBoxLayout()
        row.setSpacing(24)
        row.addWidget(self._preview, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(right, 1)
        self.body.addLayout(row)

    def _gather(self) -> None:
        self._gathering.set()  # nobody waits for the list that was asked for before
        self._due, self._pages = None, None
        self._enable()
        self._said.say("The list is being gathered.")
        week, site, today = (
            self._horizon.weeks[self._week.currentIndex()],
            str(self._site.chosen or ""),
            self._horizon.today,
        )
        question = partial(due_list, today=today, by=week.last, site=site or None, place=self._site.currentText())
        asked: list[threading.Event] = []
        self._gathering = self._desk.jobs.ask(
            question, partial(self._show, asked), failed=partial(self._not_gathered, asked)
        )
        asked.append(self._gathering)

    def _not_gathered(self, asked: list[threading.Event], error: Exception) -> None:
        if not asked[0].is_set():
            self._failed(error)

    def _show(self, asked: list[threading.Event], due: DueList) -> None:
        if asked[0].is_set() or self.gone:
            return
        self._due, self._page = due, 0
        duties = "1 duty" if len(due.rows) == 1 else f"{len(due.rows):,} duties"
        said = f"{duties} on {due.items:,} {'item' if due.items == 1 else 'items'}, by site and area."
        if not due.rows:
            said = "Nothing is due by then. Choose a later week to see what comes next."
        self._pages = laid_out(due) if len(due.rows) <= MOST_ON_PAPER else None
        if self._pages is None:
            said += " That is too long for paper: choose one site, or save it as a workbook."
        self._said.say(said)
        self._enable()

    def _turn(self, way: int) -> None:
        self._page += way
        self._enable()

    def _enable(self) -> None:
        """Everything needs the list; turning a page needs one to turn to."""
        pages, free = self._pages, self._writing is None
        for each in (self._pdf, self._print):
            each.setEnabled(pages is not None and free)
        self._book.setEnabled(self._due is not None and free)
        count = pages.count if pages is not None else 0
        self._earlier.setEnabled(self._page > 0)
        self._later.setEnabled(self._page + 1 < count)
        self._at.say(f"Page {self._page + 1} of {count}" if count else "")
        said = f"Page {self._page + 1} of {count} as it is printed" if count else "No page to show"
        self._preview.setAccessibleName(said)
        self._preview.update()

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        draw.box(painter, place, "#FFFFFF", colours().rule, 2)
        if self._pages is not None:
            painter.scale(place.width() / PAGE.width(), place.height() / PAGE.height())
            draw_page(painter, self._pages, self._page)

    def _name(self, ending: str) -> str:
        assert self._due is not None
        return f"due-by-{self._due.by.isoformat()}.{ending}"

    def _ask_path(self, ending: str, kinds: str) -> Path | None:
        path = self._desk.messages.save_file("List what falls due", self._name(ending), kinds)
        if path is None or path.suffix.lower() == f".{ending}":
            return path
        return path.with_name(f"{path.name}.{ending}")

    def _ask_pdf(self) -> None:
        pages = self._pages
        path = self._ask_path("pdf", "PDF (*.pdf)") if pages is not None else None
        if pages is None or path is None:
            return
        try:
            self._follow(PdfFile(path, pages, f"Falls due by {shown(pages.due.by)}", self), f"The list is in {path}.")
        except (Refused, Unavailable) as reason:
            self.complain(str(reason))

    def _ask_print(self) -> None:
        from PySide6.QtPrintSupport import QPrintDialog, QPrinter

        self._printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        full_page(self._printer)
        asked = QPrintDialog(self._printer, self)
        asked.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        asked.accepted.connect(self._print_now)
        asked.setModal(True)
        asked.show()

    def _print_now(self) -> None:
        if self._pages is None:
            return
        printing = Printing(self._printer, self._pages, self)
        if printing.begin():
            self._follow(printing, "The list was sent to the printer.")
        else:
            self.complain("Nothing can be printed there. Choose another printer, or save the list as a PDF.")

    def _follow(self, writing: Printing | PdfFile, done: str) -> None:
        self._writing = writing
        writing.page_done.connect(self._tell_page)
        writing.ended.connect(partial(self._ended, done))
        self._enable()

    def _tell_page(self, number: int) -> None:
        if self._pages is not None:
            self._said.say(f"Page {number} of {self._pages.count} is written.")

    def _ended(self, done: str, whole: bool) -> None:  # noqa: FBT001 - a signal's
        self._writing = None
        if self.gone:
            return
        if whole:
            self._desk.messages.tell(done)
            self.accept()
        else:
            self.complain(
                "The list could not be written whole. Choose another place, or free some space, and try again."
            )
            self._enable()

    def _ask_book(self) -> None:
        due = self._due
        path = self._ask_path("xlsx", "Workbook (*.xlsx)") if due is not None else None
        if due is None or path is None:
            return
        self._book.setEnabled(False)
        self._desk.jobs.run(partial(_written, due, path), self._book_done, failed=self._failed)

    def _book_done(self, written: WrittenList) -> None:
        self._desk.messages.tell(f"The list is in {written.path}.")
        self.accept()

    def _failed(self, error: Exception) -> None:
        if isinstance(error, Refused | Unavailable) and not self.gone:
            self._enable()
            self.complain(str(error))
        else:
            self._desk.messages.failure(error)

    def _stop(self) -> None:
        self._gathering.set()
        if self._writing is not None:
            self._writing.stop()


def _written(due: DueList, path: Path, _register: Any) -> WrittenList:  # noqa: ANN401 - the register is not needed
    return write_due_list(due, path)

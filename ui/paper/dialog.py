"""Shows pages as they are printed, and writes or prints them: what all dialogs about paper have in common."""

from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from register.errors import Refused, Unavailable
from ui.asking.dialog import AROUND, Dialog
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Words, button
from ui.page import Desk
from ui.paper.printing import PAGE, Pages, PdfFile, Printing, full_page

WIDE: Final = 860
PREVIEW: Final = 540
"""How high a page of the preview is at most."""

REST: Final = 190
"""What the title and the buttons take of the dialog's height."""


class PaperDialog(Dialog):
    """The dialog. `thing` is what is printed, as a sentence begins with it; `verb` is "is" or "are".

    Whoever makes one of its kind names the file, and gives the pages once they are there.
    """

    def __init__(self, window: QWidget, desk: Desk, title: str, *, thing: str, verb: str = "is") -> None:
        super().__init__(window, title, wide=WIDE)
        self._desk, self._title, self._thing, self._verb = desk, title, thing, verb
        self._pages: Pages | None = None
        self._page = 0
        self._writing: Printing | PdfFile | None = None
        self._said = Words("", 13, 400, "ink2", wrap=True)
        self._earlier, self._later = button("Earlier", name="Earlier page"), button("Next", name="Next page")
        self._earlier.setShortcut("PgUp")
        self._later.setShortcut("PgDown")
        self._at = Words("", 12, 400, "ink3")
        self._print = button("Print…   Alt P")
        self._print.setShortcut("Alt+P")
        high = min(px(PREVIEW), window.height() - AROUND - px(REST))
        self._preview = Painted(self._draw, size=QSize(round(high * PAGE.width() / PAGE.height()), high))
        self._earlier.clicked.connect(partial(self._turn, -1))
        self._later.clicked.connect(partial(self._turn, 1))
        self._print.clicked.connect(self._ask_print)

    def lay_out(self, asked: list[QWidget], ways: list[QPushButton], hint: str) -> None:
        """Put what is asked beside the preview, and further ways to take the pages along above printing."""
        turn = QHBoxLayout()
        turn.setSpacing(8)
        for widget in (self._earlier, self._later):
            turn.addWidget(widget)
        turn.addWidget(self._at, 1)
        right = QVBoxLayout()
        right.setSpacing(16)
        for each in (*asked, self._said):
            right.addWidget(each)
        right.addLayout(turn)
        right.addStretch(1)
        for way in (*ways, self._print):
            right.addWidget(way)
        row = QHBoxLayout()
        row.setSpacing(24)
        row.addWidget(self._preview, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(right, 1)
        self.body.addLayout(row)
        self._pdf = self.answers(leave="Close", verb="Save as PDF…", key="Alt+S", deed=self._ask_pdf, hint=hint)

    def show_pages(self, pages: Pages | None) -> None:
        """Show pages from the first on; None where there are none to show."""
        self._pages, self._page = pages, 0
        self.enable()

    @property
    def free(self) -> bool:
        """Whether nothing is being written."""
        return not self.at_work

    def enable(self) -> None:
        """Let be done what can be done: everything needs pages, turning one needs one to turn to."""
        pages = self._pages
        for each in (self._pdf, self._print):
            each.setEnabled(pages is not None and self.free)
        count = pages.count if pages is not None else 0
        self._earlier.setEnabled(self._page > 0)
        self._later.setEnabled(self._page + 1 < count)
        self._at.say(f"Page {self._page + 1} of {count}" if count else "")
        said = f"Page {self._page + 1} of {count} as it is printed" if count else "No page to show"
        self._preview.setAccessibleName(said)
        self._preview.update()

    def file_name(self, ending: str) -> str:
        """Return the name that is offered for a file."""
        raise NotImplementedError

    def pdf_title(self) -> str:
        """Return the title that the PDF has inside."""
        raise NotImplementedError

    def ask_path(self, ending: str, kinds: str) -> Path | None:
        """Ask where a file is to be written; it gets the ending of its kind."""
        path = self._desk.messages.save_file(self._title, self.file_name(ending), kinds)
        if path is None or path.suffix.lower() == f".{ending}":
            return path
        return path.with_name(f"{path.name}.{ending}")

    def end(self, path: Path) -> None:
        """Say where the file is, and close."""
        self._desk.messages.tell(f"{self._thing} {self._verb} in {path}.")
        self.accept()

    def failed(self, error: Exception) -> None:
        """Say in the dialog why something could not be done."""
        if not self.refused(error):
            self._desk.messages.failure(error)
        elif not self.gone:
            self.enable()

    def _turn(self, way: int) -> None:
        self._page += way
        self.enable()

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        draw.box(painter, place, "#FFFFFF", colours().rule, 2)
        if self._pages is not None:
            painter.scale(place.width() / PAGE.width(), place.height() / PAGE.height())
            self._pages.draw(painter, self._page)

    def _ask_pdf(self) -> None:
        pages = self._pages
        path = self.ask_path("pdf", "PDF (*.pdf)") if pages is not None else None
        if pages is None or path is None:
            return
        try:
            self._follow(PdfFile(path, pages, self.pdf_title(), self), f"{self._thing} {self._verb} in {path}.")
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
            were = "was" if self._verb == "is" else "were"
            self._follow(printing, f"{self._thing} {were} sent to the printer.")
        else:
            self.complain("Nothing can be printed there. Choose another printer, or save it as a PDF.")

    def _follow(self, writing: Printing | PdfFile, done: str) -> None:
        self._writing = writing
        writing.page_done.connect(self._tell_page)
        writing.ended.connect(partial(self._ended, done))
        self.works(writing.stop)
        self.enable()

    def _tell_page(self, number: int) -> None:
        if self._pages is not None:
            self._said.say(f"Page {number} of {self._pages.count} is written.")

    def _ended(self, done: str, whole: bool) -> None:  # noqa: FBT001 - a signal's
        self._writing = None
        if whole:
            self._desk.messages.tell(done)
            self.accept()
        elif self.cancelled:
            self.failed(Unavailable(f"{self._thing} could not be written whole, because you cancelled it."))
        else:
            said = "could not be written whole. Choose another place, or free some space, and try again."
            self.failed(Unavailable(f"{self._thing} {said}"))

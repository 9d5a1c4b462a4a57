"""Writes pages into a PDF or prints them, from a dialog that has any: what it asks, says and lets be cancelled."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QWidget

from register.errors import Refused, Unavailable
from register.store.engine import Register
from ui.asking.dialog import Dialog
from ui.look.widgets import Words, button
from ui.messages import ask_where
from ui.page import Desk
from ui.paper.printing import Pages, PdfFile, Printing, ask_printer, full_page


class TakingDialog(Dialog):
    """A dialog whose pages can be taken along. `thing` is what is printed, as a sentence begins with it.

    `verb` is "is" or "are". Whoever makes one of its kind names the file, and gives the pages once they are there.
    """

    def __init__(
        self, window: QWidget, desk: Desk, title: str, *, thing: str, verb: str = "is", wide: int
    ) -> None:  # fmt: skip
        super().__init__(window, title, wide=wide)
        self._desk, self._title, self._thing, self._verb = desk, title, thing, verb
        self._pages: Pages | None = None
        self._writing: Printing | PdfFile | None = None
        self._said = Words("", 13, 400, "ink2", wrap=True)
        self._print = button("Print…   Alt P")
        self._print.setShortcut("Alt+P")
        self._print.clicked.connect(self._ask_print)

    def take_along(self, hint: str) -> None:
        """Put the buttons below."""
        self._pdf = self.answers(leave="Close", verb="Save as PDF…", key="Alt+S", deed=self._ask_pdf, hint=hint)

    def show_pages(self, pages: Pages | None) -> None:
        """Have other pages; None where there are none."""
        self._pages = pages
        self.enable()

    def enable(self) -> None:
        """Let be done what can be done: everything needs pages."""
        for each in (self._pdf, self._print):
            each.setEnabled(self._pages is not None and self.free)

    @property
    def free(self) -> bool:
        """Whether nothing is being written."""
        return not self.at_work

    def file_name(self, ending: str) -> str:
        """Return the name that is offered for a file."""
        raise NotImplementedError

    def pdf_title(self) -> str:
        """Return the title that the PDF has inside."""
        raise NotImplementedError

    def ask_path(self, ending: str, kinds: str) -> Path | None:
        """Ask where a file is to be written."""
        return ask_where(self._desk.messages, self._title, self.file_name(ending), kinds)

    def write_book(self, write: Callable[[Path], object]) -> None:
        """Ask where a workbook goes, and let `write` write it there, away from the window."""
        path = self.ask_path("xlsx", "Workbook (*.xlsx)")
        if path is None:
            return

        def work(_register: Register) -> Path:
            write(path)
            return path

        self.works(self._desk.jobs.run(work, self.end, failed=self.failed).set)
        self.enable()

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
        from PySide6.QtPrintSupport import QPrinter

        self._printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        full_page(self._printer)
        ask_printer(self._printer, self, self._print_now)

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
        if isinstance(writing, PdfFile):
            writing.refused.connect(self._not_put)
        self.works(writing.stop)
        self.enable()

    def _tell_page(self, number: int) -> None:
        if self._pages is not None:
            self._said.say(f"Page {number} of {self._pages.count} is written.")

    def _not_put(self, reason: Exception) -> None:
        self._writing = None
        self.failed(reason)

    def _ended(self, done: str, whole: bool) -> None:  # noqa: FBT001 - a signal's
        self._writing = None
        if whole:
            self._desk.messages.tell(done)
            self.accept()
        elif self.cancelled:
            said = "could not be written whole, because you cancelled it. Print or save it again."
            self.failed(Unavailable(f"{self._thing} {said}"))
        else:
            said = "could not be written whole. Choose another place, or free some space, and try again."
            self.failed(Unavailable(f"{self._thing} {said}"))

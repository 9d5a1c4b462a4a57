"""Asks which tags go on which labels, shows the pages as they are printed, and prints or writes them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QBoxLayout, QLineEdit, QVBoxLayout, QWidget

from register.domain.tag_stock import NoSuchPlace, Stock
from register.domain.tag_words import TagKind
from register.errors import Refused, Unavailable
from register.services.settings import SettingsRead, set_setting, settings
from register.services.tag_faces import Faces, tag_faces
from register.services.tag_stock import stocks
from ui.asking.dialog import AROUND, Dialog
from ui.asking.fields import Field, Picked, beside
from ui.look.typeface import px
from ui.look.widgets import Words, button
from ui.messages import ask_where
from ui.page import Desk
from ui.paper.printing import ask_printer
from ui.paper.turning import PageTurner
from ui.tags.preview import Preview
from ui.tags.printing import ACTUAL_SIZE, full_page, print_pages, write_pdf, write_test_page
from ui.tags.sheet import Sheets, laid_out
from ui.tags.words import KINDS, millimetres, reasons, refusals, tags_on_pages

WIDE: Final = 900
PREVIEW: Final = (380, 500)
"""How wide and high the preview is at most."""

REST: Final = 190
"""What the title and the buttons take of the dialog's height."""

PDF: Final = ""
"""The name under which the nudge of PDF files is kept, beside those of printers."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What the dialog needs from the register: the tags, and the settings about them."""

    faces: Faces
    settings: SettingsRead


class TagDialog(Dialog):
    """The dialog. It opens with what each item needs, on the firm's own labels."""

    def __init__(self, window: QWidget, desk: Desk, item_ids: Sequence[str]) -> None:
        super().__init__(window, "Print tags", wide=WIDE)
        self._desk, self._ids = desk, list(item_ids)
        self._faces: Faces | None = None
        self._sheets: Sheets | None = None
        self._settings: dict[str, Any] = {}
        self._round = 0
        self._build()
        self._gather()

    # --- how it looks ---

    def _build(self) -> None:
        self.kind, self.labels, self.target = Picked(KINDS), Picked(), Picked([(PDF, "A PDF file")])
        self.start, self.right, self.down = QLineEdit("1"), QLineEdit("0"), QLineEdit("0")
        self.start_field = Field("First free place", self.start, "1 is the first label of the first row.")
        self.right_field, self.down_field = Field("Nudge right, mm", self.right), Field("Nudge down, mm", self.down)
        self._said, self._lacking = Words("", 13, 500, wrap=True), Words("", 12, 400, "overdue", wrap=True)
        self._why_title = Words("What stands on it, and what asks for it", 13, 600)
        self._why = Words("", 12, 400, "ink2", wrap=True)
        self._turner = PageTurner()
        self._test = button("Test page…   Alt T")
        self._test.setShortcut("Alt+T")
        self._test.setToolTip("One page with a ruler and the outlines of the labels")
        self._preview = Preview(self._room())
        self._lay_out()
        self._done = self.answers(leave="Close", verb="Save as PDF…", key="Alt+S", deed=self._do, hint=ACTUAL_SIZE)
        self._offer_printers()
        self.kind.currentIndexChanged.connect(self._gather)
        self.target.currentIndexChanged.connect(self._show_target)
        self.labels.currentIndexChanged.connect(self._show_labels)
        for line in (self.start, self.right, self.down):
            line.textEdited.connect(self._arrange)
        self._turner.turned.connect(self._show_page)
        self._test.clicked.connect(self._ask_test_page)
        self.kind.setFocus()

    def _room(self) -> QSize:
        wide, high = PREVIEW
        return QSize(px(wide), min(px(high), self._host.height() - AROUND - px(REST)))

    def _lay_out(self) -> None:
        right = QVBoxLayout()
        right.setSpacing(12)
        for field in (Field("Tags", self.kind), Field("Labels", self.labels)):
            right.addWidget(field)
        right.addLayout(beside(Field("Goes to", self.target), self.start_field))
        right.addLayout(beside(self.right_field, self.down_field))
        right.addWidget(self._said)
        right.addWidget(self._lacking)
        right.addWidget(self._turner)
        right.addWidget(self._test, 0, Qt.AlignmentFlag.AlignLeft)
        right.addStretch(1)
        row = QBoxLayout(_way(wide=self.width() >= px(WIDE)))
        row.setSpacing(24)
        row.addWidget(self._preview, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(right, 1)
        self.body.addLayout(row)
        for each in (self._why_title, self._why):
            self.body.addWidget(each)

    def _offer_printers(self) -> None:
        from PySide6.QtPrintSupport import QPrinterInfo

        names = QPrinterInfo.availablePrinterNames()
        self.target.offer([(PDF, "A PDF file"), *((name, name) for name in names)])

    # --- what is on the pages ---

    def _gather(self) -> None:
        self._round += 1
        self._faces = self._sheets = None
        self._show_sheets()
        self._said.say("The tags are being gathered.")
        kind, ids, today = self.kind.chosen, self._ids, self._desk.jobs.today
        wanted = kind if isinstance(kind, TagKind) else None
        self._desk.jobs.ask(
            lambda at: Asked(tag_faces(at, ids, today, wanted), settings(at)),
            partial(self._take, self._round), failed=self._failed,
        )  # fmt: skip

    def _take(self, asked: int, found: Asked) -> None:
        if asked != self._round or self.gone:
            return
        first = not self._settings
        self._faces, self._settings = found.faces, found.settings.values
        if first:
            self.labels.offer([(each.id, each.title) for each in stocks(self._settings["tag_own_labels"])])
            self.labels.choose(self._settings["tag_stock"])
            self._show_target()
        self._show_labels()

    @property
    def stock(self) -> Stock:
        """The labels that are chosen."""
        return next(each for each in stocks(self._settings["tag_own_labels"]) if each.id == self.labels.chosen)

    def _show_labels(self) -> None:
        if self._settings:
            self.start_field.setVisible(not self.stock.a_roll)
            self._arrange()

    def _show_target(self) -> None:
        """Show the nudge that is kept for where the tags go."""
        target = str(self.target.chosen or PDF)
        right, down = (self._settings.get("tag_nudges") or {}).get(target, (0, 0))
        self.right.setText(f"{right:g}")
        self.down.setText(f"{down:g}")
        self._done.setText("Save as PDF…   Alt S" if target == PDF else "Print…   Alt S")
        self._done.setShortcut("Alt+S")
        if self._settings:
            self._arrange()

    def _arrange(self) -> None:
        """Put the tags on their labels, or say which field keeps them from it."""
        self._sheets = None
        faces = self._faces
        nudge, start = self._nudge(), self._start()
        self.complain("")
        self.start_field.complain(
            f"“{self.start.text()}” is no place on the sheet. Give a whole number from 1." if start is None else ""
        )
        if faces is not None and nudge is not None and start is not None:
            try:
                self._sheets = laid_out([each.face for each in faces.faces], self.stock, start=start, nudge=nudge)
            except Refused as why:
                self._say_refused(why)
            self._lacking.say(refusals(faces.refused), "overdue")
            self._lacking.setVisible(bool(faces.refused))
        self._show_sheets()

    def _say_refused(self, why: Refused) -> None:
        (self.start_field.complain if isinstance(why, NoSuchPlace) else self.complain)(str(why))

    def _start(self) -> int | None:
        """Return the first free place; None where what was typed is none."""
        said = self.start.text().strip()
        if self.stock.a_roll:
            return 1
        return int(said) if said.isascii() and said.isdecimal() and len(said) < len("1000000") else None

    def _nudge(self) -> tuple[float, float] | None:
        """Return by how much all labels are moved; None, said at its field, where that is no number."""
        found = [millimetres(line.text()) for line in (self.right, self.down)]
        for field, line, value in zip((self.right_field, self.down_field), (self.right, self.down), found, strict=True):
            field.complain("" if value is not None else f"“{line.text()}” is no number of mm, such as 0.5 or -1.")
        right, down = found
        return None if right is None or down is None else (right, down)

    def _show_sheets(self) -> None:
        """Show the pages from the first on; only where there are any, something can be printed."""
        sheets = self._sheets
        count = len(sheets.pages) if sheets is not None else 0
        self._turner.begin(count)
        self._done.setEnabled(count > 0)
        self._test.setEnabled(bool(self._settings))
        if sheets is not None:
            self._said.say(tags_on_pages(sheets) if count else "No item gets a tag.")
        self._show_page()

    def _show_page(self) -> None:
        """Show the page in front, and why its first tag says what it says."""
        sheets, page = self._sheets, self._turner.page
        self._why.say(reasons(sheets.pages[page][0][0]) if sheets is not None and sheets.pages else "")
        self._why_title.setVisible(bool(self._why.text()))
        self._preview.setAccessibleName(self._turner.said)
        if self._settings:
            self._preview.show_page(self.stock, sheets, page, self._start() or 1)

    # --- what becomes of them ---

    def _do(self) -> None:
        if self._sheets is None or not self._sheets.pages:
            return
        if self.target.chosen == PDF:
            self._ask_pdf(self._sheets)
        else:
            self._ask_print(self._sheets)

    def _ask_path(self, suggested: str) -> Path | None:
        return ask_where(self._desk.messages, "Print tags", suggested, "PDF (*.pdf)")

    def _ask_pdf(self, sheets: Sheets) -> None:
        path = self._ask_path(f"tags-{self._desk.jobs.today.isoformat()}.pdf")
        if path is None:
            return
        try:
            write_pdf(path, sheets, "Tags")
        except (Refused, Unavailable) as reason:
            self.complain(str(reason))
            return
        self._end(f"{tags_on_pages(sheets)} in {path}. {ACTUAL_SIZE}")

    def _ask_test_page(self) -> None:
        nudge = self._nudge()
        path = self._ask_path(f"test-page-{self.stock.id}.pdf") if nudge is not None else None
        if path is None or nudge is None:
            return
        try:
            write_test_page(path, self.stock, nudge)
        except (Refused, Unavailable) as reason:
            self.complain(str(reason))
        else:
            self._desk.messages.tell(f"The test page is in {path}. {ACTUAL_SIZE}")

    def _ask_print(self, sheets: Sheets) -> None:
        from PySide6.QtPrintSupport import QPrinter

        self._printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        self._printer.setPrinterName(str(self.target.chosen))
        full_page(self._printer, sheets.stock)
        ask_printer(self._printer, self, partial(self._print_now, sheets))

    def _print_now(self, sheets: Sheets) -> None:
        if print_pages(self._printer, sheets):
            self._end(f"{tags_on_pages(sheets)} sent to the printer.")
        else:
            self.complain("Nothing can be printed there. Choose another printer, or save the tags as a PDF.")

    def _end(self, said: str) -> None:
        """Keep the nudge of where the tags went, say what was done, and close."""
        nudge, target = self._nudge(), str(self.target.chosen)
        kept = dict(self._settings.get("tag_nudges") or {})
        if not self._desk.deeds.only_looking and nudge is not None and tuple(kept.get(target, (0, 0))) != nudge:
            kept[target] = list(nudge)
            self._desk.jobs.change(lambda change: set_setting(change, "tag_nudges", kept), _nothing)
        self._desk.messages.tell(said)
        self.accept()

    def _failed(self, error: Exception) -> None:
        if not self.refused(error):
            self._desk.messages.failure(error)


def _nothing(_answer: None) -> None:
    """Do nothing with the answer of a change that only keeps a setting."""


def _way(*, wide: bool) -> QBoxLayout.Direction:
    """Beside each other; in large type what is asked comes first, and the preview has its room below."""
    return QBoxLayout.Direction.LeftToRight if wide else QBoxLayout.Direction.BottomToTop

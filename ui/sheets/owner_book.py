"""Handing a report over to an owner: of which site, which tests and sheets; as a workbook, a PDF or both."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final, TypeAlias

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QTableWidgetItem, QWidget

from register.domain.words import counted
from register.errors import Refused, Unavailable
from register.exchange.workbook import write_owner_workbook
from register.exchange.workbook.handing import BookAsk, BookPreview, preview, report_asked
from register.exchange.workbook.told import Told, told, without_sheets
from register.services.finding import SiteChoice
from register.services.owners.all_sites import OwnerChoice
from register.services.owners.handed_over import Wishes, hand_over
from register.services.owners.rows import OwnerReport
from register.store.engine import Register
from register.store.sparing import sparing
from ui.asking.carrying_out import told_in, work_out
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, Picked, beside
from ui.asking.told import Told as ToldTable
from ui.look.tick import Tick
from ui.look.typeface import px
from ui.look.widgets import Words
from ui.messages import ask_where
from ui.page import Desk
from ui.paper.printing import PdfFile
from ui.sheets.cover_look import CoverLook
from ui.sheets.report_paper import ReportPages

MONTHS: Final = ((3, "The last 3 months"), (6, "The last 6 months"), (12, "The last 12 months"),
                 (24, "The last 24 months"), (0, "All that are kept"))  # fmt: skip
HEADS: Final = ("Take along", "Sheet", "Rows", "What is in it")
ALWAYS: Final = "Register"
"""The sheet that is never left out: the answers come back by it."""


Files: TypeAlias = dict[str, Path]
"""Where each form of the report goes: "xlsx" and "pdf", or one of them."""


@dataclass(frozen=True, slots=True)
class _Made:
    """What was made on the register's thread: the report for the history, and its words for paper, if wanted."""

    report: OwnerReport
    words: Told | None


class OwnerBookDialog(Dialog):
    """Shows what would be handed over, sheet by sheet, and writes it on Alt+S. What was chosen is kept per owner."""

    def __init__(
        self,
        window: QWidget,
        desk: Desk,
        sites: Sequence[SiteChoice],
        chosen: str = "",
        owners: Sequence[OwnerChoice] = (),
    ) -> None:
        super().__init__(window, "Write the owner workbook", wide=1160)
        self._desk = desk
        self._preview: BookPreview | None = None
        self._wished_for = ""
        self._left_out: frozenset[str] = frozenset()
        self._owners = frozenset(owner.id for owner in owners)
        self._codes = {site.id: site.code for site in sites}
        self._cover = CoverLook(window)
        self._lay_out(sites, owners, chosen, tall=220 if window.height() < px(800) else 420)
        self._write = self.answers(
            leave="Leave it", verb="Write…", key="Alt+S", deed=self._ask_where,
            hint="An earlier file of the same name is replaced only by a whole new one.",
        )  # fmt: skip
        for field in (self._site, self._months):
            field.currentIndexChanged.connect(self._gather)
        self._sheets.itemChanged.connect(self._ticked)
        self._gather()

    def _lay_out(self, sites: Sequence[SiteChoice], owners: Sequence[OwnerChoice], chosen: str, *, tall: int) -> None:
        self._site = Picked([
            *((site.id, f"{site.name} ({site.code})") for site in sites),
            *((owner.id, f"All sites of {owner.name}") for owner in owners),
        ])  # fmt: skip
        self._site.choose(chosen)
        self._months = Picked(MONTHS)
        self._months.choose(Wishes().months)
        self._said = Words("", 13, 400, "ink2", wrap=True)
        self._sheets = ToldTable("Sheets of the report", HEADS, (92, 130, 70), tall=tall)
        self._workbook, self._pdf = Tick("Workbook (.xlsx), to be answered"), Tick("PDF, to be read")
        self._workbook.setChecked(True)
        forms = QHBoxLayout()
        forms.setSpacing(24)
        for form in (self._workbook, self._pdf):
            forms.addWidget(form)
        forms.addStretch(1)
        self.body.addLayout(beside(Field("Site", self._site), Field("Tests and failures of", self._months)))
        self.body.addWidget(self._said)
        pages = QHBoxLayout()
        pages.setSpacing(24)
        pages.addWidget(self._sheets, 1)
        pages.addWidget(self._cover, 0, Qt.AlignmentFlag.AlignTop)
        self.body.addLayout(pages, 1)
        self.body.addLayout(forms)

    def _asked(self) -> BookAsk:
        chosen, months = str(self._site.chosen), self._months.chosen
        assert isinstance(months, int)
        return BookAsk(chosen, chosen in self._owners, months)

    def _gather(self) -> None:
        self._preview = None
        self._cover.show_cover(None)
        self._sheets.setEnabled(False)
        self._said.say("Counting…")
        ask, today = self._asked(), self._desk.jobs.today
        self.gathers(self._desk.jobs.ask(lambda connection: preview(connection, ask, today), self._show))

    def _show(self, found: BookPreview) -> None:
        """Show what would be in the book; of another owner first what was chosen for his last one."""
        if found.owner != self._wished_for:
            self._wished_for = found.owner
            self._left_out = frozenset(found.wishes.left_out)
            self._workbook.setChecked("xlsx" in found.wishes.forms)
            self._pdf.setChecked("pdf" in found.wishes.forms)
            if found.wishes.months != self._months.chosen:
                self._months.choose(found.wishes.months)  # which counts anew
                return
        self._preview = found
        self._fill_sheets(found)
        self._sheets.setEnabled(True)
        self._tell()
        self.fit()
        self._sheets.fit_rows()

    def _fill_sheets(self, found: BookPreview) -> None:
        self._sheets.blockSignals(True)  # noqa: FBT003 - Qt's own
        self._sheets.setRowCount(len(found.sheets))
        for row, sheet in enumerate(found.sheets):
            tick = QTableWidgetItem()
            taken = sheet.title not in self._left_out
            tick.setCheckState(Qt.CheckState.Checked if taken else Qt.CheckState.Unchecked)
            tick.setText("Yes" if taken else "No")
            if sheet.title == ALWAYS:
                tick.setFlags(tick.flags() & ~Qt.ItemFlag.ItemIsUserCheckable)
            count = QTableWidgetItem(f"{sheet.rows:,}")
            count.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            cells = (tick, QTableWidgetItem(sheet.title), count, QTableWidgetItem(sheet.about))
            for column, cell in enumerate(cells):
                cell.setToolTip(sheet.about)
                self._sheets.setItem(row, column, cell)
        self._sheets.blockSignals(False)  # noqa: FBT003 - Qt's own

    def _ticked(self, cell: QTableWidgetItem) -> None:
        self._sheets.blockSignals(True)  # noqa: FBT003 - Qt's own
        cell.setText("Yes" if cell.checkState() is Qt.CheckState.Checked else "No")
        self._sheets.blockSignals(False)  # noqa: FBT003 - Qt's own
        assert self._preview is not None, "sheets are ticked only where some are shown"
        self._left_out = frozenset(
            sheet.title for row, sheet in enumerate(self._preview.sheets) if not self._is_ticked(row)
        )
        self._tell()

    def _is_ticked(self, row: int) -> bool:
        cell = self._sheets.item(row, 0)
        return cell is not None and cell.checkState() is Qt.CheckState.Checked

    def _tell(self) -> None:
        found = self._preview
        assert found is not None, "it is told only when it is known"
        taken = [sheet for sheet in found.sheets if sheet.title not in self._left_out]
        self._said.say(
            f"For {found.owner}, as at today: {counted(len(taken), 'sheet')}"
            f" with {counted(sum(sheet.rows for sheet in taken), 'row')},"
            " after a cover that counts them."
        )
        self._cover.show_cover(without_sheets(found.cover, self._left_out))

    def _forms(self) -> tuple[str, ...]:
        ticked = (("xlsx", self._workbook), ("pdf", self._pdf))
        return tuple(form for form, box in ticked if box.isChecked())

    def _ask_where(self) -> None:
        found, forms = self._preview, self._forms()
        if found is None:
            self.complain("The report is still being counted. Try again in a moment.")
            return
        if not forms:
            self.complain("Tick the workbook, the PDF or both, so that there is something to write.")
            return
        kinds = "Workbook (*.xlsx)" if forms[0] == "xlsx" else "PDF (*.pdf)"
        first, *more = forms
        beside = [f".{form}" for form in more]
        path = ask_where(self._desk.messages, "Write the owner workbook", f"{found.name}.{first}", kinds, beside=beside)
        if path is not None:
            self._make({first: path} | {form: path.with_suffix(f".{form}") for form in more})

    def _make(self, files: Files) -> None:
        ask, today, without = self._asked(), self._desk.jobs.today, self._left_out

        def work(register: Register) -> _Made:
            with register.read() as connection, sparing(connection):
                report = report_asked(connection, ask, today)
                words = told(report, without) if "pdf" in files else None
                if "xlsx" in files:
                    write_owner_workbook(report, files["xlsx"], without=without)
            return _Made(report, words)

        work_out(self._desk, self, work, partial(self._put_on_paper, files))

    def _put_on_paper(self, files: Files, made: _Made) -> None:
        if made.words is None:
            self._keep(files, made)
            return
        try:
            title = f"Register of safety switches and appliances, {made.words.site}"
            writing = PdfFile(files["pdf"], ReportPages(made.words), title, self)
        except (Refused, Unavailable) as reason:
            told_in(self._desk, self)(reason)
            return
        writing.page_done.connect(lambda number: self._said.say(f"Page {number} is written."))
        writing.ended.connect(partial(self._on_paper, files, made))
        writing.refused.connect(told_in(self._desk, self))
        self.works(writing.stop)

    def _on_paper(self, files: Files, made: _Made, whole: bool) -> None:  # noqa: FBT001 - a signal's
        if whole:
            self._keep(files, made)
            return
        if self.cancelled:
            why = Unavailable("The PDF could not be written whole, because you cancelled it. Write it again.")
        else:
            why = Unavailable("The PDF could not be written whole. Choose another place, or try again.")
        told_in(self._desk, self)(why)

    def _keep(self, files: Files, made: _Made) -> None:
        """Note in the history what was handed over, where the register may be changed."""
        said = " and ".join(str(path) for path in files.values())
        jobs, report = self._desk.jobs, made.report
        if jobs.only_looking:
            self._done(said)
            return
        ask = self._asked()
        wishes = Wishes(self._codes.get(ask.id, ""), ask.months, tuple(sorted(self._left_out)), tuple(files))
        jobs.change(
            lambda change: hand_over(change, report, wishes),
            lambda _none: self._done(said),
            failed=partial(self._not_noted, said),
        )

    def _not_noted(self, said: str, error: Exception) -> None:
        """Whoever may not change the register gets his files all the same."""
        if isinstance(error, Refused):
            self._done(said)
        else:
            told_in(self._desk, self)(error)

    def _done(self, said: str) -> None:
        self._desk.messages.tell(f"The owner's report is in {said}.")
        self.accept()

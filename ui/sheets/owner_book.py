"""Writing the owner workbook of a site: which site, what will stand in it, and where it goes."""

import re
import unicodedata
from collections.abc import Sequence

from PySide6.QtWidgets import QWidget

from register.domain.words import Standing
from register.exchange.workbook import WrittenWorkbook, write_owner_workbook
from register.services.finding import SiteChoice
from register.services.owner_report import owner_report
from register.services.owner_reports import OwnerChoice, report_on_all
from register.services.report_rows import OwnerReport
from ui.asking.dialog import Dialog
from ui.asking.fields import Field
from ui.look.widgets import PickBox, Words
from ui.page import Desk


class OwnerBookDialog(Dialog):
    """Shows what would stand in a site's workbook, and writes it on Alt+S."""

    def __init__(
        self,
        window: QWidget,
        desk: Desk,
        sites: Sequence[SiteChoice],
        chosen: str = "",
        owners: Sequence[OwnerChoice] = (),
    ) -> None:
        super().__init__(window, "Write the owner workbook")
        self._desk = desk
        self._report: OwnerReport | None = None
        self._site = PickBox()
        for site in sites:
            self._site.addItem(f"{site.name} ({site.code})", site.id)
        self._owners = frozenset(owner.id for owner in owners)
        for owner in owners:
            self._site.addItem(f"All sites of {owner.name}", owner.id)
        self._site.setCurrentIndex(max(0, self._site.findData(chosen)))
        self._said = Words("", 13, 400, "ink2", wrap=True)
        self.body.addWidget(Field("Site", self._site))
        self.body.addWidget(self._said)
        self._write = self.answers(
            leave="Leave it", verb="Write…", key="Alt+S", deed=self._ask_where,
            hint="An earlier workbook of the same name is replaced only by a whole new one.",
        )  # fmt: skip
        self._site.currentIndexChanged.connect(self._gather)
        self._gather()

    def _gather(self) -> None:
        self._report = None
        site, today = self._site.currentData(), self._desk.jobs.today
        report = report_on_all if site in self._owners else owner_report
        self.gathers(self._desk.jobs.ask(lambda connection: report(connection, site, today), self._show))

    def _show(self, report: OwnerReport) -> None:
        self._report = report
        overdue = sum(row.item.standing is Standing.OVERDUE for row in report.items)
        self._said.say(
            f"For {report.owner}, as at today: {len(report.items):,} items, {overdue:,} of them overdue;"
            f" {len(report.due):,} duties due within a quarter, {len(report.withdrawn):,} items withdrawn,"
            f" {len(report.records):,} tests of the last year, and his own duties."
        )
        self.fit()

    def _ask_where(self) -> None:
        report = self._report
        if report is None:
            self.complain("The workbook is still being gathered. Try again in a moment.")
            return
        suggested = f"{_file_word(report.site.code or report.owner)}-{report.as_at.isoformat()}.xlsx"
        path = self._desk.messages.save_file("Write the owner workbook", suggested, "Workbook (*.xlsx)")
        if path is None:
            return
        target = path if path.suffix.lower() == ".xlsx" else path.with_name(f"{path.name}.xlsx")
        self.works(
            self._desk.jobs.run(
                lambda _register: write_owner_workbook(report, target), self._done, failed=self._failed
            ).set
        )

    def _done(self, written: WrittenWorkbook) -> None:
        self._desk.messages.tell(f"The owner workbook is in {written.path}.")
        self.accept()

    def _failed(self, error: Exception) -> None:
        if not self.refused(error):
            self._desk.messages.failure(error)


def _file_word(name: str) -> str:
    """Return a name as it can stand in a file's name on any computer and in any mail."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub("[^a-z0-9]+", "-", plain).strip("-") or "register"

"""Writing the owner workbook of a site: which site, what will stand in it, and where it goes."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtWidgets import QWidget

from register.domain.words import Standing
from register.exchange.workbook import WrittenWorkbook, write_owner_workbook
from register.services.finding import SiteChoice
from register.services.owner_report import owner_report
from register.services.owner_reports import OwnerChoice, report_on_all
from register.services.report_rows import OwnerReport
from register.store.engine import Register
from ui.asking.dialog import Dialog
from ui.asking.fields import Field
from ui.look.widgets import PickBox, Words
from ui.page import Desk


@dataclass(frozen=True, slots=True)
class _Summary:
    """What will stand in a workbook, in a sentence, and what its file is named after."""

    name: str
    said: str


def _summed_up(report: OwnerReport) -> _Summary:
    standings = report.figures.standings
    return _Summary(
        report.site.code or report.owner,
        f"For {report.owner}, as at today: {sum(standings.values()):,} items,"
        f" {standings.get(Standing.OVERDUE, 0):,} of them overdue,"
        f" {standings.get(Standing.WITHDRAWN, 0):,} withdrawn.",
    )


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
        self._summary: _Summary | None = None
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
        self._summary = None
        site, today = self._site.currentData(), self._desk.jobs.today
        report = report_on_all if site in self._owners else owner_report
        self.gathers(self._desk.jobs.ask(lambda connection: _summed_up(report(connection, site, today)), self._show))

    def _show(self, summary: _Summary) -> None:
        self._summary = summary
        self._said.say(summary.said)
        self.fit()

    def _ask_where(self) -> None:
        if self._summary is None:
            self.complain("The workbook is still being gathered. Try again in a moment.")
            return
        site, today = self._site.currentData(), self._desk.jobs.today
        suggested = f"{_file_word(self._summary.name)}-{today.isoformat()}.xlsx"
        path = self._desk.messages.save_file("Write the owner workbook", suggested, "Workbook (*.xlsx)")
        if path is None:
            return
        target = path if path.suffix.lower() == ".xlsx" else path.with_name(f"{path.name}.xlsx")
        report = report_on_all if site in self._owners else owner_report

        def work(register: Register) -> WrittenWorkbook:
            with register.read() as connection:
                return write_owner_workbook(report(connection, site, today), target)

        self.works(self._desk.jobs.run(work, self._done, failed=self._failed).set)

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

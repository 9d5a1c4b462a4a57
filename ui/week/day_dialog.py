"""Shows the day sheets of a week as they are printed, and writes them: as a PDF, on paper, or as a workbook."""

from dataclasses import replace
from functools import partial

from PySide6.QtWidgets import QWidget

from register.domain.words import counted
from register.exchange.week.day_sheet import write_day_sheets
from register.planning.week_rows import PlannedWeek
from register.services.week.day_sheets import DayLine, DaySheets, day_sheets
from register.services.week.plan import week_code
from ui.asking.fields import Field, Picked
from ui.dates import shown_with_weekday
from ui.look.widgets import button
from ui.page import Desk
from ui.paper.dialog import PaperDialog
from ui.week.day_paper import laid_out, week_title


class DayDialog(PaperDialog):
    """The dialog. It begins with the sheets of all vans and days."""

    def __init__(self, window: QWidget, desk: Desk, week: PlannedWeek) -> None:
        super().__init__(window, desk, "Day sheets", thing="The day sheets", verb="are")
        self._week = week
        self._sheets: DaySheets | None = None
        self._which = Picked([(None, "All vans and days")])
        self._book = button("Save as a workbook…   Alt B", hint="The whole week")
        self._book.setShortcut("Alt+B")
        self.lay_out(
            [Field("For", self._which)], [self._book], "Local codes and licensed practice decide how a test is made."
        )
        self._which.currentIndexChanged.connect(self._choose)
        self._book.clicked.connect(self._ask_book)
        self.show_pages(None)
        self._said.say("The day sheets are being gathered.")
        self.gathers(desk.jobs.ask(partial(day_sheets, week=week), self._take, failed=self.failed))

    def _take(self, sheets: DaySheets) -> None:
        self._sheets = sheets
        days = [(day, f"{day.van}, {shown_with_weekday(day.day)}") for day in sheets.days]
        self._which.offer([(None, "All vans and days"), *days])
        self._choose()

    def _choose(self) -> None:
        if self._sheets is None:
            return
        day = self._which.chosen
        sheets = replace(self._sheets, days=(day,)) if isinstance(day, DayLine) else self._sheets
        pages = laid_out(sheets)
        stops = sum(line.stops for line in sheets.days)
        self._said.say(
            f"{counted(stops, 'stop')} on {counted(pages.count, 'page')}, a sheet for each van and day."
            if stops else "No visits are planned this week, so there is nothing to hand out."
        )  # fmt: skip
        self.show_pages(pages)

    def enable(self) -> None:
        """A workbook is of the whole week."""
        super().enable()
        self._book.setEnabled(self._sheets is not None and self.free)

    def file_name(self, ending: str) -> str:
        """Name the file after the week, and the van and day that were chosen."""
        day, code = self._which.chosen, week_code(self._week.draft.asked.monday)
        if isinstance(day, DayLine) and ending == "pdf":
            return f"day-sheet-{day.day.isoformat()}.{ending}"
        return f"day-sheets-{code}.{ending}"

    def pdf_title(self) -> str:
        """Say of which week they are."""
        return week_title(self._week.draft.asked.monday)

    def _ask_book(self) -> None:
        if self._sheets is not None:
            self.write_book(partial(write_day_sheets, self._sheets))

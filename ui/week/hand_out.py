"""What a tester takes along for a week, as files: day sheets, a calendar, the routes."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QWidget

from register.domain.words import counted
from register.exchange.files import write_out
from register.exchange.week.calendar import calendar_of
from register.exchange.week.route_files import Written, geojson_of, gpx_of
from register.planning.week_rows import PlannedWeek
from register.services.week.day_sheets import site_addresses
from register.services.week.kept import week_visits
from register.services.week.plan import week_code
from register.store.engine import Register
from ui.messages import ask_where
from ui.page import Desk
from ui.week.day_dialog import DayDialog


class HandOut:
    """Writes the files of the week that is shown, which `week` gives."""

    def __init__(self, page: QWidget, desk: Desk, week: Callable[[], PlannedWeek | None]) -> None:
        self._page, self._desk, self._week = page, desk, week

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do."""
        return {
            "week.sheets": self._sheets, "week.calendar": self._calendar,
            "week.gpx": partial(self._routes, "GPX", "gpx", gpx_of),
            "week.geojson": partial(self._routes, "GeoJSON", "geojson", geojson_of),
        }  # fmt: skip

    def _place(self, week: PlannedWeek, title: str, kind: str, ending: str) -> Path | None:
        name = f"{week_code(week.draft.asked.monday)}.{ending}"
        return ask_where(self._desk.messages, title, name, f"{kind} (*.{ending})")

    def _sheets(self) -> None:
        week = self._week()
        if week is not None:
            DayDialog(self._page.window(), self._desk, week).open()

    def _calendar(self) -> None:
        week = self._week()
        if week is None or (path := self._place(week, "Write a calendar", "Calendar", "ics")) is None:
            return
        at = self._desk.jobs.now()

        def write(register: Register) -> str:
            with register.read() as connection:
                visits, addresses = week_visits(connection, week.draft.asked.monday), site_addresses(connection)
            write_out(path, calendar_of(visits, addresses, at=at))
            return f"{path.name}: {counted(len(visits), 'visit')}."

        self._run(write, "Writing the calendar")

    def _routes(self, kind: str, ending: str, made: Callable[[PlannedWeek], Written]) -> None:
        week = self._week()
        if week is None or (path := self._place(week, f"Write the routes as {kind}", kind, ending)) is None:
            return

        def write(_register: Register) -> str:
            written = made(week)
            write_out(path, written.content)
            lacks = f" It lacks {', '.join(written.left_out)}: nobody gave their coordinates."
            return f"{path.name} is written.{lacks if written.left_out else ''}"

        self._run(write, f"Writing the routes as {kind}")

    def _run(self, write: Callable[[Register], str], said: str) -> None:
        self._desk.jobs.run(write, self._desk.messages.tell, said=said)

"""The day sheets of a week as a PDF without a window: `python3 -m ui --write day-sheets`."""

from datetime import date
from pathlib import Path

from register.domain.words import counted
from register.services.week.day_sheets import day_sheets
from register.services.week.plan import WeekAsk, coming_week, kept_week, plan_week, week_code, week_from
from register.store.engine import open_register
from ui.paper.printing import write_pdf
from ui.week.day_paper import laid_out, week_title


def write_day_pages(path: Path, today: date, week: str, out: Path) -> str:
    """Write the sheets of a week, such as 2026-W49, as it was kept or else as it is planned; say what was written."""
    from ui.window import application

    monday = week_from(week) if week else coming_week(today)
    register = open_register(path)
    try:
        with register.read() as connection:
            kept = kept_week(connection, today, monday)
            found = kept or plan_week(connection, today, WeekAsk(monday))
            sheets = day_sheets(connection, found)
    finally:
        register.close()
    application()
    pages = laid_out(sheets)
    write_pdf(out, pages, week_title(monday))
    how = "as it was kept" if kept else "as it is planned now; it is not kept"
    size = f"{counted(len(sheets.days), 'sheet')}, {counted(pages.count, 'page')}"
    return f"Day sheets of {week_code(monday)}, {how}: {size} in {out}."

"""Handing over: whose report, of which tests, which sheets; what would be in it, and the name of its file."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from dateutil.relativedelta import relativedelta
from sqlalchemy.engine import Connection

from register.exchange.files import file_word
from register.exchange.workbook.owner_workbook import describe
from register.exchange.workbook.told import Told, cover_told
from register.services.owners.all_sites import report_on_all
from register.services.owners.handed_over import Wishes, last_wishes
from register.services.owners.report import owner_report
from register.services.owners.rows import OwnerReport, Period
from register.stopping import step_by_step

_EVER: Final = date(1900, 1, 1)


@dataclass(frozen=True, slots=True)
class BookAsk:
    """Whose report: a site's, or all of an owner's; `months` back go its tests, 0 for all that are kept."""

    id: str
    whole_owner: bool = False
    months: int = 12


@dataclass(frozen=True, slots=True)
class SheetCount:
    """One sheet that a book would have, and how many rows."""

    title: str
    about: str
    rows: int


@dataclass(frozen=True, slots=True)
class BookPreview:
    """What a book would hold, its cover with every sheet first; `name` is its file's, without the ending."""

    owner: str
    name: str
    sheets: tuple[SheetCount, ...]
    wishes: Wishes
    cover: Told


def report_asked(connection: Connection, ask: BookAsk, today: date) -> OwnerReport:
    """Return the report that is asked for; it is good as long as the connection is open."""
    period = Period(today - relativedelta(months=ask.months) if ask.months else _EVER, today)
    make = report_on_all if ask.whole_owner else owner_report
    return make(connection, ask.id, today, period)


def preview(connection: Connection, ask: BookAsk, today: date) -> BookPreview:
    """Return what would be in a book, and what was chosen for the owner's last one."""
    report = report_asked(connection, ask, today)
    described = describe(report)
    sheets = tuple(
        SheetCount(sheet.title, sheet.about, sum(1 for _ in step_by_step(sheet.rows))) for sheet in described
    )
    cover = cover_told(report, described, {sheet.title: sheet.rows for sheet in sheets})
    named = file_word(report.owner if ask.whole_owner else f"{report.site.code} {report.site.name}")
    wishes = last_wishes(connection, report.owner_id)
    return BookPreview(report.owner, f"{named}-{today.isoformat()}", sheets, wishes, cover)

"""The sheets about items: the register, what is due, what is withdrawn, what the user has to do, what he asked."""

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from typing import Final

from register.domain.explain import day_words, short_day
from register.domain.weeks import monday_of
from register.domain.words import Duty, Standing
from register.exchange.workbook.answers import answer_columns, mark_column
from register.exchange.workbook.columns import STANDING, TAG, Column, HasItem, Row, Sheet
from register.exchange.workbook.looks import ACCENT, TONES, CellKind
from register.exchange.workbook.wording import (
    IN_TIME,
    LATE,
    against_limit,
    capital,
    interval_words,
    item_words,
    own_duty_words,
    rating_words,
    standing_word,
    word,
)
from register.services.owners.rows import (
    AskedRow,
    DueRow,
    OwnDutyRow,
    OwnerReport,
    RegisterRow,
    Streamed,
    WithdrawnRow,
)

REGISTER: Final = "Register"
THIS_DUTY: Final = "This duty"
TICKED_WEEKS: Final = 13


def picked(rows: Iterable[Row], wanted: Callable[[Row], bool]) -> Iterable[Row]:
    """Return those rows that are wanted, chosen anew whenever they are gone through."""
    return Streamed(lambda: (row for row in rows if wanted(row)))


def key_columns(name_width: float = 23) -> tuple[Column[HasItem], ...]:
    """Return the columns with which every row begins: where the item stands, its tag, and what it is."""
    return (
        Column(STANDING, 11, CellKind.STANDING, lambda row: standing_word(row.item.standing)),
        Column(TAG, 11.5, CellKind.CODE, lambda row: row.item.tag),
        Column("Item", name_width, CellKind.TEXT, lambda row: item_words(row.item)),
    )


def area_column(width: float = 13) -> Column[HasItem]:
    """Return the column that says in which area the item is, after its site where the book is of several."""
    return Column("Area", width, CellKind.TEXT, lambda row: ", ".join(filter(None, [row.item.site, row.item.area])))


def register_sheet(report: OwnerReport) -> Sheet[RegisterRow]:
    """Return the sheet of all items, with one date column for each contractor's duty that any of them has."""
    return Sheet(
        title=REGISTER,
        table="RegisterItems",
        about="Every item: what it is, where it is, how it stands and when it falls due.",
        empty="No items are kept for this site yet.",
        colour=ACCENT,
        columns=(
            *key_columns(),
            Column("Kind", 18, CellKind.TEXT, lambda row: word(row.item.kind)),
            area_column(),
            Column("Environment class", 19.5, CellKind.TEXT, lambda row: row.environment),
            Column("Next due", 12.5, CellKind.DATE, lambda row: row.next_due),
            *(_duty_date(duty) for duty in report.duties),
            Column("Serial number", 12, CellKind.CODE, lambda row: row.serial),
            Column("Rating", 16, CellKind.TEXT, rating_words),
            Column("Earlier tags", 11.5, CellKind.CODE, lambda row: ", ".join(row.earlier_tags)),
            Column("Remarks", 22, CellKind.PROSE, lambda row: row.remarks),
            *answer_columns(),
        ),
        rows=report.items,
    )


def _duty_date(duty: Duty) -> Column[RegisterRow]:
    def due(row: RegisterRow) -> date | None:
        return next((each.due for each in row.duties if each.duty is duty), None)

    return Column(f"{word(duty)} due", 13, CellKind.DATE, due)


def overdue_sheet(report: OwnerReport) -> Sheet[DueRow]:
    """Return the sheet of the contractor's duties that are overdue or were never done, one row each."""
    return Sheet(
        title="Overdue",
        table="OverdueDuties",
        about="What is overdue or was never tested, and why each date is what it is. None of it may be used.",
        empty="Nothing is overdue.",
        colour=TONES[standing_word(Standing.OVERDUE)].fill,
        columns=_due_columns(report.as_at),
        rows=picked(report.due, lambda row: not _ahead(row, report.as_at)),
    )


def ahead_sheet(report: OwnerReport) -> Sheet[DueRow]:
    """Return the sheet of the contractor's duties that fall due in the weeks looked ahead, one row each."""
    return Sheet(
        title="Next 13 weeks",
        table="DutiesAhead",
        about=f"What falls due up to {day_words(report.looks_ahead_to)}, and why each date is what it is.",
        empty="Nothing falls due in the next 13 weeks.",
        colour=TONES[standing_word(Standing.DUE_SOON)].fill,
        columns=_due_columns(report.as_at),
        rows=picked(report.due, lambda row: _ahead(row, report.as_at)),
    )


def _ahead(row: DueRow, as_at: date) -> bool:
    return row.due is not None and row.due >= as_at


def _due_columns(as_at: date) -> tuple[Column[DueRow], ...]:
    _, tag, item = key_columns()
    return (
        Column(STANDING, 11, CellKind.STANDING, lambda row: standing_word(_shown(row))),
        tag,
        item,
        area_column(),
        Column("Duty", 16.5, CellKind.TEXT, lambda row: word(row.duty)),
        Column("Last done", 12.5, CellKind.DATE, lambda row: row.last_done),
        Column("Interval", 11, CellKind.TEXT, lambda row: interval_words(row.interval)),
        Column("Due", 12.5, CellKind.DATE, lambda row: row.due),
        _days_left(as_at),
        Column("Why this date", 34, CellKind.PROSE, _why_this_date),
        Column("Where the rule stands", 44, CellKind.PROSE, _rule),
        mark_column(),
    )


def _shown(row: DueRow) -> Standing:
    """Return the standing that the reader must see first: a withdrawn item is out of service whatever is due."""
    return row.item.standing if row.item.standing is Standing.WITHDRAWN else row.standing


def _days_left(as_at: date) -> Column[DueRow | OwnDutyRow]:
    def days(row: DueRow | OwnDutyRow) -> int | None:
        return (row.due - as_at).days if row.due is not None else None

    return Column("Days left or over", 11, CellKind.DAYS_LEFT, days)


def _why_this_date(row: DueRow) -> str:
    return " ".join(row.why[: _about_rule(row)])


def _rule(row: DueRow) -> str:
    return " ".join(row.why[_about_rule(row) :]) or row.source


def _about_rule(row: DueRow) -> int:
    """Return which sentence is the first about the rule; one past the last where none is."""
    told = (index for index, sentence in enumerate(row.why) if row.source and row.source in sentence)
    return next(told, len(row.why))


def withdrawn_sheet(report: OwnerReport) -> Sheet[WithdrawnRow]:
    """Return the sheet of items out of service, each with the reading that failed it and its limit."""
    return Sheet(
        title="Withdrawn",
        table="WithdrawnItems",
        about="What is out of service, since when and why, and what brings it back. None of it may be used.",
        empty="Nothing is withdrawn.",
        colour=TONES[standing_word(Standing.WITHDRAWN)].fill,
        columns=(
            *key_columns(),
            area_column(),
            Column("Out since", 12.5, CellKind.DATE, lambda row: row.since),
            Column("Days out", 7.5, CellKind.COUNT, lambda row: (report.as_at - row.since).days),
            Column("Reason", 10, CellKind.TEXT, lambda row: word(row.reason)),
            Column("Why", 32, CellKind.PROSE, lambda row: row.why),
            Column("Reading and limit", 30, CellKind.PROSE, lambda row: "\n".join(map(against_limit, row.failing))),
            Column("Out-of-service tag", 11, CellKind.CODE, lambda row: row.tag_number),
            Column("Waiting for", 16, CellKind.TEXT, lambda row: row.waiting_for),
            Column("What ends it", 24, CellKind.PROSE, lambda row: row.ends),
            mark_column(),
        ),
        rows=report.withdrawn,
    )


def own_duties_sheet(report: OwnerReport) -> Sheet[OwnDutyRow]:
    """Return the sheet of what the users of the items have to do themselves."""
    return Sheet(
        title="Your duties",
        table="OwnDuties",
        about="What you and the users of the items have to do yourselves: test buttons to press, looks before use.",
        empty="The rules in force ask nothing of the users of these items.",
        colour=ACCENT,
        columns=(
            *key_columns(24),
            area_column(14),
            Column("What to do", 42, CellKind.PROSE, lambda row: own_duty_words(row.duty)),
            Column("How often", 22, CellKind.TEXT, lambda row: capital(row.every)),
            Column("Last told us", 13, CellKind.DATE, lambda row: row.last_done),
            Column("Next due", 12.5, CellKind.DATE, lambda row: row.due),
            _days_left(report.as_at),
            Column(THIS_DUTY, 11.5, CellKind.STANDING, lambda row: _in_time(row, report.as_at)),
            Column("Where the rule stands", 26, CellKind.PROSE, lambda row: row.source),
            mark_column(),
        ),
        rows=report.own_duties,
        marked=THIS_DUTY,
        mark=LATE,
    )


def _in_time(row: OwnDutyRow, as_at: date) -> str:
    """Say whether a duty of the user is late; what is out of service has not to be tried."""
    if row.item.standing is Standing.WITHDRAWN:
        return "Not in use"
    if row.due is None:
        return "Not by date"
    return LATE if row.due < as_at else IN_TIME


def tick_sheet(report: OwnerReport) -> Sheet[OwnDutyRow]:
    """Return the sheet to print and hang up: each test button to press, with a box for each week ahead."""
    _, tag, item = key_columns(26)
    first = monday_of(report.as_at)
    return Sheet(
        title="Tick sheet",
        table="TickSheet",
        about="To print and hang up: a box a week for each test button. Write in it the day you pressed, or a tick.",
        empty="No test buttons are to be pressed.",
        colour=ACCENT,
        columns=(
            tag,
            item,
            area_column(16),
            Column("How often", 20, CellKind.TEXT, lambda row: capital(row.every)),
            *(_box(first + timedelta(weeks=week)) for week in range(TICKED_WEEKS)),
        ),
        rows=picked(report.own_duties, lambda row: row.duty is Duty.BUTTON_PRESS),
        marked="",
        held=1,
    )


def _box(monday: date) -> Column[OwnDutyRow]:
    return Column(short_day(monday), 7.5, CellKind.BOX, lambda _row: None)


def queries_sheet(report: OwnerReport) -> Sheet[AskedRow]:
    """Return the sheet of what the owner asked, open or answered."""
    return Sheet(
        title="Your queries",
        table="OwnQueries",
        about="What you asked or told us about an item, and what we answered. An open one has no answer yet.",
        empty="You have asked nothing, and nothing waits for an answer.",
        colour=ACCENT,
        columns=(
            *key_columns(),
            area_column(),
            Column("Asked on", 12.5, CellKind.DATE, lambda row: row.asked_on),
            Column("Asked by", 20, CellKind.TEXT, lambda row: row.asked_by),
            Column("Query", 44, CellKind.PROSE, lambda row: row.text),
            Column("Answered on", 12.5, CellKind.DATE, lambda row: row.answered_on),
            Column("Answer", 44, CellKind.PROSE, lambda row: row.answer or "Open"),
            mark_column(),
        ),
        rows=report.queries,
    )

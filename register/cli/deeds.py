"""The commands that change a register: record, withdraw, remove, done; and export, which writes a workbook."""

from datetime import date
from pathlib import Path
from typing import Any

from register.cli.context import Context, read_document
from register.cli.output import cell, notice, print_json
from register.cli.questions import print_judgement
from register.domain.explain import day_words
from register.domain.words import Duty, WithdrawalReason, spoken
from register.errors import Refused, Unavailable
from register.exchange.picture_file import read_picture
from register.exchange.records_json import judgement_json, read_records
from register.services.items import find_item
from register.services.marks import mark_done
from register.services.owners.all_sites import report_on_all
from register.services.owners.handed_over import hand_over, last_wishes
from register.services.owners.report import LOOK_BACK, owner_report
from register.services.owners.rows import OwnerReport, Period
from register.services.places import known_owner, known_site
from register.services.recording import Recorded, record_tests
from register.services.withdrawals.deeds import remove as remove_item
from register.services.withdrawals.deeds import withdraw as withdraw_item
from register.store.engine import Register
from register.store.sparing import sparing


def record(call: Context) -> None:
    """Take in test records in JSON; all or none."""
    entries = read_records(read_document(call.options.file), today=call.today)
    with call.register() as register, call.change(register) as change:
        results = record_tests(change, entries)
    if call.json:
        print_json([recorded_json(each) for each in results])
        return
    for each in results:
        print_recorded(each)
    if not results:
        print("The list is empty: nothing was recorded.")


def recorded_json(each: Recorded) -> dict[str, Any]:
    """Return what became of a record as it is printed in JSON."""
    judged = judgement_json(each.judgement) if each.judgement is not None else {}
    return {
        "id": each.id, "tag": each.tag, "known": each.known, **judged,
        "dates": {duty.value: due for duty, due in each.dates}, "withdrawn": each.withdrawn,
        "returned": each.returned, "still_needed": each.still_needed,
        "warnings": each.warnings,
    }  # fmt: skip


def print_recorded(each: Recorded) -> None:
    """Print what became of a record."""
    if each.known:
        print(f"{each.tag}: in the register already, nothing was changed. The command correct puts a wrong one right.")
        return
    print(each.tag, end=": ")
    if each.judgement is not None:
        print_judgement(each.judgement)
    dates = ", ".join(f"{spoken(duty)} {cell(due) if due else 'before use'}" for duty, due in each.dates)
    print(f"  next due: {dates or 'nothing'}")
    for warning in each.warnings:
        print(f"  warning: {warning}")
    if each.withdrawn:
        print(
            f"  out of service: fix an out-of-service tag and note its number with: withdraw {each.tag}"
            " --reason failed --tag-number N"
        )
    if each.returned:
        print("  back in service: every duty that was asked passed since the withdrawal")
    elif each.still_needed and not each.withdrawn:
        print(f"  still out of service, until this passes: {', '.join(spoken(duty) for duty in each.still_needed)}")


def withdraw(call: Context) -> None:
    """Take an item out of service."""
    options = call.options
    photo = read_picture(Path(options.photo)) if options.photo else b""
    with call.register() as register, call.change(register) as change:
        item = find_item(change.session.connection(), options.tag, site=options.site)
        done = withdraw_item(
            change, item, reason=WithdrawalReason(options.reason), tag_number=options.tag_number,
            detail=options.detail, told=options.told, photo=photo,
        )  # fmt: skip
    if call.json:
        print_json({
            "tag": done.tag, "standing": "withdrawn", "since": done.since, "reason": done.reason,
            "detail": done.detail, "tag_number": done.tag_number, "tag_before": done.tag_before or None,
            "still_needed": done.needed,
        })  # fmt: skip
        return
    needed = " and ".join(spoken(duty) for duty in done.needed) or "every duty due"
    print(f"{done.tag} is out of service since {day_words(done.since)} ({done.reason.value}), {done.tag_words}.")
    print(f"It returns after a complete pass of {needed}, dated after that, or is removed for good.")


def remove(call: Context) -> None:
    """Take an item off the register for good; its history stays."""
    options = call.options
    with call.register() as register, call.change(register) as change:
        item = find_item(change.session.connection(), options.tag, site=options.site)
        tag = remove_item(change, item, reason=options.reason)
    if call.json:
        print_json({"tag": tag, "standing": "removed", "reason": options.reason, "on": call.today})
        return
    print(f"{tag} is removed for good ({options.reason}). Its history stays.")


def done(call: Context) -> None:
    """Note that a user's duty was done."""
    options = call.options
    with call.register() as register, call.change(register) as change:
        item = find_item(change.session.connection(), options.tag, site=options.site)
        marked = mark_done(
            change, item, Duty(options.duty), options.on or call.today, old_confirmed=options.confirm_old
        )
    if call.json:
        print_json({
            "tag": marked.tag, "duty": marked.duty, "on": marked.done_on, "known": marked.known, "due": marked.due,
        })  # fmt: skip
        return
    when = f"due again {day_words(marked.due)}" if marked.due else "due again on the next occasion"
    known = " (noted before)" if marked.known else ""
    print(f"{marked.tag}: {spoken(marked.duty)} done {day_words(marked.done_on)}{known}, {when}.")


def export(call: Context) -> None:
    """Write the owner workbook of a site, or of all sites of an owner."""
    from register.exchange.workbook import write_owner_workbook

    options = call.options
    path = Path(options.file)
    if path.suffix.lower() != ".xlsx":
        raise Refused(f"{path.name} is not the name of a workbook. Give one that ends in .xlsx.")
    period = _period(options.from_day, options.to_day, call.today)
    with call.register() as register:
        with register.read() as connection, sparing(connection):
            if options.owner:
                report = report_on_all(connection, known_owner(connection, options.owner), call.today, period)
            else:
                report = owner_report(connection, known_site(connection, options.site), call.today, period)
            written = write_owner_workbook(report, path)
        if not register.only_looking:
            _note_sent(call, register, report)
    if call.json:
        print_json({"file": str(written.path), "as_at": call.today, "sheets": dict(written.rows)})
        return
    sheets = ", ".join(f"{title} {rows:,}" for title, rows in written.rows.items())
    print(f"{written.path}: {report.site.name} as at {day_words(call.today)}. Rows: {sheets}.")


def _note_sent(call: Context, register: Register, report: OwnerReport) -> None:
    """Note in the history that a report went out, where the register can be changed; it is written all the same."""
    try:
        with call.change(register) as change:
            hand_over(change, report, last_wishes(change.session.connection(), report.owner_id))
    except (Refused, Unavailable) as why:
        notice(f"The workbook is written, but the history doesn't tell of it. {why}")


def _period(first: date | None, last: date | None, today: date) -> Period | None:
    """Return the period of the tests that are wanted; None for the usual one."""
    if first is None and last is None:
        return None
    last = last or today
    first = first or last - LOOK_BACK
    if first > last:
        raise Refused(
            f"A period can't end on {day_words(last)} and begin on {day_words(first)}. Give --from before --to."
        )
    return Period(first, last)

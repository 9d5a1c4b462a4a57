"""The commands for what owners say: taking in a returned workbook, and the queries that wait for an answer."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from register.cli.context import Context
from register.cli.output import notice, print_json, print_table
from register.domain.words import counted
from register.exchange.returned_sheet import Returned
from register.exchange.review import read_returned
from register.services.owners.queries import open_queries, settle_query
from register.services.owners.review import Reviewed, Step, review, unopposed


def take_review(call: Context) -> None:
    """Take in an owner's answers, or show what they would do."""
    options = call.options
    returned = read_returned(Path(options.file))
    named = getattr(options, "by", None) or ""
    with (
        call.register() as register,
        register.change(
            actor=named or returned.sent.owner, at=call.now, today=call.today, keep=not options.dry_run
        ) as change,
    ):
        done = review(change, returned.sent, returned.answers, wanted=_any if options.anyway else unopposed, by=named)
    if call.json:
        print_json(_document(returned, done, dry_run=options.dry_run))
        return
    _print(returned, done, dry_run=options.dry_run)


def _any(_step: Step) -> bool:
    """Whether to do a step: each that is possible, also against what changed since the workbook was written."""
    return True


def _document(returned: Returned, done: Reviewed, *, dry_run: bool) -> dict[str, Any]:
    return {
        "by": done.by, "as_at": returned.sent.as_at, "sites": returned.sent.sites, "dry_run": dry_run,
        "agreed": done.agreed, "done": done.done, "follows": not done.foreign,
        "steps": [asdict(step) for step in done.steps],
        "changed_elsewhere": [asdict(change) for change in returned.changes],
        "more_changed": returned.more_changes, "notes": returned.notes,
    }  # fmt: skip


def _print(returned: Returned, done: Reviewed, *, dry_run: bool) -> None:
    for note in returned.notes:
        notice(note)
    if done.steps:
        rows = [(step.tag, step.answer, _state(step, dry_run=dry_run), _told(step)) for step in done.steps]
        print_table(("Tag", "Answer", "", "What it does"), rows)
    if returned.changes:
        print("\nChanged beside the answers, and not taken:")
        print_table(
            ("Sheet", "Row", "Column", "Before", "After"),
            [(each.sheet, each.row, each.column, each.before, each.after) for each in returned.changes],
        )
    if returned.more_changes:
        print(f"And {counted(returned.more_changes, 'further change')}.")
    verb = "would be done" if dry_run else "done"
    print(f"{done.by}: {counted(done.done, 'step')} {verb}; {counted(done.agreed, 'item')} agreed to.")


def _state(step: Step, *, dry_run: bool) -> str:
    if step.done:
        return "would do" if dry_run else "done"
    return {"known": "known", "conflict": "left", "refused": "not possible"}.get(step.state, "left")


def _told(step: Step) -> str:
    return f"{step.does} {step.why}".strip()


def queries(call: Context) -> None:
    """List the open queries of owners."""
    with call.register() as register, register.read() as connection:
        found = open_queries(connection)
    if call.json:
        print_json([asdict(each) for each in found])
        return
    if not found:
        print("Every query of an owner is answered.")
        return
    print_table(
        ("Site", "Tag", "Asked by", "On", "Id", "Query"),
        [(each.site, each.tag, each.asked_by, each.asked_on, each.id, each.text) for each in found],
    )
    print(f"{counted(len(found), 'open query', 'open queries')}.")


def answer_query(call: Context) -> None:
    """Answer a query, so that it is open no longer."""
    with call.register() as register, call.change(register) as change:
        settled = settle_query(change, call.options.query, call.options.text)
    if call.json:
        print_json({"query": settled.id, "tag": settled.tag, "answer": call.options.text})
        return
    print(f"{settled.tag}: the query of {settled.asked_by} is answered.")

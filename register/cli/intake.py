"""The import command: a spreadsheet into the register, or a rehearsal of it."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from register.cli.context import Context
from register.cli.output import notice, print_json, print_table
from register.domain.text import clean_text
from register.domain.words import counted
from register.errors import Refused
from register.exchange.files import check_place
from register.exchange.preview_book import write_preview
from register.exchange.sheets.headings import Suggestion
from register.exchange.sheets.mapping import Mapping, not_there
from register.exchange.sheets.mapping_file import read_mapping, write_mapping
from register.exchange.taking_in import FileTaken, read_file, take_in_reading
from register.exchange.workbook.swap_in import workbook_place
from register.services.intake.rows import RowProblem
from register.services.intake.taking_in import DEFAULT_RULEBOOK, IntakeChoices, Taken
from register.services.places import check_environment, rulebook_of_site
from register.services.rulebooks import rulebook
from register.services.settings import begin
from register.store import chain
from register.store.address import Address
from register.store.engine import Register, create_register
from register.store.on_share import create_to_work, open_to_work


def import_file(call: Context) -> None:
    """Take in one file, and print what was taken and what was not."""
    options = call.options
    choices = IntakeChoices(options.site, options.site_name, options.owner, options.rulebook, options.environment)
    mapping = read_mapping(Path(options.mapping)) if options.mapping else (Mapping() if options.afresh else None)
    for written in filter(None, (options.preview, options.write_mapping)):
        if Path(written).resolve() == Path(options.file).resolve():
            raise Refused(
                f"“{written}” is the file that is taken in, so nothing is written over it. Give another name."
            )
    if options.preview:
        check_place(workbook_place(Path(options.preview)))
    with _register(call, dry_run=options.dry_run) as register:
        _check_choices(register, choices)
        path = Path(options.file)
        reading = read_file(register, path, choices, today=call.today, mapping=mapping)
        if mapping is not None and (strange := not_there(mapping, reading.heads)):
            names = ", ".join(f"“{name}”" for name in strange)
            notice(f"No sheet of {path.name} has these columns of the mapping: {names}. Check how they are spelt.")
        if options.write_mapping:
            write_mapping(reading.mapping_used, Path(options.write_mapping))
        done = take_in_reading(
            register, path, reading, choices, actor=call.actor, at=call.now, today=call.today, dry_run=options.dry_run
        )
    if options.preview:
        write_preview(path, done, Path(options.preview), as_at=call.today)
    if call.json:
        print_json(_json(options.file, done))
    else:
        _print(options.file, done)


def _check_choices(register: Register, choices: IntakeChoices) -> None:
    """Refuse a rulebook and a class that aren't there, and for a known site a rulebook that isn't its own."""
    with register.read() as connection:
        known = rulebook_of_site(connection, clean_text(choices.site).upper())
    if known and choices.rulebook not in {"", known}:
        raise Refused(
            f"The site {choices.site.upper()} is in the register already and goes by the rulebook {known}. Leave the"
            " rulebook out, or change the site's first."
        )
    rules = rulebook(known or choices.rulebook or DEFAULT_RULEBOOK)
    if choices.environment:
        check_environment(rules.id, choices.environment)


@contextmanager
def _register(call: Context, *, dry_run: bool) -> Iterator[Register]:
    """Open the register, or make it where there is none; a rehearsal makes it where nobody sees it."""
    if isinstance(call.place, Address):
        with call.register() as on_server:
            yield on_server
        return
    path = call.path
    if path.exists():
        opened = open_to_work(path)
    elif dry_run:
        with (
            tempfile.TemporaryDirectory() as folder,
            call.opened(create_register(Path(folder) / path.name)) as rehearsal,
        ):
            yield rehearsal
        return
    else:
        with _begun(call, path) as fresh:
            yield fresh
        notice(f"There was no register at {path}: a new one was made.")
        return
    with call.opened(opened):
        yield opened


@contextmanager
def _begun(call: Context, path: Path) -> Iterator[Register]:
    """Give a new register; where something stops the work before anything is kept in it, it is taken away again."""
    with call.opened(create_to_work(path)) as fresh:
        begun = None
        try:
            with call.change(fresh) as change:
                begin(change, firm="")
            begun = _events(fresh)
            yield fresh
        except BaseException:
            if begun is None or _events(fresh) == begun:
                path.unlink(missing_ok=True)
            raise


def _events(register: Register) -> int:
    with register.read() as connection:
        return chain.head(connection).count


def _json(file: str, done: FileTaken) -> dict[str, Any]:
    taken = done.taken
    return {
        "file": file, "dry_run": done.dry_run, "rows_read": done.reading.rows.rows_read,
        "new_items": taken.new_items, "changed_items": taken.changed_items, "same_items": taken.same_items,
        "new_records": taken.new_records, "same_records": taken.same_records, "as_found": taken.as_found,
        "refused": taken.refused, "problems": [_problem_json(each) for each in taken.problems],
        "remembered": done.reading.remembered,
        "columns": [_column_json(each) for each in done.reading.suggestions if not each.value],
    }  # fmt: skip


def _column_json(each: Suggestion) -> dict[str, Any]:
    return {
        "sheet": each.sheet, "heading": each.heading, "examples": each.examples,
        "taken_for": each.proposal if each.taken else None,
        "perhaps": None if each.taken else each.proposal or None,
    }  # fmt: skip


def _problem_json(each: RowProblem) -> dict[str, Any]:
    return {
        "sheet": each.place.sheet, "row": each.place.row, "column": each.column, "value": each.value,
        "reason": each.reason, "refused": each.refused, "in_mapping": each.in_mapping or None,
    }  # fmt: skip


def _print(file: str, done: FileTaken) -> None:
    taken = done.taken
    would = "would be " if done.dry_run else ""
    print(f"{file}: {counted(done.reading.rows.rows_read, 'row')} read.")
    if done.reading.remembered:
        print(f"  read as “{done.reading.remembered}” was, whose headings are the same; --afresh reads it without that")
    items = f"{taken.new_items:,} {would}new, {taken.changed_items:,} {would}changed"
    print(f"  items: {items}, {taken.same_items:,} as they were")
    found = f" ({taken.as_found:,} of them with the verdict as found, for want of readings)" if taken.as_found else ""
    print(f"  tests: {taken.new_records:,} {would}new{found}, {taken.same_records:,} known before")
    if done.lacks:
        print(f"  {done.lacks}")
    refused = [each for each in taken.problems if each.refused]
    noted = [each for each in taken.problems if not each.refused]
    for title, problems in (("Left out", refused), ("To look at", noted)):
        if problems:
            print(f"\n{title}: {len(problems):,}")
            heads = ("Sheet", "Row", "Column", "Value", "Why")
            print_table(heads, [(p.place.sheet, p.place.row, p.column, p.value[:30], _why(taken, p)) for p in problems])
    if done.dry_run:
        _print_columns(done)
        print("\nA dry run: nothing was kept.")


def _why(taken: Taken, problem: RowProblem) -> str:
    more = f" In a mapping: {problem.in_mapping}" if problem.in_mapping else ""
    return taken.why(problem) + more


def _print_columns(done: FileTaken) -> None:
    """Say what each column was taken for, with examples; of those that were not taken, what they may be."""
    columns = [each for each in done.reading.suggestions if not each.value]
    if columns:
        print("\nHow the columns were read:")
        print_table(
            ("Sheet", "Column", "Such as", "Taken for"),
            [(each.sheet, each.heading, ", ".join(each.examples), _taken_for(each)) for each in columns],
        )


def _taken_for(each: Suggestion) -> str:
    if each.taken:
        return each.proposal
    return f"left out; perhaps {each.proposal}" if each.proposal else "left out"

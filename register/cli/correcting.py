"""The command that corrects a record."""

from typing import Any

from register.cli.context import Context, read_document
from register.cli.deeds import print_recorded, recorded_json
from register.cli.output import cell, print_json
from register.domain.words import spoken
from register.errors import Refused
from register.exchange.records_json import read_records
from register.services.corrections import Corrected, correct_record, void_record


def correct(call: Context) -> None:
    """Put a right record in the place of a wrong one, or let the wrong one count no more."""
    options = call.options
    if options.void == (options.file is not None):
        raise Refused("Give the file with the right record, or --void where nothing stands in its place.")
    entries = [] if options.void else read_records(read_document(options.file), today=call.today)
    if not options.void and len(entries) != 1:
        raise Refused(f"The file has {len(entries)} records. Give the one that stands in the place of the wrong one.")
    with call.register() as register, call.change(register) as change:
        if options.void:
            done = void_record(change, options.record, options.reason)
        else:
            done = correct_record(change, options.record, entries[0], options.reason)
    if call.json:
        print_json(_corrected_json(done))
        return
    _print_corrected(done)


def _corrected_json(done: Corrected) -> dict[str, Any]:
    return {
        "record": done.record_id, "tag": done.tag, "reason": done.reason,
        "out_of_service": done.out_of_service,
        "dates": {duty.value: due for duty, due in done.dates},
        "new_record": None if done.recorded is None else recorded_json(done.recorded),
    }  # fmt: skip


def _print_corrected(done: Corrected) -> None:
    print(f"{done.tag}: the record counts no more ({done.reason}). It stays in the history.")
    if done.recorded is not None:
        print_recorded(done.recorded)
    dates = ", ".join(f"{spoken(duty)} {cell(due) if due else 'before use'}" for duty, due in done.dates)
    out = "out of service; " if done.out_of_service else ""
    print(f"{done.tag} now: {out}next due: {dates or 'nothing'}")

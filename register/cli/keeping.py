"""The command on how long records are kept: what is past it, and its removal when it is asked for."""

from typing import Any

from register.cli.context import Context
from register.cli.output import print_json, print_table
from register.domain.explain import day_words
from register.domain.words import counted
from register.services.copying import copy_before
from register.services.retention import LAW, PRACTICE, Keeping, let_go
from register.services.retention import keeping as what_is_kept


def keeping(call: Context) -> None:
    """Say how long records are kept and what is past it; with --remove, remove that for good."""
    with call.register() as register:
        with register.read() as connection:
            found = what_is_kept(connection, call.today)
        fault = ""
        if call.options.remove:
            fault = copy_before(register, call.now, "removal")
            with call.change(register) as change:
                let_go(change, found.before)
    if call.json:
        print_json(_json(found, removed=call.options.remove))
        return
    _print(found, removed=call.options.remove)
    if fault:
        print(fault)


def _json(found: Keeping, *, removed: bool) -> dict[str, Any]:
    return {
        "years": found.years, "before": found.before, "removed": removed, "records": found.records,
        "photos": found.photos, "still_needed": found.still, "removed_earlier": found.gone,
        "past": [
            {"year": each.year, "records": each.records, "photos": each.photos, "items": each.items}
            for each in found.past
        ],
    }  # fmt: skip


def _print(found: Keeping, *, removed: bool) -> None:
    sums = f"{counted(found.records, 'record')} and {counted(found.photos, 'photo')}"
    print(f"Records are kept {found.years} years: all since {day_words(found.before)}. {PRACTICE}")
    print(LAW)
    if found.past:
        rows = [(str(each.year), each.records, each.photos, each.items) for each in found.past]
        print()
        print_table(("Year", "Records", "Photos", "Items"), rows)
        print()
    print(f"{'Removed for good' if removed else 'Past that'}: {sums}.", end=" ")
    print(f"Older, but still needed: {counted(found.still, 'record')}.")
    if found.past and not removed:
        print("Nothing is removed by itself; keeping --remove does it, for good.")

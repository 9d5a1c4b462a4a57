"""The commands that care for the register as a file: backup and restore."""

from functools import partial
from pathlib import Path
from typing import Any, Final

from register.cli.context import Context
from register.cli.output import notice, print_json, print_table
from register.cli.reaching import reached
from register.domain.words import counted
from register.errors import Refused, Unavailable
from register.services.copying import Made, copy_now
from register.services.putting_back import known_copies, newest_good, put_back
from register.services.upgrading import folder_for_copies
from register.services.upgrading import upgrade as bring_up_to_date
from register.store.address import Address
from register.store.copies import make_copy
from register.store.kept_copies import KeptCopy
from register.store.restoring import Looked, Restored, looked_at


def backup(call: Context) -> int:
    """Make a checked copy where copies go, or in a folder that is named; 1 where a place got none."""
    with call.register() as register:
        named = call.options.to
        made = Made((make_copy(register, named, call.now),), ()) if named else copy_now(register, call.now)
    if call.json:
        copies = [
            {"file": str(each.path), "bytes": each.size, "rows": each.rows, "head": each.head} for each in made.copies
        ]
        print_json({"copies": copies, "faults": made.faults})
    else:
        for each in made.copies:
            print(f"{each.path}: checked and good, {counted(each.rows, 'row')}, chain head {each.head[:8]}.")
    for fault in made.faults:
        notice(fault)
    return 1 if made.faults else 0


def upgrade(call: Context) -> None:
    """Bring a register of an earlier layout up to date, with a copy of it as it was, which a server may have itself."""
    named, copied = call.options.copy_to, call.options.copied
    if (named or copied) and not isinstance(call.place, Address):
        raise Refused("A register in a file is always copied first, where its copies go. Leave that option out.")
    done = reached(
        call.place,
        partial(bring_up_to_date, actor=call.actor, at=call.now, today=call.today, step=partial(_under_way, call),
                copies_of_server=named, copied=copied),
    )  # fmt: skip
    copy = None if done.copy is None else str(done.copy)
    if call.json:
        print_json({"register": str(done.place), "before": done.found, "after": done.layout, "copy": copy})
    elif done.found == done.layout:
        print(f"{done.place} is up to date: it has the layout {done.layout}.")
    else:
        kept = f" As it was, it is kept as {copy}." if copy is not None else ""
        print(f"{done.place} is up to date: layout {done.layout}, before {done.found}.{kept}")


def _under_way(call: Context, step: int) -> None:
    """Say what a server is at, which others wait for meanwhile."""
    if isinstance(call.place, Address):
        folder = call.options.copy_to or folder_for_copies(call.place)
        notice(_STEPS[step].format(name=call.place.name, folder=folder))


_STEPS: Final = (
    "Copying {name} as it is into a file in {folder}; nobody else can change it until all is done ...",
    "Laying out its tables ...",
    "Holding them against what was there ...",
)


def restore(call: Context) -> None:
    """Put a copy in the place of the register; without one named, list the copies there are."""
    path, options = call.path, call.options
    if options.copy is None and not options.newest:
        _print_copies(call, list(looked_at(known_copies(path))))
        return
    copy = _newest(path) if options.newest else KeptCopy(options.copy, call.now)
    _print_restored(call, path, put_back(path, copy, actor=call.actor, at=call.now, today=call.today))


def _newest(path: Path) -> KeptCopy:
    found = newest_good(path)
    if found is None:
        raise Unavailable(f"There is no good copy of {path.name} where copies go. Name one: restore COPY --db {path}.")
    return found.copy


def _print_copies(call: Context, found: list[Looked]) -> None:
    if call.json:
        print_json({"copies": [_copy_json(each) for each in found]})
        return
    if not found:
        raise Refused(f"There is no copy of {call.path.name} where copies go. Make one with the command backup.")
    rows = [
        (f"{each.copy.at:%Y-%m-%d %H:%M} UTC", each.copy.before, each.fault or counted(each.events, "event"),
         each.copy.path)
        for each in found
    ]  # fmt: skip
    print_table(("Made", "Why", "Holds", "File"), rows)


def _copy_json(each: Looked) -> dict[str, Any]:
    return {
        "file": str(each.copy.path), "at": each.copy.at, "before": each.copy.before, "usable": not each.fault,
        "events": each.events, "fault": each.fault,
    }  # fmt: skip


def _print_restored(call: Context, path: Path, done: Restored) -> None:
    aside = None if done.kept_aside is None else str(done.kept_aside)
    if call.json:
        copy = str(done.copy.path)
        print_json({"register": str(path), "copy": copy, "events": done.events, "set_aside": aside, "lost": done.lost,
                    "brought_up_to_date": done.earlier})  # fmt: skip
        return
    print(f"{path}: put back from {done.copy.path.name}, {counted(done.events, 'event')}.")
    if done.earlier:
        print("The copy was made by an earlier version of the program, and was brought up to date on its way.")
    if aside is not None:
        print(f"What was there is kept as {aside}.")
    if done.lost:
        print(f"It held {counted(done.lost, 'event')} more than the copy: look there for what was entered since.")

"""The commands of field packs: pack, which makes, opens or sends back, and merge."""

from datetime import timedelta
from pathlib import Path
from typing import Any

from register.cli.context import Context
from register.cli.output import print_json, print_table
from register.domain.explain import day_words
from register.domain.words import counted
from register.errors import Refused
from register.exchange.pack import merge_file, open_pack, write_pack, write_work
from register.services.packs.days_out import sites_on
from register.services.packs.merging import Merged
from register.services.packs.merging_words import added_words, left_out_words, summary
from register.services.packs.packing import packs_made

DAYS = 14
"""For so many days a pack holds unless somebody says otherwise (common practice, no source)."""


def pack(call: Context) -> None:
    """Make a field pack, open one as a register of its own, or send field work back."""
    options = call.options
    if options.open and options.back:
        raise Refused("A pack is either opened or its work sent back. Give --open or --back, not both.")
    if options.open:
        _open(call)
    elif options.back:
        _back(call)
    else:
        _make(call)


def _make(call: Context) -> None:
    options = call.options
    path = Path(options.file)
    until = options.until or call.today + timedelta(days=DAYS)
    with call.register() as register:
        sites = options.site
        if options.visit is not None:
            with register.read() as connection:
                sites = [*sites, *sites_on(connection, options.visit, options.van)]
        made = write_pack(
            register, path, sites=sites, holder=options.holder, expires_on=until, actor=call.actor, at=call.now,
            today=call.today,
        )  # fmt: skip
    if call.json:
        print_json({
            "file": str(path), "id": made.id, "sites": made.sites, "holder": made.holder, "items": made.items,
            "expires_on": made.expires_on,
        })  # fmt: skip
        return
    sites = ", ".join(made.sites)
    print(f"{path}: field pack of {sites} for {made.holder}, {counted(made.items, 'item')}, until {day_words(until)}.")
    print("It tells mix-ups and damage, but keeps no thief out: whoever has the file can read it.")


def _open(call: Context) -> None:
    target = call.path
    opened = open_pack(Path(call.options.file), target, today=call.today)
    if call.json:
        print_json({
            "register": str(target), "id": opened.id, "sites": opened.sites, "holder": opened.holder,
            "items": opened.items, "expires_on": opened.expires_on,
        })  # fmt: skip
        return
    print(f"{target}: {opened.words}. Sites: {', '.join(opened.sites)}; {counted(opened.items, 'item')}.")


def _back(call: Context) -> None:
    path = Path(call.options.file)
    with call.register() as register:
        work, done = write_work(register, path, actor=call.actor, at=call.now, today=call.today)
    if call.json:
        print_json({
            "file": str(path), "pack": work.pack.id, "sent": done.sent, "done": done.done, "left": done.left,
            "not_taken_over": work.left,
        })  # fmt: skip
        return
    print(f"{path}: sent {done.sent:,} / done {done.done:,} / left {done.left:,}.")
    if work.left:
        print(f"Not sent, because the office decides it: {left_out_words(work.left)}.")


def packs(call: Context) -> None:
    """List the field packs that were made: whether each is out, came back or expired."""
    with call.register() as register, register.read() as connection:
        found = packs_made(connection)
    if call.json:
        print_json([
            {
                "id": row.id, "state": row.state(call.today), "holder": row.holder, "sites": row.sites,
                "made_on": row.made_on, "expires_on": row.expires_on, "items": row.items, "came_back": row.counts,
            }
            for row in found
        ])  # fmt: skip
        return
    if not found:
        print("No field pack was made yet.")
        return
    print_table(
        ("State", "For", "Sites", "Made", "Until", "Items", "Done", "Left"),
        [
            (
                row.state(call.today).replace("-", " "), row.holder, ", ".join(row.sites), row.made_on, row.expires_on,
                row.items, row.counts.get("done", ""), row.counts.get("left", ""),
            )
            for row in found
        ],
    )  # fmt: skip


def merge(call: Context) -> None:
    """Merge field work into the office's register, or show what would come."""
    options = call.options
    with call.register() as register:
        done = merge_file(
            register, Path(options.file), actor=call.actor, at=call.now, today=call.today, late=options.late,
            dry_run=options.dry_run,
        )  # fmt: skip
    if call.json:
        print_json(_merged_json(options.file, done, dry_run=options.dry_run))
        return
    print(f"{options.file}: {summary(done)}")
    print(f"  {added_words(done)}")
    if done.left_out:
        print(f"  not taken over, because the office decides it: {left_out_words(done.left_out)}")
    if done.clashes:
        print(f"\nLook at these: {len(done.clashes):,}")
        print_table(("Tag", "What stands now"), [(each.tag, each.what) for each in done.clashes])
    if options.dry_run:
        print("\nA dry run: nothing was kept.")


def _merged_json(file: str, done: Merged, *, dry_run: bool) -> dict[str, Any]:
    return {
        "file": file, "dry_run": dry_run, "pack": done.pack_id, "holder": done.holder, "sites": done.sites,
        "sent": done.progress.sent, "done": done.progress.done, "left": done.progress.left,
        "nothing_new": done.nothing_new, "added": done.added, "changed": done.changed, "events": done.events,
        "clashes": [{"tag": each.tag, "what": each.what} for each in done.clashes],
        "not_taken_over": done.left_out,
    }  # fmt: skip

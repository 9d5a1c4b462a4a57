"""The commands for registers on a server: move."""

from functools import partial

from register.cli.context import Context
from register.cli.output import count, print_json, print_table
from register.cli.reaching import reached
from register.services.moving import move as move_register
from register.store.address import place_of
from register.store.opening import open_as_keeper


def move(call: Context) -> None:
    """Copy the register to another place, which must be empty: from a file to a server, or back."""
    with call.opened(reached(call.place, open_as_keeper)) as register:
        done = reached(place_of(call.options.to), partial(move_register, register))
    if call.json:
        print_json({"to": call.options.to, "rows": done.rows, "events": done.events, "head": done.head})
        return
    print_table(("Table", "Rows"), sorted(done.rows.items()))
    print(f"\nThe same in both: {count(sum(done.rows.values()), 'row')}, chain head {done.head[:8]}.")
    print(f"{register.name} was left as it is. Work on in one of the two only: open {call.options.to}.")

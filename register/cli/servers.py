"""The commands for registers that a team shares: move, team."""

from functools import partial

from register.cli.context import Context
from register.cli.output import print_json, print_table
from register.cli.reaching import reached
from register.domain.words import counted
from register.errors import Refused
from register.services.moving import move as move_register
from register.services.team import Member, let_in, let_out
from register.services.team import team as members
from register.store.access import Role
from register.store.address import Address, place_of
from register.store.opening import open_as_keeper


def move(call: Context) -> None:
    """Copy the register to another place, which must be empty: from a file to a server, or back."""
    target = place_of(call.options.to)
    with call.opened(reached(call.place, open_as_keeper)) as register:
        done = reached(target, partial(move_register, register))
    if call.json:
        print_json({"to": call.options.to, "rows": done.rows, "events": done.events, "head": done.head})
        return
    print_table(("Table", "Rows"), sorted(done.rows.items()))
    print(f"\nThe same in both: {counted(sum(done.rows.values()), 'row')}, chain head {done.head[:8]}.")
    print(f"{register.name} was left as it is. Work on in one of the two only: open {call.options.to}.")
    if done.rows.get("access") and not isinstance(target, Address):
        print("Its team came along: work in it under one of the team's logins (--by), or end each: team LOGIN --end.")


def team(call: Context) -> None:
    """Let somebody into the team or out of it; without a login, list who is in it."""
    options = call.options
    if not options.login and (options.role or options.owner or options.end):
        raise Refused("Say whose login is meant: team LOGIN, with --role or --end.")
    with call.opened(reached(call.place, open_as_keeper)) as register:
        if options.login and options.end:
            with call.change(register) as change:
                let_out(change, options.login)
        elif options.login:
            if options.role is None:
                raise Refused("Say what the login is: --role contractor, assistant or reviewer.")
            with call.change(register) as change:
                let_in(change, options.login, Role(options.role), options.owner)
        with register.read() as connection:
            found = members(connection)
    if call.json:
        print_json([{"login": each.login, "role": each.role, "owners": each.owners} for each in found])
        return
    if not found:
        print("Nobody is named: whoever has the file may do everything.")
    else:
        print_table(("Login", "Role", "Owners"), [(each.login, each.role.value, _owners(each)) for each in found])
    if not isinstance(call.place, Address):
        print("Whoever has a register's file can read and change it, with this program or another.")


def _owners(member: Member) -> str:
    return ", ".join(member.owners) or "all, later ones too"

"""The command share: whether a register is changed although it lies on a network drive."""

from register.cli.context import Context
from register.cli.output import print_json
from register.services.on_share import change_on_share, is_changed_on_share
from register.store.drive import is_share


def share(call: Context) -> None:
    """Say whether the register lies on a network drive and is changed there; an option says what holds from now on."""
    path, wanted = call.path, call.options.changes
    if wanted is not None:
        change_on_share(path, allowed=wanted, actor=call.actor, at=call.now, today=call.today)
    on_share, changed = is_share(path), is_changed_on_share(path)
    if call.json:
        print_json({"register": str(path), "on_share": on_share, "changed_there": changed})
        return
    lies = "lies on a network drive" if on_share else "lies on no network drive that is known"
    if changed:
        print(f"{path.name} {lies}. It may be changed on one: use it from one computer at a time.")
    else:
        print(f"{path.name} {lies}. On one it is only looked at; to change it there all the same: share --change.")

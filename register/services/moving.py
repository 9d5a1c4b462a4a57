"""Moving a register: from a file to a server, back, or from one server to another, whole or not at all."""

from dataclasses import dataclass

from register.errors import Damaged, Refused
from register.store import chain
from register.store.address import Place
from register.store.engine import Register
from register.store.moving import copy_rows, held
from register.store.opening import building
from register.store.sealing import differing, seal_all


@dataclass(frozen=True, slots=True)
class Moved:
    """What was moved: rows by table, events, and the end of the chain of events as it is at the target."""

    rows: dict[str, int]
    events: int
    head: str


def move(source: Register, target: Place) -> Moved:
    """Copy a register to another place, which must be empty, and hold the copy against it; the source stays as it is.

    Refused, with nothing left at the target, where something is there already or the copy is not the same.
    """
    with source.read(patient=True) as before, building(target) as after:
        broken = chain.broken_at(before)
        if broken is not None:
            raise Damaged(
                f"The history of {source.name} was changed from outside at event {broken}, so it was not moved. Check"
                " it, and move the last good copy."
            )
        if next(differing(before), None) is not None:
            raise Damaged(
                f"What {source.name} holds is not what its history says, so it was not moved. Check it, and move the"
                " last good copy."
            )
        copy_rows(before, after)
        found, wanted = held(after), held(before)
        different = [name for name in wanted if found[name] != wanted[name]]
        if different:
            raise Refused(
                f"What was copied of {', '.join(different)} is not the same as in {source.name}, so nothing was moved."
                " Keep both as they are, and send word of it to whoever looks after the program."
            )
        if next(differing(after), None) is not None:  # what was done on a server is sealed when it comes into a file
            seal_all(after)
        end = chain.head(after)
        return Moved({name: each.rows for name, each in wanted.items() if each.rows}, end.count, end.hash)

"""The commands for what becomes of an item between tests: missing, found, repaired, replaced."""

from register.cli.context import Context
from register.cli.output import print_json
from register.domain.explain import day_words
from register.domain.words import Standing
from register.services.items import find_item
from register.services.questions import item_answer
from register.services.repairs import Repair
from register.services.repairs import repaired as note_repair
from register.services.replacing import replace_item
from register.services.whereabouts import Whereabouts, found_again, mark_missing
from register.store.engine import Change


def _item(change: Change, call: Context) -> str:
    return find_item(change.session.connection(), call.options.tag, site=call.options.site)


def missing(call: Context) -> None:
    """Mark an item as not found."""
    with call.register() as register, call.change(register) as change:
        answer = mark_missing(change, _item(change, call))
    if call.json:
        _print(answer)
        return
    assert answer.missing_since is not None
    print(f"{answer.tag} was not found on {day_words(answer.missing_since)}; it is asked for again at the next visit.")


def found(call: Context) -> None:
    """Take back the mark of an item that is there again."""
    with call.register() as register, call.change(register) as change:
        answer = found_again(change, _item(change, call))
    if call.json:
        _print(answer)
        return
    print(f"{answer.tag} is there again. Its dates are as before.")


def _print(answer: Whereabouts) -> None:
    print_json({"tag": answer.tag, "not_found_on": answer.missing_since})


def repaired(call: Context) -> None:
    """Note a repair; the item must pass every contractor's duty anew."""
    options = call.options
    with call.register() as register, call.change(register) as change:
        item = _item(change, call)
        kept = note_repair(change, item, Repair(options.on or call.today, options.repairer, options.what))
        now = item_answer(change.session.connection(), item, call.today)
    if call.json:
        print_json({"tag": now.tag, "on": kept.on, "repairer": kept.by, "what": kept.what})
        return
    print(f"{now.tag}: repaired {day_words(kept.on)} by {kept.by} ({kept.what}).")
    if any(duty.contractors and duty.standing is Standing.UNTESTED for duty in now.duties):
        print("It must pass every contractor's duty before it is used.")
    else:
        print("It was tested after that, so its dates are as before.")


def replace(call: Context) -> None:
    """Replace an item by another one."""
    options = call.options
    with call.register() as register, call.change(register) as change:
        done = replace_item(change, _item(change, call), tag=options.new_tag, serial=options.serial, new=options.new)
    if call.json:
        print_json({"tag": done.old_tag, "standing": "removed", "replaced_by": done.new_tag})
        return
    print(f"{done.old_tag} is removed for good, replaced by {done.new_tag} in its place. Test {done.new_tag} next.")

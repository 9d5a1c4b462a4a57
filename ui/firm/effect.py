"""What a change of a class or a rulebook would do to the dates, shown before it is done."""

from register.services.firm import Redated
from ui.asking.dialog import Block
from ui.firm.section import counted
from ui.look.theme import Tone, colours

WAIT_MS = 120
"""So long after the last key a change is rehearsed."""


def _soon() -> Tone:
    return colours().soon


def effect_block() -> Block:
    """Return the block that shows it, hidden until there is something to show."""
    block = Block("again", _soon, "ink")
    block.hide()
    return block


def effect_words(done: Redated) -> tuple[str, str]:
    """Return in words what a change would do: a sentence, and what it means."""
    if done.earlier:
        said = f"{counted(done.earlier, 'item gets', 'items get')} an earlier date, of {done.items:,}."
        return said, "The dates follow as soon as you save."
    if done.later:
        return f"{counted(done.later, 'item gets', 'items get')} a later date, of {done.items:,}.", ""
    return "No date changes now.", "A gentler class counts from each item's next test on."

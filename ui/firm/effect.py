"""What a change of a class or a rulebook would do to the dates, shown before it is done."""

from register.domain.words import counted
from register.services.firm import Redated
from ui.asking.dialog import Block
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
        said = f"{done.earlier:,} of {counted(done.items, 'item')} {_get(done.earlier)} an earlier date."
        return said, "The dates follow as soon as you save."
    if done.later:
        return f"{done.later:,} of {counted(done.items, 'item')} {_get(done.later)} a later date.", ""
    return (
        "No date changes now.",
        "What has a class of its own keeps it, and a gentler class counts from each item's next test on.",
    )


def _get(number: int) -> str:
    return "gets" if number == 1 else "get"

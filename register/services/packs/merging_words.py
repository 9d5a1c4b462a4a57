"""What a merge brought, in words for the window and the command line."""

from collections.abc import Mapping
from typing import Final

from register.domain.words import counted
from register.services.history import WORDS
from register.services.packs.merging import Merged
from register.store.audit import Name

_COUNTED: Final = (
    ("record", "test", "tests"), ("item", "new item", "new items"), ("withdrawal", "withdrawal", "withdrawals"),
    ("withdrawal_photo", "photo", "photos"),
    ("mark", "duty marked as done", "duties marked as done"), ("correction", "correction", "corrections"),
    ("code_aside", "code set aside", "codes set aside"), ("area", "new area", "new areas"),
)  # fmt: skip


def summary(done: Merged) -> str:
    """Return whose work it is, and how much of what was sent is done."""
    found = done.progress
    return (
        f"field work of {done.holder} at {', '.join(done.sites)}: sent {found.sent:,} / done {found.done:,} /"
        f" left {found.left:,}."
    )


def added_words(done: Merged) -> str:
    """Return what is new in the register, in one sentence."""
    if done.nothing_new:
        return "All of it was in the register before; nothing changes."
    parts = [counted(n, one, many) for kind, one, many in _COUNTED if (n := done.added.get(kind, 0))]
    if done.changed:
        parts.append(counted(done.changed, "changed value"))
    return f"New: {', '.join(parts) or 'nothing that shows'}."


def left_out_words(left: Mapping[str, int]) -> str:
    """Return which deeds in the field are not taken over, with how many there are."""
    return ", ".join(f"{WORDS[Name(name)].lower()} ({number:,})" for name, number in sorted(left.items()))

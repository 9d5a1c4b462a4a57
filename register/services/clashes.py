"""Two people at one entry: what it said when it was opened, what somebody else made of it since, what is meant now."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, is_dataclass
from enum import Enum
from typing import Any, Final

from register.errors import Refused

_WORDS: Final = {
    "environment": "Environment class", "rated_current_a": "Rated current", "safety_switch": "Safety switch",
    "battery_run": "Battery-run", "protected_by_switch": "Behind a safety switch", "moved_in_use": "Moved in use",
    "risk_factor": "Another reason to test", "reading_plan": "Reading plan", "access": "How to get in",
}  # fmt: skip
"""How fields are called that their names don't say."""

_NOTHING: Final = "nothing"


@dataclass(frozen=True, slots=True)
class Differs:
    """One field of an entry, in words: before both changes, as somebody else left it, and as one means it."""

    field: str
    before: str
    theirs: str
    mine: str

    @property
    def clashes(self) -> bool:
        """Whether both changed it, and not to the same."""
        return self.before not in {self.theirs, self.mine} and self.theirs != self.mine


class Clash(Refused):
    """Somebody else changed an entry since it was opened. `version` is that of his; saving mine by it is knowing."""

    def __init__(self, what: str, version: int, differs: tuple[Differs, ...]) -> None:
        super().__init__(
            f"{what} was changed by somebody else since you opened it, so nothing was kept. Compare the two: save again"
            " to put yours in the place of theirs, or leave this and keep theirs."
        )
        self.what, self.version, self.differs = what, version, differs

    @property
    def lines(self) -> list[str]:
        """What differs, a line for each field: as it was opened, as somebody else left it, and as it is meant now."""
        return [
            f"{each.field}: it was {_told(each.before)}; theirs is {_told(each.theirs)}, yours {_told(each.mine)}."
            for each in self.differs
        ]


def check_unchanged(
    what: str, *, found: int, opened: int, before: object = None, theirs: object = None, mine: object = None
) -> None:
    """Refuse a change of what somebody else changed since it was opened, with all three as facts of the same sort."""
    if found != opened:
        raise Clash(what, found, differences(before, theirs, mine))


def differences(before: object, theirs: object, mine: object) -> tuple[Differs, ...]:
    """Return the fields in which three sets of facts are not all the same; none where what was opened is not known."""
    if before is None:
        return ()
    three = [_facts(each) for each in (before, theirs, mine)]
    return tuple(
        Differs(_WORDS.get(name, name.replace("_", " ").capitalize()), *(_said(facts[name]) for facts in three))
        for name in three[0]
        if len({_said(facts[name]) for facts in three}) > 1
    )


def _told(value: str) -> str:
    """Return a value set off from the words around it."""
    return value if value == _NOTHING else f"“{value}”"


def _facts(facts: object) -> Mapping[str, Any]:
    if isinstance(facts, Mapping):
        return facts
    assert is_dataclass(facts)
    assert not isinstance(facts, type)
    return asdict(facts)


def _said(value: object) -> str:
    """Return a value as somebody reads it; “nothing” where there is none."""
    if value is None or value == "":
        return _NOTHING
    if isinstance(value, Mapping):
        return _said([each for each in value.values() if each not in (None, "", ())])
    if isinstance(value, tuple | list):
        return ", ".join(map(_said, value)) or _NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value.value).replace("-", " ") if isinstance(value, Enum) else str(value)

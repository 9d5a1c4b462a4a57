"""Which interval lines of a rulebook hold for a kind of item in an environment class, and how they read."""

from functools import lru_cache

from register.domain.intervals import every_words, occasion_words
from register.domain.items import SAFETY_SWITCHES
from register.domain.rulebook import FACT_WORDS, IntervalLine, Rulebook
from register.domain.words import Duty, Kind
from register.errors import Refused


@lru_cache(maxsize=16_384)
def interval_lines(
    rulebook: Rulebook,
    *,
    kind: Kind,
    environment: str,
    place: str | None = None,
    has_switch: bool = False,
    edition: str | None = None,
) -> tuple[IntervalLine, ...]:
    """Return the lines that hold for such an item, in the order of duties, the most specific first.

    `place` is the class of the area or site where the item's own class differs from it; a line made for that
    place replaces the general one of the same duty. `has_switch` brings in the duties of a switch built into
    an item. Without `edition` only editions in force count; with it that edition's lines alone, to read old tags.
    Refused for a class or an edition that the rulebook doesn't have.
    """
    for name in (environment, place or environment):
        if name not in rulebook.environments:
            raise Refused(
                f"“{name}” is not an environment class of the rulebook {rulebook.id}. It has: "
                f"{', '.join(rulebook.environments)}."
            )
    if edition is not None and edition not in rulebook.editions:
        raise Refused(
            f"“{edition}” is not an edition in the rulebook {rulebook.id}. It has: {', '.join(rulebook.editions)}."
        )
    with_switch = has_switch or kind in SAFETY_SWITCHES
    found = [
        line
        for line in rulebook.intervals
        if kind in line.kinds
        and environment in line.environments
        and (with_switch or not line.only_with_switch)
        and (not line.place or place in line.place)
        and (line.source.edition.in_force if edition is None else line.source.edition.id == edition)
    ]
    settled = {line.duty for line in found if line.place and not line.only_if and not line.unless}
    order = list(Duty)
    return tuple(
        sorted(
            (line for line in found if line.place or line.duty not in settled),
            key=lambda line: (order.index(line.duty), not line.place, not line.only_with_switch),
        )
    )


def interval_words(line: IntervalLine) -> str:
    """Return how often the line asks for its duty: "every 6 to 12 months", "before each hire"."""
    if line.on is not None:
        return occasion_words(line.on)
    assert line.every is not None, line.key
    first = f", and {occasion_words(line.first)}" if line.first is not None else ""
    return f"{every_words(line.every, line.up_to)}{first}"


def condition_words(line: IntervalLine) -> str:
    """Return when the line holds at all: "only if it is moved in normal use"; empty where it always does."""
    only_if = [f"only if it is {FACT_WORDS[fact]}" for fact in line.only_if]
    return ", ".join(only_if + [f"unless it is {FACT_WORDS[fact]}" for fact in line.unless])

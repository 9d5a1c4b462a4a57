"""One rulebook on top of another: what it says itself goes first, the rest is taken over from its base."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from register.domain.rulebook import ChecklistLine, IntervalLine, LimitLine, Rulebook, RulebookScope, TagColourLine


def extend(own: Rulebook, base: Rulebook) -> Rulebook:
    """Return the rulebook with the lines of its base merged in.

    Own lines replace the base's for the same duty, kind and class, own checklists for the same duty and kind, own
    limits for the same check, own colours of tags all of the base's; what stands on tags adds up. Without classes of
    its own a rulebook keeps all of the base's; with any, those are all it has, and `like` says which class of the
    base fills what its own lines leave open.
    """
    return replace(
        own,
        environments=own.environments or base.environments,
        editions={**own.editions, **{id_: each for id_, each in base.editions.items() if id_ not in own.editions}},
        intervals=(*own.intervals, *_intervals(own, base)),
        checklists=(*own.checklists, *_checklists(own, base)),
        limits=(*own.limits, *_limits(own, base)),
        scope=base.scope if own.scope == RulebookScope() else own.scope,
        cautions=(*own.cautions, *base.cautions),
        conditions={**base.conditions, **own.conditions},
        kind_groups={**base.kind_groups, **own.kind_groups},
        tags=(*own.tags, *base.tags),
        tag_colours=own.tag_colours or tuple(_colours(own, base)),
    )


def _intervals(own: Rulebook, base: Rulebook) -> Iterator[IntervalLine]:
    """Yield the base's lines that own ones leave open, each under the own class that takes it over."""
    likes = _likes(own, base)
    covered = {
        (line.duty, kind, environment)
        for line in own.intervals
        if line.source.edition.in_force
        for kind in line.kinds
        for environment in line.environments
    }
    for line in base.intervals:
        place = frozenset(mine for mine, theirs in likes.items() if theirs in line.place)
        if line.place and not place:
            continue
        for mine, theirs in likes.items():
            if theirs not in line.environments:
                continue
            kinds = line.kinds
            if line.source.edition.in_force:
                kinds = frozenset(kind for kind in kinds if (line.duty, kind, mine) not in covered)
            if kinds:
                note = _note(own, base, line, mine)
                yield replace(line, kinds=kinds, environments=frozenset({mine}), place=place, note=note)


def _likes(own: Rulebook, base: Rulebook) -> Mapping[str, str]:
    """Return for each class the class of the base whose lines it takes over."""
    if not own.environments:
        return {id_: id_ for id_ in base.environments}
    return {each.id: each.like for each in own.environments.values() if each.like is not None}


def _note(own: Rulebook, base: Rulebook, line: IntervalLine, mine: str) -> str:
    """Return the line's note with the sentence that says from where it was taken over, and why."""
    environment = own.environments.get(mine)
    if environment is None or environment.like is None:
        return line.note
    taken = f"Figure of {base.title} for “{base.environments[environment.like].title}”: {environment.because}"
    return f"{line.note} {taken}".strip()


def _checklists(own: Rulebook, base: Rulebook) -> Iterator[ChecklistLine]:
    covered = {(line.duty, kind) for line in own.checklists for kind in line.kinds}
    for line in base.checklists:
        kinds = frozenset(kind for kind in line.kinds if (line.duty, kind) not in covered)
        if kinds:
            yield replace(line, kinds=kinds)


def _limits(own: Rulebook, base: Rulebook) -> Iterator[LimitLine]:
    checks = {line.check for line in own.limits}
    return (line for line in base.limits if line.check not in checks)


def _colours(own: Rulebook, base: Rulebook) -> Iterator[TagColourLine]:
    """Yield the base's colours of tags under the own classes that take over their lines."""
    likes = _likes(own, base)
    for line in base.tag_colours:
        mine = frozenset(mine for mine, theirs in likes.items() if theirs in line.environments)
        if mine:
            yield replace(line, environments=mine)

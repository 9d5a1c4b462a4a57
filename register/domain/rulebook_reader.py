"""A rulebook file read into a rulebook, or into the list of everything that is wrong with it."""

from collections.abc import Callable, Iterator
from typing import TypeVar

from register.domain.places import a_kind
from register.domain.rulebook import ChecklistLine, IntervalLine, LimitLine, Rulebook, TagColourLine, TagLine
from register.domain.rulebook_lines import Names, read_checklist, read_interval, read_limit
from register.domain.rulebook_merge import extend
from register.domain.rulebook_tables import (
    read_conditions,
    read_editions,
    read_environments,
    read_groups,
    read_id,
    read_scope,
)
from register.domain.rulebook_tags import read_tag, read_tag_colour
from register.domain.toml_table import Complaints, Table, parse_toml, shown
from register.domain.words import spoken
from register.errors import Problem

Line = TypeVar("Line", IntervalLine, ChecklistLine, LimitLine, TagLine, TagColourLine)
Slot = tuple[object, ...]
"""What a line is about: two lines about the same are a mistake."""


def extended_id(text: str) -> str | None:
    """Return the id of the rulebook that a file extends; None where it extends none or can't be read."""
    values = parse_toml(text, "")
    extends = None if isinstance(values, Problem) else values.get("extends")
    return extends.strip() if isinstance(extends, str) else None


def read_rulebook(text: str, *, name: str, base: Rulebook | None = None) -> tuple[Rulebook | None, list[Problem]]:
    """Return the rulebook that a text holds, with `base` merged in where it extends that one, and what is wrong.

    `name` is the file's name for the problems, each of which says table, key and line. A file with any problem
    gives no rulebook: a rule that is missing could leave an item in use too long. The format is in
    docs/rulebooks.md.
    """
    values = parse_toml(text, name)
    if isinstance(values, Problem):
        return None, [values]
    complaints = Complaints(name)
    top = Table(values, (), complaints)
    extends = top.text("extends")
    if extends and (base is None or base.id != extends):
        top.complain("extends", f"{shown(extends)} is not a rulebook that is there to extend. Check the name.")
        return None, complaints.problems(text)
    base = base if extends else None
    own = _own(top, base)
    rulebook = own if base is None else extend(own, base)
    if not rulebook.environments:
        top.complain("environment", "The file names no environment class. Add a table [environment.NAME].")
    if not complaints:
        _complain_of_empty(top, rulebook)
    return (None, complaints.problems(text)) if complaints else (rulebook, [])


def _own(top: Table, base: Rulebook | None) -> Rulebook:
    """Return what the file says itself, before its base is merged in."""
    id_, editions, environments = read_id(top), read_editions(top), read_environments(top, base)
    names = Names(
        id_,
        {**(base.editions if base else {}), **editions},
        frozenset(environments or (base.environments if base else {})),
        {**(base.kind_groups if base else {}), **read_groups(top)},
    )
    rulebook = Rulebook(
        id=id_,
        title=top.text("title", "Write what the rulebook is called in lists and reports."),
        version=top.text("version", 'Write a version in quotes that changes with every edit, such as "2026.1".'),
        about=top.text("about", "Write in a sentence or two what it covers and where its figures come from."),
        environments=environments,
        editions=editions,
        intervals=_lines(top, "interval", lambda table, key: read_interval(table, key, names), _interval_slots),
        checklists=_lines(top, "checklist", lambda table, _: read_checklist(table, names), _checklist_slots),
        limits=_lines(top, "limit", lambda table, key: read_limit(table, key, names), _limit_slots),
        scope=read_scope(top, names),
        cautions=top.texts("cautions"),
        conditions=read_conditions(top, names),
        kind_groups=dict(names.groups),
        tags=_lines(top, "tag", lambda table, _: read_tag(table, names), _no_slots),
        tag_colours=_lines(top, "tag-colour", lambda table, _: read_tag_colour(table, names), _colour_slots),
    )
    top.close()
    return rulebook


def _lines(
    top: Table,
    name: str,
    read: Callable[[Table, str], Line | None],
    slots: Callable[[Line], Iterator[tuple[str, Slot]]],
) -> tuple[Line, ...]:
    """Return the lines of one list of tables; complain of each that is about the same as an earlier one."""
    found: list[Line] = []
    taken: dict[Slot, int] = {}
    for number, table in enumerate(top.tables(name), 1):
        line = read(table, f"{name}.{number}")
        if line is None:
            continue
        found.append(line)
        mine = list(slots(line))
        for about, slot in mine:
            if slot in taken:
                first = f"[[{name}]] {taken[slot]} already says this of {about}."
                key = next(key for key in ("duty", "check", "months") if key in table)
                table.complain(key, f"{first} Keep one of the two.")
                break
        taken.update((slot, number) for _, slot in mine if slot not in taken)
    return tuple(found)


def _interval_slots(line: IntervalLine) -> Iterator[tuple[str, Slot]]:
    edition = "" if line.source.edition.in_force else line.source.edition.id
    facts = (frozenset(line.only_if), frozenset(line.unless), line.only_with_switch)
    for kind in sorted(line.kinds):
        for environment in sorted(line.environments):
            for place in sorted(line.place or {""}):
                about = f"{spoken(line.duty)} of {a_kind(kind)} in {environment}"
                yield about, (line.duty, kind, environment, place, edition, facts)


def _checklist_slots(line: ChecklistLine) -> Iterator[tuple[str, Slot]]:
    for kind in sorted(line.kinds):
        yield f"{spoken(line.duty)} of {a_kind(kind)}", (line.duty, kind)


def _limit_slots(line: LimitLine) -> Iterator[tuple[str, Slot]]:
    narrowed = (line.types, line.delays, line.waveforms, line.test_current, line.multiple)
    for kind in sorted(line.kinds) if line.kinds else (None,):
        about = f"{spoken(line.check)} in the same case"
        yield about, (line.check, kind, *narrowed, line.rated_above, line.rated_up_to)


def _no_slots(_line: TagLine) -> Iterator[tuple[str, Slot]]:
    """Several lines may ask for the same thing on a tag: each is one source of it."""
    return iter(())


def _colour_slots(line: TagColourLine) -> Iterator[tuple[str, Slot]]:
    for month in sorted(line.months):
        for environment in sorted(line.environments):
            yield f"month {month} in {environment}", (month, environment)


def _complain_of_empty(top: Table, rulebook: Rulebook) -> None:
    """Complain of each environment class without any line in force: most often a slip in a name."""
    used = {
        environment for line in rulebook.intervals if line.source.edition.in_force for environment in line.environments
    }
    for id_ in rulebook.environments:
        if id_ not in used:
            said = "No interval line is in force for this class. Name it in an [[interval]], or take it out."
            top.complain("environment", said, within=(id_,))

"""The tables of a rulebook file around its lines: editions, environment classes, groups of kinds, scope, conditions."""

import re
from typing import Final

from register.domain.rulebook import ConditionRule, Edition, EnvironmentClass, Rulebook, RulebookScope
from register.domain.rulebook_lines import Names, read_source
from register.domain.toml_table import Table, one_of, shown
from register.domain.words import Condition, Kind

_CODE: Final = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_CONDITIONS: Final = (Condition.NEW, Condition.REPAIRED, Condition.STORED)


def read_id(top: Table) -> str:
    """Return the rulebook's short name."""
    id_ = top.text("id", "Give the rulebook a short name of its own, such as au-in-service.")
    if id_ and not _CODE.fullmatch(id_):
        top.complain("id", f"{shown(id_)} is not a name of small letters, digits and hyphens, such as au-in-service.")
    return id_


def read_editions(top: Table) -> dict[str, Edition]:
    """Return the editions, each [edition.NAME], by their names."""
    found = {}
    for id_, table in top.named_tables("edition").items():
        title = table.text("title", "Write the edition as it is cited, such as AS/NZS 3760:2022.")
        found[id_] = Edition(id_, title, table.flag("in_force", default=True), table.text("about"))
        table.close()
    return found


def read_environments(top: Table, base: Rulebook | None) -> dict[str, EnvironmentClass]:
    """Return the environment classes, each [environment.NAME], by their names."""
    found = {}
    for id_, table in top.named_tables("environment").items():
        if not _CODE.fullmatch(id_):
            named = f"{shown(id_)} is not a name of small letters, digits and hyphens, such as light-work."
            top.complain("environment", named, within=(id_,))
        title = table.text("title", "Write what the class is called in lists and sentences.")
        about = table.text("about", "Write which places or items belong to the class.")
        of_equipment = table.flag("of_equipment")
        like = table.text("like") or None
        because = table.text("because", "Write why that class of the extended rulebook serves here." if like else "")
        table.close()
        _check_like(table, like, base)
        found[id_] = EnvironmentClass(id_, title, about, of_equipment, like, because)
    return found


def _check_like(table: Table, like: str | None, base: Rulebook | None) -> None:
    if like is None:
        if "because" in table:
            table.complain("because", "“because” goes with “like”: it says why that class serves here.")
    elif base is None:
        table.complain("like", "“like” names a class of the rulebook that this one extends, and it extends none.")
    elif like not in base.environments:
        choices = one_of(like, base.environments)
        table.complain("like", f"{shown(like)} is not an environment class of {base.id}.{choices}")


def read_groups(top: Table) -> dict[str, frozenset[Kind]]:
    """Return the groups of kinds that the file names in its table [kinds]."""
    table = top.table("kinds")
    found = {}
    for name in table.written():
        if name in list(Kind):
            table.complain(name, f"{shown(name)} is a kind already. Give the group a name of its own.")
        found[name] = frozenset(table.words(name, Kind))
    return found


def read_scope(top: Table, names: Names) -> RulebookScope:
    """Return what the rulebook is about, from its table [scope]."""
    table = top.table("scope")
    if not table.written():
        return RulebookScope()
    largest, battery_run = table.number("max_rated_current_a"), table.flag("battery_run", default=True)
    source = read_source(table, names)
    table.close()
    return RulebookScope(largest, battery_run, source.words if source is not None else "")


def read_conditions(top: Table, names: Names) -> dict[Condition, ConditionRule]:
    """Return the rules for new, repaired and stored items, each [condition.NAME]."""
    found = {}
    for name, table in top.named_tables("condition").items():
        if name not in _CONDITIONS:
            choices = one_of(name, _CONDITIONS)
            top.complain("condition", f"{shown(name)} is not a condition with a rule.{choices}", within=(name,))
            continue
        rule = table.text("rule", "Write what holds for items in this condition, as a sentence.")
        source = read_source(table, names)
        table.close()
        if source is not None:
            found[Condition(name)] = ConditionRule(rule, source)
    return found

"""The sites and areas that an item can be put in, each with how harshly things are used there."""

from collections import defaultdict
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.services.rulebooks import rulebook
from register.store.tables import Area, Site


@dataclass(frozen=True, slots=True)
class ClassChoice:
    """An environment class of a rulebook, by its id and title."""

    id: str
    title: str


@dataclass(frozen=True, slots=True)
class AreaChoice:
    """An area of a site, with the class that holds in it."""

    name: str
    environment: str


@dataclass(frozen=True, slots=True)
class SiteWithAreas:
    """A site with its areas and the environment classes of its rulebook. `environment` is the title of its own."""

    id: str
    code: str
    name: str
    environment: str
    classes: tuple[ClassChoice, ...]
    areas: tuple[AreaChoice, ...]


def sites_with_areas(connection: Connection) -> tuple[SiteWithAreas, ...]:
    """Return every site with its areas, by name."""
    areas: dict[str, list[tuple[str, str | None]]] = defaultdict(list)
    for site, name, environment in connection.execute(
        sa.select(Area.site_id, Area.name, Area.environment).order_by(Area.name)
    ):
        areas[site].append((name, environment))
    found = []
    columns = (Site.id, Site.code, Site.name, Site.rulebook, Site.environment)
    for key, code, name, rules, own in connection.execute(sa.select(*columns).order_by(Site.name, Site.code)):
        environments = rulebook(rules).environments
        found.append(
            SiteWithAreas(
                key, code, name, environments[own].title,
                tuple(ClassChoice(each.id, each.title) for each in environments.values()),
                tuple(AreaChoice(area, environments[its or own].title) for area, its in areas[key]),
            )
        )  # fmt: skip
    return tuple(found)

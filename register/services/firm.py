"""The firm's sites with their areas and owners: seeing them, and changing them with the dates that follow."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.records import ReadingPlan
from register.domain.text import clean_text
from register.errors import Refused
from register.services.clashes import check_unchanged
from register.services.item_texts import index_anew
from register.services.items import taken_tags
from register.services.moves import change_area_class, expose
from register.services.places import area_named, check_environment, owner_named, plan_of, plan_row
from register.services.projection import REMOVED, redate
from register.services.rulebooks import rulebook
from register.store import audit
from register.store.audit import Name
from register.store.bulk import chunks
from register.store.engine import Change
from register.store.tables import Area, Item, Owner, Site, Tag


@dataclass(frozen=True, slots=True)
class OwnerRow:
    """Who is responsible for sites. `version` tells whether somebody else changed it in the meantime."""

    id: str
    name: str
    contact: str
    version: int


@dataclass(frozen=True, slots=True)
class SiteFacts:
    """What can be changed of a site. `environment` is the class of places in it that have none of their own."""

    name: str
    owner: str
    rulebook: str
    environment: str
    address: str = ""
    access: str = ""
    reading_plan: ReadingPlan = field(default_factory=ReadingPlan)


@dataclass(frozen=True, slots=True)
class SiteRow:
    """A site as it is listed, with what is needed to change it. `items` counts those not removed."""

    id: str
    code: str
    version: int
    facts: SiteFacts
    owner: OwnerRow
    environment: str
    rulebook: str
    items: int


@dataclass(frozen=True, slots=True)
class AreaRow:
    """An area of a site. `own` is its own class, None where the site's holds; `environment` the title of what holds."""

    id: str
    name: str
    version: int
    own: str | None
    environment: str
    items: int


@dataclass(frozen=True, slots=True)
class Redated:
    """What a change did to the dates: of so many items, how many got an earlier next date, and how many a later one."""

    items: int
    earlier: int
    later: int


def sites(connection: Connection) -> list[SiteRow]:
    """Return every site by its name."""
    there = sa.select(Item.site_id, sa.func.count().label("there")).where(Item.state != REMOVED).group_by(Item.site_id)
    counted = there.subquery()
    statement = (
        sa.select(Site, Owner, counted.c.there)
        .join(Owner, Owner.id == Site.owner_id)
        .outerjoin(counted, counted.c.site_id == Site.id)
        .order_by(Site.name, Site.code)
    )
    with sa.orm.Session(connection) as session:
        return [_site_row(site, owner, items or 0) for site, owner, items in session.execute(statement)]


def _site_row(site: Site, owner: Owner, items: int) -> SiteRow:
    rules, facts = rulebook(site.rulebook), _facts(site, owner.name)
    return SiteRow(
        id=site.id,
        code=site.code,
        version=site.version,
        facts=facts,
        owner=OwnerRow(owner.id, owner.name, owner.contact, owner.version),
        environment=rules.environments[site.environment].title,
        rulebook=rules.title,
        items=items,
    )


def _facts(site: Site, owner: str) -> SiteFacts:
    plan = plan_of(site.reading_plan)
    return SiteFacts(
        name=site.name,
        owner=owner,
        rulebook=site.rulebook,
        environment=site.environment,
        address=site.address,
        access=site.access,
        reading_plan=plan,
    )


def areas(connection: Connection, site_id: str) -> list[AreaRow]:
    """Return the areas of a site by their names."""
    site = connection.execute(sa.select(Site.rulebook, Site.environment).where(Site.id == site_id)).one()
    classes = rulebook(site.rulebook).environments
    counted = sa.func.count(Item.id).label("items")
    statement = (
        sa.select(Area.id, Area.name, Area.version, Area.environment, counted)
        .outerjoin(Item, (Item.area_id == Area.id) & (Item.state != REMOVED))
        .where(Area.site_id == site_id)
        .group_by(Area.id, Area.name, Area.version, Area.environment)
        .order_by(Area.name)
    )
    return [
        AreaRow(
            id=key,
            name=name,
            version=version,
            own=own,
            environment=classes[own or site.environment].title,
            items=items,
        )
        for key, name, version, own, items in connection.execute(statement)
    ]


def change_owner(
    change: Change, owner_id: str, *, name: str, contact: str, version: int, opened: OwnerRow | None = None
) -> None:
    """Write another name or contact of an owner; all his sites show it."""
    owner = change.session.get_one(Owner, owner_id)
    name, contact = clean_text(name), clean_text(contact)
    check_unchanged(
        owner.name, found=owner.version, opened=version,
        before=None if opened is None else {"name": opened.name, "contact": opened.contact},
        theirs={"name": owner.name, "contact": owner.contact}, mine={"name": name, "contact": contact},
    )  # fmt: skip
    if not name:
        raise Refused("An owner needs a name. Give the name of whoever is responsible for the site.")
    other = change.session.scalar(sa.select(Owner.id).where(Owner.name == name, Owner.id != owner_id))
    if other is not None:
        raise Refused(f"There is an owner “{name}” already. Put the site under that name instead.")
    before = {"name": owner.name, "contact": owner.contact}
    after = {"name": name, "contact": contact}
    if before != after:
        owner.name, owner.contact = name, contact
        change.session.flush()
        audit.log(change, Name.OWNER_CHANGE, owner_id, before=before, after=after)


def change_site(
    change: Change, site_id: str, facts: SiteFacts, *, version: int, opened: SiteFacts | None = None
) -> Redated:
    """Change a site; the dates of its items follow at once where its rulebook or class is another one.

    Refused where somebody else changed it since it was opened, where the class of the site, of an area or of an
    item is not of the rulebook, or where another owner has one of its tags on another item.
    """
    site = change.session.get_one(Site, site_id)
    theirs = _facts(site, change.session.get_one(Owner, site.owner_id).name)
    check_unchanged(site.code, found=site.version, opened=version, before=opened, theirs=theirs, mine=facts)
    _check_classes(change, site, facts)
    items = change.session.scalars(sa.select(Item).where(Item.site_id == site_id)).all()
    before = _columns(site)
    owner_id = owner_named(change, facts.owner)
    if owner_id != site.owner_id:
        _hand_over(change, items, site, owner_id)
    site.owner_id, site.name = owner_id, clean_text(facts.name) or site.code
    site.rulebook, site.environment = facts.rulebook, facts.environment
    site.address, site.access = clean_text(facts.address), clean_text(facts.access)
    site.reading_plan = plan_row(facts.reading_plan)
    after = _columns(site)
    changed = {name for name, value in before.items() if after[name] != value}
    if not changed:
        return Redated(0, 0, 0)
    change.session.flush()
    audit.log(
        change, Name.SITE_CHANGE, site.id, before={name: before[name] for name in sorted(changed)},
        after={name: after[name] for name in sorted(changed)},
    )  # fmt: skip
    if "name" in changed:
        index_anew(change, [item.id for item in items])
    return _redated(change, items) if changed & {"rulebook", "environment"} else Redated(0, 0, 0)


def _columns(site: Site) -> dict[str, Any]:
    names = ("name", "owner_id", "rulebook", "environment", "address", "access", "reading_plan")
    return {name: getattr(site, name) for name in names}


def _check_classes(change: Change, site: Site, facts: SiteFacts) -> None:
    check_environment(facts.rulebook, facts.environment)
    if facts.rulebook == site.rulebook:
        return
    known = rulebook(facts.rulebook).environments
    own_areas = sa.select(Area.name, Area.environment).where(Area.site_id == site.id)
    own_items = sa.select(Item.tag_number, Item.environment).where(Item.site_id == site.id, Item.state != REMOVED)
    for what, environment in (*change.session.execute(own_areas), *change.session.execute(own_items)):
        if environment is not None and environment not in known:
            raise Refused(
                f"{what} is of the class “{environment}”, which {rulebook(facts.rulebook).title} does not have. Give"
                f" it the class of {site.code} first, then change the rulebook."
            )


def _hand_over(change: Change, items: Collection[Item], site: Site, owner_id: str) -> None:
    """Give the tags of a site's items to its new owner; refused where he has one of them on another item."""
    ids = [item.id for item in items]
    for some in chunks(ids, 500):
        tags = change.session.scalars(sa.select(Tag).where(Tag.item_id.in_(some))).all()
        taken = taken_tags(change.session.connection(), [tag.number for tag in tags])
        for tag in tags:
            if tag.owner_id != owner_id and (owner_id, tag.number) in taken:
                raise Refused(
                    f"{site.code} can't be given to that owner: another item of his has or had the tag {tag.number}."
                    " Give one of them a new tag first."
                )
            tag.owner_id = owner_id


def _redated(change: Change, items: Collection[Item]) -> Redated:
    before = {item.id: item.next_due for item in items if item.state != REMOVED}
    expose(change, list(before))
    redate(change, list(before))
    return _compared(change, before)


def _compared(change: Change, before: dict[str, date | None]) -> Redated:
    """Count whose next date is an earlier or a later one now; no date counts as the latest."""
    after = next_dates(change, list(before))
    earlier = sum((after[key] or date.max) < (day or date.max) for key, day in before.items())
    later = sum((after[key] or date.max) > (day or date.max) for key, day in before.items())
    return Redated(len(before), earlier, later)


def next_dates(change: Change, ids: list[str]) -> dict[str, date | None]:
    """Return the next date of each of these items."""
    found: dict[str, date | None] = {}
    for some in chunks(ids, 500):
        rows = change.session.connection().execute(sa.select(Item.id, Item.next_due).where(Item.id.in_(some)))
        found |= dict(rows.all())
    return found


def add_area(change: Change, site_id: str, name: str, environment: str | None) -> str:
    """Enter an area and return its id; refused where the site has one of this name."""
    name = clean_text(name)
    if not name:
        raise Refused("An area needs a name, such as the one on its door.")
    _check_area_name(change, site_id, name, "")
    return area_named(change, site_id, name, environment)


def change_area(
    change: Change, area_id: str, *, name: str, environment: str | None, version: int, opened: AreaRow | None = None
) -> Redated:
    """Give an area another name or class; the dates of its items follow at once. None is the site's class."""
    area = change.session.get_one(Area, area_id)
    name = clean_text(name)
    check_unchanged(
        area.name, found=area.version, opened=version,
        before=None if opened is None else {"name": opened.name, "environment": opened.own},
        theirs={"name": area.name, "environment": area.environment}, mine={"name": name, "environment": environment},
    )  # fmt: skip
    if not name:
        raise Refused("An area needs a name, such as the one on its door.")
    _check_area_name(change, area.site_id, name, area_id)
    ids = list(change.session.scalars(sa.select(Item.id).where(Item.area_id == area_id, Item.state != REMOVED)))
    before = next_dates(change, ids)
    if name != area.name:
        audit.log(change, Name.AREA_CHANGE, area_id, before=area.name, after=name, on=change.today)
        area.name = name
        change.session.flush()
        index_anew(change, change.session.scalars(sa.select(Item.id).where(Item.area_id == area_id)).all())
    if environment != area.environment:
        change_area_class(change, area_id, environment)
    return _compared(change, before)


def _check_area_name(change: Change, site_id: str, name: str, but: str) -> None:
    same = sa.select(Area.id).where(Area.site_id == site_id, Area.name == name, Area.id != but)
    if change.session.scalar(same) is not None:
        raise Refused(f"The site has an area “{name}” already. Choose another name.")

"""Owners, sites and areas: entering them, and changing how harshly an area is used."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.records import ReadingPlan
from register.domain.text import clean_text
from register.errors import Refused
from register.services.rulebooks import rulebook
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Area, Owner, Site

WHOLE_SITE = "Whole site"
"""The area of items for which nobody named one."""


@dataclass(frozen=True, slots=True)
class NewSite:
    """What is needed to enter a site. `environment` is the class of places in it that have none of their own."""

    code: str
    name: str
    owner: str
    rulebook: str
    environment: str
    address: str = ""
    access: str = ""
    reading_plan: ReadingPlan = field(default_factory=ReadingPlan)


def owner_named(change: Change, name: str, contact: str = "") -> str:
    """Return the id of the owner of this name, entering him where he is new."""
    name = clean_text(name)
    if not name:
        raise Refused("An owner needs a name. Give the name of whoever is responsible for the site.")
    found = change.session.scalar(sa.select(Owner.id).where(Owner.name == name))
    if found is not None:
        return found
    owner = Owner(name=name, contact=clean_text(contact))
    change.session.add(owner)
    change.session.flush()
    audit.log(change, Name.OWNER_ADD, owner.id, name=name, contact=owner.contact)
    return owner.id


def add_site(change: Change, new: NewSite) -> str:
    """Enter a site and return its id; refused where the code is taken or the class is not of the rulebook."""
    code, name = clean_text(new.code).upper(), clean_text(new.name)
    if not code:
        raise Refused(f"The site “{name}” needs a code. Give a short one, such as {_suggested(name)}.")
    if site_id(change.session.connection(), code) is not None:
        raise Refused(f"There is a site {code} already. Choose another code for “{name}”.")
    check_environment(new.rulebook, new.environment)
    site = Site(
        code=code,
        name=name or code,
        owner_id=owner_named(change, new.owner or name or code),
        rulebook=new.rulebook,
        environment=new.environment,
        address=clean_text(new.address),
        access=clean_text(new.access),
        reading_plan=plan_row(new.reading_plan),
    )
    change.session.add(site)
    change.session.flush()
    audit.log(
        change, Name.SITE_ADD, site.id, code=code, name=site.name, owner=site.owner_id, rulebook=site.rulebook,
        environment=site.environment, address=site.address, access=site.access, reading_plan=site.reading_plan,
    )  # fmt: skip
    return site.id


def _suggested(name: str) -> str:
    return "".join(word[0] for word in name.split())[:4].upper() or "DEPOT"


def area_named(change: Change, site: str, name: str, environment: str | None = None) -> str:
    """Return the id of a site's area, entering it where it is new. A known area keeps its class."""
    name = clean_text(name) or WHOLE_SITE
    found = change.session.scalar(sa.select(Area.id).where(Area.site_id == site, Area.name == name))
    if found is not None:
        return found
    if environment is not None:
        rules = change.session.scalar(sa.select(Site.rulebook).where(Site.id == site))
        assert rules is not None
        check_environment(rules, environment)
    area = Area(site_id=site, name=name, environment=environment)
    change.session.add(area)
    change.session.flush()
    audit.log(change, Name.AREA_ADD, area.id, site=site, name=name, environment=environment)
    return area.id


def check_environment(rules: str, environment: str) -> None:
    """Refuse an environment class that the rulebook does not have."""
    known = rulebook(rules).environments
    if environment not in known:
        raise Refused(
            f"The rulebook {rules} has no environment class “{environment}”. Choose one of: {', '.join(known)}."
        )


def rulebook_of_site(connection: Connection, code: str) -> str | None:
    """Return the id of the rulebook of the site with this code; None where there is no such site."""
    return connection.execute(sa.select(Site.rulebook).where(Site.code == code)).scalar()


def site_id(connection: Connection, code: str) -> str | None:
    """Return the id of the site with this code in any case, or None."""
    return connection.execute(sa.select(Site.id).where(Site.code == clean_text(code).upper())).scalar()


def known_owner(connection: Connection, name: str) -> str:
    """Return the id of an owner by his name, capitals or not; refused where there is none of that name."""
    owners = connection.execute(sa.select(Owner.id, Owner.name).order_by(Owner.name)).all()
    for row in owners:
        if row.name.casefold() == name.strip().casefold():
            return str(row.id)
    raise Refused(
        f"No owner is called “{name}”. The owners are: {', '.join(row.name for row in owners) or 'none yet'}."
    )


def known_site(connection: Connection, code: str) -> str:
    """Return the id of the site with this code; refused where there is none."""
    found = site_id(connection, code)
    if found is None:
        codes = list(connection.execute(sa.select(Site.code).order_by(Site.code).limit(30)).scalars())
        there = f" It has: {', '.join(codes)}." if codes else " It has no sites yet."
        raise Refused(f"There is no site {clean_text(code) or '“”'} in this register.{there}")
    return found


def known_area(connection: Connection, site: str, name: str) -> str:
    """Return the id of a site's area; refused where the site has none of this name."""
    areas = dict(
        connection.execute(sa.select(Area.name, Area.id).where(Area.site_id == site).order_by(Area.name)).all()
    )
    found = areas.get(clean_text(name))
    if found is None:
        raise Refused(
            f"The site has no area “{clean_text(name)}”. It has: {', '.join(list(areas)[:30]) or 'none yet'}."
        )
    return found


def plan_row(plan: ReadingPlan) -> dict[str, Any]:
    """Return a reading plan as it is kept in a site's row."""
    return {"multiples": [f"{multiple:f}" for multiple in plan.multiples], "half": plan.half, "ramp": plan.ramp}


def plan_of(row: dict[str, Any]) -> ReadingPlan:
    """Return a site's reading plan from its kept form."""
    multiples = tuple(Decimal(text) for text in row.get("multiples", ["1"]))
    return ReadingPlan(multiples, half=row.get("half", False), ramp=row.get("ramp", False))

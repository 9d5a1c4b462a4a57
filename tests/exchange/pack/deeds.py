"""Everything that can be done in the field, each by a name, so that tests can do any of it in any order."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

import sqlalchemy as sa

from register.domain.records import Reading as MeasuredReading
from register.domain.words import Condition, Duty, Kind, Result, WithdrawalReason
from register.errors import Refused
from register.services.bench.aside import set_aside
from register.services.conditions import change_condition
from register.services.corrections import void_record
from register.services.editing import change_item, item_form
from register.services.items import NewItem, add_item
from register.services.marks import mark_done
from register.services.moves import move_item
from register.services.places import area_named
from register.services.recording import record_tests
from register.services.tags import new_tag
from register.services.withdrawals.deeds import remove, withdraw
from register.store import audit
from register.store.engine import Change
from register.store.tables import Item, Record, Site
from tests.desk import OPERATING, QUICK, SLOW, SOUND, WHOLE, entry
from tests.exchange.pack.crew import Laptop
from tests.pictures import png


@dataclass(frozen=True)
class Deed:
    """Something done in the field, so many minutes after the packs were made, to one of the items there."""

    minute: int
    what: str
    item: int
    which: int


@dataclass(frozen=True)
class At:
    """One deed under way: the transaction, the laptop with its clock, the item, a site, and a number to vary it."""

    change: Change
    here: Laptop
    item: str
    site: str
    number: int
    which: int


def _test(at: At, duties: tuple[Duty, ...], readings: tuple[MeasuredReading, ...]) -> None:
    item = at.change.session.get_one(Item, at.item)
    code = at.change.session.get_one(Site, item.site_id).code
    made = entry(item.tag_number, at.here.today, duties, readings, Result.PASS, at.here.clock, site=code)
    record_tests(at.change, [made])


def _withdraw(at: At, reason: WithdrawalReason) -> None:
    withdraw(at.change, at.item, reason=reason, tag_number=f"OUT-{at.which}", at=at.here.clock, photo=_photo(at))


def _photo(at: At) -> bytes:
    """Return one of a few pictures, so that two laptops may add the same one; none every other time."""
    return png(8 + at.number % 3) if at.which % 2 else b""


def _add(at: At) -> None:
    area = area_named(at.change, at.site, f"Shed {at.which}")
    add_item(at.change, NewItem(f"NEW-{at.number}", area, Kind.APPLIANCE_CLASS_2, since=at.here.today))


def _edit(at: At, **said: str) -> None:
    form = item_form(at.change.session.connection(), at.item)
    change_item(at.change, at.item, replace(form.facts, **said), version=form.version)


def _miss(at: At) -> None:
    row, day = at.change.session.get_one(Item, at.item), at.here.today
    audit.log(at.change, audit.Name.ITEM_CHANGE, at.item, field="not_found_on", before=row.not_found_on, after=day)
    row.not_found_on = day


def _void(at: At) -> None:
    newest = sa.select(Record.id).where(Record.item_id == at.item).order_by(Record.id.desc()).limit(1)
    key = at.change.session.scalar(newest)
    if key is not None:
        void_record(at.change, key, f"Wrong item {at.which}")


WAYS: dict[str, Callable[[At], object]] = {
    "pass": lambda at: _test(at, WHOLE, (*SOUND, *QUICK)),
    "fail": lambda at: _test(at, WHOLE, (*SOUND, *SLOW)),
    "half": lambda at: _test(at, (OPERATING,), QUICK),
    "withdraw": lambda at: _withdraw(at, WithdrawalReason.DAMAGED),
    "overdue": lambda at: _withdraw(at, WithdrawalReason.OVERDUE),
    "remove": lambda at: remove(at.change, at.item, reason=f"Scrapped {at.which}"),
    "add": _add,
    "move": lambda at: move_item(at.change, at.item, area_named(at.change, at.site, f"Shed {at.which}")),
    "retag": lambda at: new_tag(at.change, at.item, number=f"RT-{at.which}"),
    "press": lambda at: mark_done(at.change, at.item, Duty.BUTTON_PRESS, at.here.today - timedelta(days=at.which)),
    "remark": lambda at: _edit(at, remarks=f"Remark {at.which}"),
    "class": lambda at: _edit(at, environment=("construction", "workshop", "benign")[at.which]),
    "repair": lambda at: change_condition(at.change, at.item, Condition.REPAIRED, since=at.here.today),
    "miss": _miss,
    "aside": lambda at: set_aside(at.change, f"UNKNOWN-{at.which}", at.site),
    "void": _void,
}


def do(laptop: Laptop, deed: Deed) -> bool:
    """Do one thing; whether the rules allowed it."""
    here = laptop.later(deed.minute)
    with here.read() as connection:
        items = list(connection.execute(sa.select(Item.id).order_by(Item.id)).scalars())
        sites = list(connection.execute(sa.select(Site.id).order_by(Site.code)).scalars())
    item, site = items[deed.item % len(items)], sites[deed.which % len(sites)]
    try:
        with here.change() as change:
            WAYS[deed.what](At(change, here, item, site, deed.item, deed.which))
    except Refused:
        return False
    return True

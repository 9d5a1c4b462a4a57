"""The command that decides on another interval for a duty of a site, an area or an item, or ends such a decision."""

from sqlalchemy.engine import Connection

from register.cli.context import Context
from register.cli.output import print_json
from register.domain.intervals import Interval, every_words
from register.domain.schedule import Scope
from register.domain.words import Duty, spoken
from register.errors import Refused
from register.services.deciding import Decided, decide, end_decision
from register.services.items import find_item
from register.services.overrides import NewOverride
from register.services.places import known_area, known_site
from register.store.engine import Change


def decide_interval(call: Context) -> None:
    """Decide on another interval, or end the decision that holds."""
    options = call.options
    duty = Duty(options.duty)
    with call.register() as register, call.change(register) as change:
        scope, target = _about(change.session.connection(), call)
        if options.end:
            done = end_decision(change, scope, target, duty, options.reason)
        else:
            done = decide(change, _meant(change, call, scope, target))
    if call.json:
        print_json({
            "scope": scope.name.lower(), "duty": duty, "every": None if options.end else options.every,
            "items": done.items, "earlier": done.earlier, "later": done.later, "first": done.first,
        })  # fmt: skip
        return
    _print(call, duty, done)


def _about(connection: Connection, call: Context) -> tuple[Scope, str]:
    """Return what the decision is about: the item of a tag, else the area named, else the site."""
    options = call.options
    if options.tag and options.area:
        raise Refused("A decision is about an item or an area. Give the tag or --area, not both.")
    if options.tag:
        return Scope.ITEM, find_item(connection, options.tag, site=options.site)
    if not options.site:
        raise Refused("A decision is about something. Give the tag of an item, or --site CODE.")
    site = known_site(connection, options.site)
    return (Scope.AREA, known_area(connection, site, options.area)) if options.area else (Scope.SITE, site)


def _meant(change: Change, call: Context, scope: Scope, target: str) -> NewOverride:
    options = call.options
    if not options.every or options.review is None:
        raise Refused("Another interval needs --every, such as P3M, and --review with the day it is looked at again.")
    return NewOverride(
        scope=scope,
        target_id=target,
        duty=Duty(options.duty),
        interval=Interval.parse(options.every),
        reason=options.reason,
        approver=options.approved_by,
        approved_on=options.approved_on or change.today,
        review_on=options.review,
    )


def _print(call: Context, duty: Duty, done: Decided) -> None:
    how = "by the rulebook again" if call.options.end else every_words(Interval.parse(call.options.every))
    print(f"{spoken(duty).capitalize()} {how}. {done.words}")

"""What happens to an item between tests: repaired, put in store, taken into use again, found to be out of scope."""

from datetime import date

from register.domain.text import clean_text
from register.domain.words import Condition
from register.errors import Refused
from register.services.projection import REMOVED, redate
from register.services.recording import check_day
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item


def change_condition(change: Change, item_id: str, condition: Condition, *, since: date, reason: str = "") -> None:
    """Note an item's condition from a day on; its dates follow at once.

    Refused for removed items, for days that can't be, and without a reason where the item leaves the scope.
    """
    item = change.session.get_one(Item, item_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good, so nothing about it changes any more.")
    check_day(since, change.today)
    said = clean_text(reason)
    if condition is Condition.OUT_OF_SCOPE and not said:
        raise Refused(f"{item.tag_number} can't be put out of scope without a reason. Say why the rules leave it out.")
    before = {"condition": item.condition, "since": item.condition_since, "reason": item.scope_reason}
    item.condition, item.condition_since = condition.value, since
    item.scope_reason = said if condition is Condition.OUT_OF_SCOPE else ""
    after = {"condition": condition.value, "since": since, "reason": said}
    audit.log(change, Name.ITEM_CHANGE, item.id, before=before, after=after)
    redate(change, [item_id])

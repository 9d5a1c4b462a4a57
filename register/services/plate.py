"""What an item's rating plate says, corrected by whoever holds the item in hand."""

from register.domain.items import MOST_OUTLETS, Item
from register.errors import Refused
from register.services.cases import lead_row, switch_row
from register.services.projection import REMOVED, redate
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item as ItemRow


def change_plate(change: Change, item_id: str, plate: Item) -> bool:
    """Keep the outlets, the rated current, the safety switch and a lead's size as found; whether any differed.

    Refused for removed items and an impossible number of outlets. The item's dates follow at once.
    """
    row = change.session.get_one(ItemRow, item_id)
    if row.state == REMOVED:
        raise Refused(f"{row.tag_number} was removed for good, so nothing about it changes any more.")
    if not 0 <= plate.outlets <= MOST_OUTLETS:
        raise Refused(f"{row.tag_number} can't have {plate.outlets} outlets. Give a number from 0 to {MOST_OUTLETS}.")
    after = {
        "outlets": plate.outlets,
        "rated_current_a": None if plate.rated_current_a is None else f"{plate.rated_current_a:f}",
        "switch": switch_row(plate.safety_switch),
        "lead": lead_row(plate.lead),
    }
    before = {name: getattr(row, name) for name in after}
    if before == after:
        return False
    for name, value in after.items():
        setattr(row, name, value)
    audit.log(change, Name.ITEM_CHANGE, item_id, before=before, after=after)
    redate(change, [item_id])
    return True

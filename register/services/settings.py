"""What holds for the whole register: the firm, whether its data are samples, how early a date counts as due soon."""

from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Setting
from register.store.types import new_key

NAMES: Final = {
    "register_id": "which register this is",
    "firm": "the contractor's name",
    "firm_contact": "how to reach him",
    "sample": "whether the data are samples, made up",
    "soon_days": "within how many days a date counts as due soon",
    "state": "the state whose public holidays count",
    "default_rulebook": "the rulebook of new sites",
    "copies_folder": "the folder where copies of the register go",
}

MOST_SOON_DAYS: Final = 366


def setting(connection: Connection, name: str, default: Any = None) -> Any:  # noqa: ANN401 - settings are of many kinds
    """Return a setting, or the default where it was never set."""
    found = connection.execute(sa.select(Setting.value).where(Setting.name == name)).first()
    return default if found is None else found[0]


def set_setting(change: Change, name: str, value: Any) -> None:  # noqa: ANN401 - settings are of many kinds
    """Set one of the register's settings; refused for one that does not exist, and for days that are none."""
    if name not in NAMES:
        raise Refused(f"There is no setting “{name}”. There are: {', '.join(NAMES)}.")
    if name == "soon_days" and not (isinstance(value, int) and 0 <= value <= MOST_SOON_DAYS):
        raise Refused(f"“{value}” is not a number of days. Give a whole number from 0 to {MOST_SOON_DAYS}.")
    before = setting(change.session.connection(), name)
    if before == value:
        return
    change.session.merge(Setting(name=name, value=value))
    change.session.flush()
    register = setting(change.session.connection(), "register_id") or new_key()
    audit.log(change, Name.SETTING_CHANGE, register, setting=name, before=before, after=value)


def begin(change: Change, *, firm: str, sample: bool = False, contact: str = "") -> None:
    """Give a new register its id, and say whose it is and whether its data are samples."""
    key = new_key()
    change.session.add(Setting(name="register_id", value=key))
    change.session.flush()
    audit.log(change, Name.REGISTER_CREATE, key, firm=firm, sample=sample)
    for name, value in (("firm", firm), ("firm_contact", contact), ("sample", sample)):
        set_setting(change, name, value)

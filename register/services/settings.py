"""What holds for the whole register, described once: each setting with its label, its help, its range, its default.

Forms, the checks of what is set, and what stands in for a value that can't be read all come from this one table.
"""

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.standing import SOON_DAYS
from register.domain.tag_stock import FARTHEST_NUDGE_MM
from register.domain.text import clean_text
from register.errors import Refused
from register.planning.kept_settings import drives_from, settings_from
from register.planning.workload import CREW_HOURS, MOST_CREW_HOURS, crew_hours_from, minutes_from
from register.services.rulebooks import rulebook, rulebook_ids
from register.services.tag_stock import OWN, own_stock, stocks_known
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.on_share import CHANGED_ON_SHARE
from register.store.tables import Setting
from register.store.types import new_key

MOST_SOON_DAYS: Final = 366
KEEP_YEARS: Final = 7
"""So many years records are kept: AS/NZS 3760:2003 clause 2.5.2, restated second-hand."""

MOST_YEARS: Final = 100
LONGEST: Final = 300
SECRET: Final = "pack_secret"  # noqa: S105 - the name of a setting
STATES: Final = (
    ("ACT", "Australian Capital Territory"), ("NSW", "New South Wales"), ("NT", "Northern Territory"),
    ("QLD", "Queensland"), ("SA", "South Australia"), ("TAS", "Tasmania"), ("VIC", "Victoria"),
    ("WA", "Western Australia"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Described:
    """One setting. `read` returns what is kept of a value and refuses, with a sentence, one that can't be.

    `asked` marks those that a person answers in the form of settings. `choices` gives the values to choose from,
    each with its words; None where anything of the kind can be given. `form` is how it is asked: a line of text,
    a whole number, one of the choices, or a folder.
    """

    name: str
    label: str
    help: str
    default: Any
    read: Callable[[Any], Any]
    form: str = ""
    choices: Callable[[], tuple[tuple[str, str], ...]] | None = None

    @property
    def asked(self) -> bool:
        """Whether a person answers it in the form of settings."""
        return bool(self.form)


def _text(value: Any) -> str:  # noqa: ANN401 - whatever was kept
    if not isinstance(value, str):
        raise Refused(f"“{value}” is not a text.")
    kept = clean_text(value)
    if len(kept) > LONGEST:
        raise Refused(f"“{kept[:24]}…” has {len(kept)} characters. Keep it to {LONGEST}.")
    return kept


def _folder(value: Any) -> str:  # noqa: ANN401 - whatever was kept
    if not isinstance(value, str) or "\0" in value:
        raise Refused(f"“{value}” is not the name of a folder.")
    return value.strip()


def _flag(value: Any) -> bool:  # noqa: ANN401 - whatever was kept
    if not isinstance(value, bool):
        raise Refused(f"“{value}” is neither yes nor no.")
    return value


def _days(value: Any) -> int:  # noqa: ANN401 - whatever was kept or typed
    number = int(value) if isinstance(value, str) and value.strip().isdecimal() else value
    if not isinstance(number, int) or isinstance(number, bool) or not 0 <= number <= MOST_SOON_DAYS:
        raise Refused(f"“{value}” is not a number of days. Give a whole number from 0 to {MOST_SOON_DAYS}.")
    return number


def _years(value: Any) -> int:  # noqa: ANN401 - whatever was kept or typed
    number = int(value) if isinstance(value, str) and value.strip().isdecimal() else value
    if not isinstance(number, int) or isinstance(number, bool) or not 1 <= number <= MOST_YEARS:
        raise Refused(f"“{value}” is not a number of years. Give a whole number from 1 to {MOST_YEARS}.")
    return number


def _state(value: Any) -> str:  # noqa: ANN401 - whatever was kept
    if value and value not in dict(STATES):
        raise Refused(f"“{value}” is not a state or territory. Choose one of: {', '.join(dict(STATES))}.")
    return str(value or "")


def _rulebook(value: Any) -> str:  # noqa: ANN401 - whatever was kept
    return rulebook(str(value)).id if value else ""


def _hours(value: Any) -> str:  # noqa: ANN401 - whatever was kept or typed
    return f"{crew_hours_from(value):f}"


def _minutes(value: Any) -> Any:  # noqa: ANN401 - whatever was kept
    if not isinstance(value, dict) or not all(isinstance(row, dict) for row in value.values()):
        raise Refused(f"“{value}” is no table of minutes by kind and check.")
    minutes_from(value)
    return value


def _planning(value: Any) -> Any:  # noqa: ANN401 - whatever was kept
    settings_from(value)
    return value


def _drives(value: Any) -> Any:  # noqa: ANN401 - whatever was kept
    drives_from(value)
    return value


def _pack(value: Any) -> Any:  # noqa: ANN401 - whatever was kept
    if not isinstance(value, dict):
        raise Refused(f"“{value}” describes no field pack.")
    return value


def _stock(value: Any) -> str:  # noqa: ANN401 - whatever was kept
    known = {OWN, *(each.id for each in stocks_known())}
    if value not in known:
        raise Refused(f"There is no format of labels “{value}”. There are: {', '.join(sorted(known))}.")
    return str(value)


def _own_labels(value: Any) -> Any:  # noqa: ANN401 - whatever was kept
    if not isinstance(value, dict):
        raise Refused(f"“{value}” describes no labels.")
    own_stock(value)
    return value


def _on_or_off(value: Any) -> str:  # noqa: ANN401 - whatever was kept
    if value not in {"on", "off"}:
        raise Refused(f"“{value}” is neither on nor off.")
    return str(value)


def _expired(value: Any) -> str:  # noqa: ANN401 - whatever was kept
    if value not in {"warn", "refuse"}:
        raise Refused(f"“{value}” is neither warn nor refuse.")
    return str(value)


def _nudges(value: Any) -> Any:  # noqa: ANN401 - whatever was kept
    """Return for each printer by how many mm its labels are moved to the right and down."""
    pairs = list(value.values()) if isinstance(value, dict) else [None]
    if not all(map(_is_nudge, pairs)):
        raise Refused(f"Labels can be nudged by at most {FARTHEST_NUDGE_MM:.0f} mm to each side.")
    return value


def _is_nudge(pair: Any) -> bool:  # noqa: ANN401 - whatever was kept
    numbers = isinstance(pair, list) and len(pair) == len("xy") and all(isinstance(mm, int | float) for mm in pair)
    return numbers and all(abs(mm) <= FARTHEST_NUDGE_MM for mm in pair)


def _mappings(value: Any) -> Any:  # noqa: ANN401 - whatever was kept
    """Return how the sheets of each source are read: its name, what its headings hash to, and the mapping's text."""
    names = ("source", "heads", "text")
    kept = value if isinstance(value, list) else [None]
    if not all(isinstance(each, dict) and all(isinstance(each.get(name), str) for name in names) for each in kept):
        raise Refused("That says of no source how its sheets are read. Give of each its name, headings and mapping.")
    return kept


def _rulebooks() -> tuple[tuple[str, str], ...]:
    return tuple((key, rulebook(key).title) for key in rulebook_ids())


SCHEMA: Final = (
    Described("register_id", "Which register this is", "", "", _text),
    Described("firm", "Your firm", "Stands on every workbook and notice.", "", _text, "text"),
    Described("firm_contact", "How to reach you", "Telephone or e-mail, beside the firm's name.", "", _text, "text"),
    Described("sample", "Whether the data are samples, made up", "", default=False, read=_flag),
    Described(
        "soon_days", "Due soon, in days",
        f"A date this near counts as due soon. From 0 to {MOST_SOON_DAYS}; {SOON_DAYS} unless you say otherwise.",
        SOON_DAYS, _days, "count",
    ),
    Described(
        "state", "State or territory", "For public holidays in later plans.", "", _state, "choice", lambda: STATES
    ),
    Described(
        "default_rulebook", "Rulebook of new sites", "Each site can have another.", "", _rulebook, "choice", _rulebooks
    ),
    Described(
        "expired", "Licence or calibration run out",
        "On the day of a test. A warning stays with its record; or the test is refused.", "warn", _expired, "choice",
        lambda: (("warn", "Warn, and keep the warning"), ("refuse", "Refuse the test")),
    ),
    Described(
        "keep_years", "Years that records are kept",
        f"From 1 to {MOST_YEARS}; {KEEP_YEARS} unless you say otherwise. Whatever the years, the last test stays until"
        " the next one or until the item is removed for good, the law's least. Nothing is removed by itself.",
        KEEP_YEARS, _years, "count",
    ),
    Described("copies_folder", "Where copies go", "Best on another disk, so that one fault can't take both.", "",
              _folder, "folder"),
    Described("second_copies_folder", "A second place for copies", "Such as a stick, or a folder of another computer.",
              "", _folder, "folder"),
    Described(CHANGED_ON_SHARE, "Whether it is changed although it lies on a network drive", "", default=False,
              read=_flag),
    Described(
        "crew_hours", "Crew hours a week",
        f"Hours at items in a week, all of the crew together, without driving and paper. From 0 to {MOST_CREW_HOURS};"
        f" {CREW_HOURS} unless you say otherwise (common practice, no source).",
        f"{CREW_HOURS:f}", _hours,
    ),
    Described("minutes", "Minutes of each check on an item of each kind", "", None, _minutes),
    Described("planning", "Base, lunch, pace and days off of plans", "", None, _planning),
    Described("drives", "Distances and drives you know", "", None, _drives),
    Described("tag_stock", "Labels that tags are printed on", "", stocks_known()[0].id, _stock),
    Described("tag_own_labels", "Our own format of labels", "", None, _own_labels),
    Described("tag_colours", "Colour of the quarter on tags", "", "on", _on_or_off),
    Described("tag_nudges", "By how much each printer's labels are moved", "", None, _nudges),
    Described("sheet_mappings", "How the sheets of each source are read", "", None, _mappings),
    Described(SECRET, "What seals the field packs of this register", "", "", _text),
    Described("field_pack", "Whose field pack this register is", "", None, _pack),
)  # fmt: skip

BY_NAME: Final = {each.name: each for each in SCHEMA}


@dataclass(frozen=True, slots=True)
class SettingsRead:
    """All settings, the default where one was never set or can't be. `problems` are sentences about those."""

    values: dict[str, Any]
    problems: tuple[str, ...]


def setting(connection: Connection, name: str, default: Any = None) -> Any:  # noqa: ANN401 - settings are of many kinds
    """Return a setting, or the default where it was never set, or where what is kept can't be one."""
    found = connection.execute(sa.select(Setting.value).where(Setting.name == name)).first()
    if found is None:
        return default
    try:
        return BY_NAME[name].read(found[0])
    except Refused:
        return default


def settings(connection: Connection) -> SettingsRead:
    """Return every setting; one that can't be read or that nobody knows is reported and left aside."""
    values = {each.name: each.default for each in SCHEMA}
    problems = []
    for name, value in connection.execute(sa.select(Setting.name, Setting.value).order_by(Setting.name)):
        if name not in BY_NAME:
            problems.append(f"The register keeps a setting “{name}” that this program does not know. It was left.")
            continue
        try:
            values[name] = BY_NAME[name].read(value)
        except Refused as why:
            problems.append(f"{BY_NAME[name].label}: {why} The default counts until you set it anew.")
    return SettingsRead(values, tuple(problems))


def set_setting(change: Change, name: str, value: Any) -> None:  # noqa: ANN401 - settings are of many kinds
    """Set one of the register's settings; None takes it away. Refused for one that does not exist or can't be."""
    if name not in BY_NAME:
        raise Refused(f"There is no setting “{name}”. There are: {', '.join(BY_NAME)}.")
    kept = None if value is None else BY_NAME[name].read(value)
    session = change.session
    row = session.get(Setting, name)
    before = None if row is None else row.value
    if before == kept:
        return
    if kept is None:
        session.delete(row)
    else:
        session.merge(Setting(name=name, value=kept))
    session.flush()
    register = setting(session.connection(), "register_id") or new_key()
    audit.log(change, Name.SETTING_CHANGE, register, setting=name, before=before, after=kept)


def begin(change: Change, *, firm: str, sample: bool = False, contact: str = "") -> None:
    """Give a new register its id, and say whose it is and whether its data are samples."""
    key = new_key()
    change.session.add(Setting(name="register_id", value=key))
    change.session.flush()
    keep_secret(change)
    audit.log(change, Name.REGISTER_CREATE, key, firm=firm, sample=sample)
    for name, value in (("firm", firm), ("firm_contact", contact), ("sample", sample)):
        set_setting(change, name, value)


def keep_secret(change: Change) -> None:
    """Give the register the secret that seals its field packs, where it has none. It is never logged nor printed."""
    if change.session.get(Setting, SECRET) is None:
        change.session.add(Setting(name=SECRET, value=secrets.token_hex(32)))
        change.session.flush()

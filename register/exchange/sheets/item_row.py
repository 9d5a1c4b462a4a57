"""The item that a row describes."""

import re
from decimal import Decimal
from typing import Final

from register.domain.items import MOST_OUTLETS, SAFETY_SWITCHES, SafetySwitch
from register.domain.text import clean_tag
from register.domain.words import Condition, Delay, Kind, SwitchType, Waveform, spoken
from register.errors import Refused
from register.exchange.sheets.fields import Field
from register.exchange.sheets.headings import Column
from register.exchange.sheets.row import RowCells
from register.exchange.sheets.value_words import PLAIN_APPLIANCES
from register.exchange.sheets.values import KindText, key_of, read_kind
from register.services.intake.rows import IntakeItem

MILLIAMPERES: Final = {"": Decimal(1), "ma": Decimal(1), "a": Decimal(1000)}
AMPERES: Final = {"": Decimal(1), "a": Decimal(1), "amp": Decimal(1), "amps": Decimal(1)}
NO_UNIT: Final = {"": Decimal(1)}
MOST_MILLIAMPERES: Final = Decimal(10_000)
MOST_AMPERES: Final = Decimal(1_000)

APPLIANCES: Final = frozenset({Kind.APPLIANCE_CLASS_1, Kind.APPLIANCE_CLASS_2})

_SWITCH: Final = re.compile(r"\bp?rc(?:d|bo)s?\b|\bsafety switch", re.IGNORECASE)
_BETWEEN_TAGS: Final = re.compile(r"\s*[,;]\s*")


def read_tag(row: RowCells, column: Column) -> str:
    """Return the tag of a row, or nothing, with the reason kept, where it has none that can be taken."""
    text = row.text(column)
    if row.refused:
        return ""
    if not text:
        row.complain(column, "The row has no tag. Find out the item's tag and write it in.")
        return ""
    try:
        return clean_tag(text)
    except Refused as refused:
        row.complain(column, str(refused))
        return ""


def read_item(row: RowCells, tag: str) -> IntakeItem:
    """Return the item of a row. Where `row.refused` then says so, it is not to be taken."""
    single, constants = row.sheet.single, row.sheet.layout.constants
    site, site_name = read_site(row)
    kind = _kind(row)
    found = kind or KindText("")
    standing = row.word(single.get(Field.STANDING))
    removed, since = row.day(single.get(Field.REMOVED_ON)), row.day(single.get(Field.SINCE))
    condition = Condition(standing) if standing in set(Condition) else Condition.IN_USE
    outlets = row.number(single.get(Field.OUTLETS), NO_UNIT, Decimal(MOST_OUTLETS))
    return IntakeItem(
        place=row.place,
        tag=tag,
        site=site,
        site_name=site_name,
        owner=row.text(single.get(Field.OWNER)) or constants.owner,
        area=row.text(single.get(Field.AREA)) or row.under or constants.area,
        kind=Kind(found.kind) if found.kind else None,
        description=row.text(single.get(Field.DESCRIPTION)),
        serial=row.text(single.get(Field.SERIAL)),
        environment=row.word(single.get(Field.ENVIRONMENT)),
        area_environment=row.word(single.get(Field.AREA_ENVIRONMENT)),
        outlets=found.outlets if outlets is None else int(outlets),
        safety_switch=_safety_switch(row, found),
        rated_current_a=row.number(single.get(Field.RATED_CURRENT), AMPERES, MOST_AMPERES, "A"),
        earlier_tags=_earlier_tags(row, tag),
        condition=condition,
        since=since[0] if since and condition in {Condition.IN_USE, Condition.NEW} else None,
        moved_in_use=row.flag(single.get(Field.MOVED_IN_USE)),
        protected_by_switch=row.flag(single.get(Field.PROTECTED_BY_SWITCH)),
        risk_factor=row.flag(single.get(Field.RISK_FACTOR)),
        removed_on=removed[0] if removed else None,
        not_found=standing == "not-found",
        out_of_service=standing == "out-of-service",
    )


def read_site(row: RowCells) -> tuple[str, str]:
    """Return the site's code and name. Where the sheet has only a name, that stands for the code as well."""
    single, constants = row.sheet.single, row.sheet.layout.constants
    name = row.text(single.get(Field.SITE_NAME)) or constants.site_name
    column = single.get(Field.SITE)
    code = row.text(column) or constants.site or name
    if not code and column and not row.refused:
        row.complain(column, "The row does not say at which site the item is. Write in the site's code.")
    return code, name


def _kind(row: RowCells) -> KindText | None:
    """Return the kind of a row's item; a plain “appliance” is told by the column of its protection class."""
    single = row.sheet.single
    column = single.get(Field.KIND)
    of_class = row.word(single.get(Field.APPLIANCE_CLASS))
    text = row.text(column)
    if column is None or not text:
        of_all = row.sheet.layout.constants.kind
        return KindText(of_all) if of_all else _kind_of_class(row, of_class) if of_class else None
    table = row.sheet.tables[Field.KIND]
    found = read_kind(text, table)
    if found:
        return found
    if key_of(text) in PLAIN_APPLIANCES and of_class:
        return KindText(of_class)
    row.complain_of_word(column, text, table)
    return None


def _kind_of_class(row: RowCells, of_class: str) -> KindText:
    """Return the kind of an item of which no column says the kind, only its class, which leads have as well."""
    column = row.sheet.single.get(Field.DESCRIPTION)
    text = row.text(column)
    kinds = row.sheet.tables[Field.KIND]
    told = read_kind(text, kinds)
    if column is None or (told and told.kind in APPLIANCES):
        return KindText(of_class)
    if told:
        reason = f"What it is was taken from here ({spoken(Kind(told.kind))}), not from its class."
        row.complain(column, reason, refused=False)
        return told
    if _SWITCH.search(text):
        reason = "By its class it was taken for an appliance, though this speaks of a safety switch. Say what it is."
        row.suggest(column, text, kinds)
        row.complain(column, reason, refused=False, in_mapping=f'[values.kind] "{text}" = "…"')
    return KindText(of_class)


def _safety_switch(row: RowCells, found: KindText) -> SafetySwitch | None:
    """Return what the row says of the item's safety switch; None where it neither is nor carries one."""
    single = row.sheet.single
    rated = row.number(single.get(Field.RATED_RESIDUAL), MILLIAMPERES, MOST_MILLIAMPERES, "mA")
    declared = row.word(single.get(Field.SWITCH_TYPE))
    waveform = row.word(single.get(Field.WAVEFORM))
    delay = row.word(single.get(Field.DELAY))
    if not (rated or declared or waveform or delay or found.with_switch or found.kind in SAFETY_SWITCHES):
        return None
    return SafetySwitch(
        rated_residual_ma=rated,
        type=SwitchType(declared) if declared else None,
        delay=Delay(delay) if delay else Delay.GENERAL,
        waveform=Waveform(waveform) if waveform else None,
    )


def _earlier_tags(row: RowCells, tag: str) -> tuple[str, ...]:
    tags = []
    for column in row.sheet.several.get(Field.EARLIER_TAGS, ()):
        for text in _BETWEEN_TAGS.split(row.text(column)):
            if not text:
                continue
            try:
                tags.append(clean_tag(text))
            except Refused as refused:
                row.complain(column, str(refused))
    return tuple(dict.fromkeys(number for number in tags if number != tag))

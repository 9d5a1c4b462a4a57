"""The words of the owner workbook read back: what `exchange/workbook/wording.py` wrote, in the register's terms."""

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Final, TypeVar

from register.domain.items import SafetySwitch
from register.domain.places import CURRENT_WORDS
from register.domain.words import Check, Delay, Duty, Kind, SetUp, SwitchType, TestCurrent, Waveform, spoken
from register.errors import Refused
from register.exchange.sheets.dates import DateRules, read_date
from register.exchange.sheets.fields import DateStyle
from register.exchange.workbook.wording import NO_SET_UP, SET_UPS, UNREADABLE, capital, word

_Word = TypeVar("_Word", bound=StrEnum)

_MILLIAMPERES: Final = re.compile(r"(\d{1,6}(?:\.\d{1,6})?) mA")
_AMPERES: Final = re.compile(r"(\d{1,6}(?:\.\d{1,6})?) A")
_OUTLETS: Final = re.compile(r"(\d{1,2}) outlets")
_REMOVED: Final = re.compile(r"Removed for good on (\d{1,2} [A-Z][a-z]{2} \d{4})")


def said(words: Iterable[_Word], text: str) -> _Word | None:
    """Return the word that stands in a cell as `wording.word` writes it; None where it is none of them."""
    return next((each for each in words if word(each) == text), None)


def said_duties(text: str) -> tuple[Duty, ...]:
    """Return the duties named in one cell."""
    named = {spoken(duty).casefold(): duty for duty in Duty}
    return tuple(named[part] for part in text.casefold().split("; ") if part in named)


def said_kind(text: str) -> Kind | None:
    """Return the kind of an item."""
    return said(Kind, text)


def said_check(text: str) -> tuple[Check, TestCurrent | None] | None:
    """Return what was checked, and with which test current where that is named."""
    name, comma, rest = text.partition(", ")
    check = said(Check, name)
    if check is None or not comma:
        return (check, None) if check else None
    current = next((each for each, words in CURRENT_WORDS.items() if rest == f"{words} current"), None)
    return (check, current) if current else None


def said_instrument(text: str) -> tuple[str, SetUp | None]:
    """Return the instrument and how the safety switch was connected to it."""
    *rest, last = text.split("; ")
    set_up = next((each for each, words in SET_UPS.items() if words == last.casefold()), None)
    return ("; ".join(rest), set_up) if set_up or last == NO_SET_UP else (text, None)


def said_rating(text: str) -> tuple[SafetySwitch | None, Decimal | None, int | None]:
    """Return what a rating plate says: the safety switch, the rated current, and how many outlets."""
    switch, amperes, outlets = SafetySwitch(), None, None
    named = False
    for part in filter(None, text.split(", ")):
        if match := _AMPERES.fullmatch(part):
            amperes = Decimal(match[1])
        elif match := _OUTLETS.fullmatch(part):
            outlets = int(match[1])
        else:
            switch, named = _plate(switch, part), True
    return switch if named else None, amperes, outlets


def _plate(switch: SafetySwitch, part: str) -> SafetySwitch:
    match = _MILLIAMPERES.fullmatch(part)
    if match:
        return replace(switch, rated_residual_ma=Decimal(match[1]))
    name, _, value = part.partition(" ")
    if part == "general IEC type":
        return replace(switch, type=SwitchType.IEC)
    if part.casefold() == "selective":
        return replace(switch, delay=Delay.SELECTIVE)
    if name.casefold() == "type" and value in set(SwitchType):
        return replace(switch, type=SwitchType(value))
    if name.casefold() == "waveform" and value in set(Waveform):
        return replace(switch, waveform=Waveform(value))
    if part == capital(UNREADABLE):
        return switch
    raise Refused(f"“{part}” is nothing that a rating plate says in a workbook of this program. Correct the cell.")


def removal_day(remarks: str, rules: DateRules) -> date | None:
    """Return the day on which the remarks say that the item was removed for good; None where they don't."""
    match = _REMOVED.match(remarks)
    return read_date(match[1], (DateStyle.DAY_NAME_YEAR,), rules)[0] if match else None

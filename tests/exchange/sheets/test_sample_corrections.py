"""Each sample sheet comes in with at most three corrections made at the dialog, and nothing in it is mistaken."""

from collections.abc import Callable
from datetime import date
from typing import Final

import pytest

from register.exchange.sheets.corrected import with_column, with_word
from register.exchange.sheets.fields import ColumnUse, DateStyle, Field
from register.exchange.sheets.mapping import Constants, Mapping
from register.services.intake.rows import IntakeItem
from tests.exchange.sheets.made_files import read
from tests.exchange.sheets.test_samples import CLASSES, KNOWN, NOTED, PLAN, ROOT, SITES, read_sample

MOST: Final = 3
Correction = Callable[[str, Mapping], Mapping]


def column(heading: str, field: Field, *styles: DateStyle) -> Correction:
    return lambda sheet, mapping: with_column(mapping, sheet, heading, ColumnUse(field, date_styles=styles))


def word(text: str, meaning: str) -> Correction:
    return lambda _sheet, mapping: with_word(mapping, Field.ENVIRONMENT.value, text, meaning)


LIST = (column("Number", Field.TAG), column("Use", Field.ENVIRONMENT), word("office use", "benign"))
FLATS = word("Resi", "residential")
DISPOSED = column("Disposed on", Field.REMOVED_ON, DateStyle.DAY_MONTH_YEAR)
CORRECTIONS: Final[dict[str, tuple[Correction, ...]]] = {
    "HOTEL": (FLATS, word("Office", "benign"), word("Wshop", "workshop")),
    "HALL": (FLATS,),
    "KESTREL": (word("Constr.", "construction"),),
    "HIRE": LIST,
    "ACCTS": LIST,
    "CLINIC": LIST,
    "BAKERY": LIST,
    "FAB": (column("Date tested", Field.TESTED_ON, DateStyle.DAY_MONTH_YEAR),),
    "DAIRY": (DISPOSED,),
    "GARAGE": (DISPOSED,),
}


def told(item: IntakeItem) -> tuple[object, ...]:
    return item.tag, item.kind, item.area, item.environment, item.description, item.serial, item.safety_switch


@pytest.mark.parametrize("code", SITES)
def test_a_sample_comes_in_with_few_corrections_and_as_with_the_mapping_of_its_source(code: str) -> None:
    site, corrections = SITES[code], CORRECTIONS.get(code, ())
    assert len(corrections) <= MOST
    mapping = Mapping()
    for correction in corrections:
        mapping = correction((ROOT / site["file"]).stem, mapping)
    reading = read(
        ROOT / site["file"], mapping, today=date.fromisoformat(str(PLAN["demo"]["today"])),
        environments=frozenset(CLASSES[site["rulebook"]]), constants=Constants(site=code),
    )  # fmt: skip

    assert reading.questions == ()
    known = {(each["row"], each["column"]) for each in KNOWN if each["file"] == site["file"]
             and each["problem"] not in NOTED}  # fmt: skip
    assert {(each.place.row, each.column) for each in reading.rows.problems if each.refused} == known
    whole = read_sample(code).rows
    assert list(map(told, reading.rows.items)) == list(map(told, whole.items))
    assert {each.tag for each in reading.rows.records} == {each.tag for each in whole.records}

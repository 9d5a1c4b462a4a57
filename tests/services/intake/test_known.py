"""A file changes of a known item what it states, and tells what it does not change."""

from datetime import date
from decimal import Decimal

import pytest
import sqlalchemy as sa

from register.domain.items import SafetySwitch
from register.domain.words import Condition, Delay, SwitchType
from register.services.intake.rows import RowPlace, RowProblem
from register.store.lists import ItemFilter, Sort, item_page
from register.store.tables import Event, Item
from tests.desk import TYPE_II, Desk
from tests.registers import TODAY
from tests.services.sheet import SWITCH, counts, item, take


@pytest.fixture
def known(desk: Desk) -> Desk:
    """A register that holds a lead and a selective switch already."""
    plate = SafetySwitch(Decimal(30), SwitchType.IV, Delay.SELECTIVE)
    take(
        desk,
        [
            item("L1", description="Reel", serial="S1", outlets=4, area="Shed", earlier_tags=("OLD1",)),
            item("P1", SWITCH, safety_switch=plate),
        ],
    )
    return desk


def column(desk: Desk, tag: str, name: str) -> object:
    with desk.read() as connection:
        return connection.execute(sa.select(getattr(Item, name)).where(Item.tag_number == tag)).scalar_one()


@pytest.mark.parametrize(
    ("stated", "name", "value"),
    [
        ({"description": " Cable  reel "}, "description", "Cable reel"),
        ({"serial": "S2"}, "serial", "S2"),
        ({"outlets": 2}, "outlets", 2),
        ({"rated_current_a": Decimal(10)}, "rated_current_a", "10"),
        (
            {"safety_switch": TYPE_II},
            "switch",
            {"delay": "general", "rated_residual_ma": "30", "type": "II", "waveform": "A"},
        ),
    ],
)
def test_a_changed_cell_changes_the_item_and_leaves_an_event(
    known: Desk, stated: dict, name: str, value: object
) -> None:
    taken = take(known, [item("old1", **stated)])
    assert counts(taken) == (0, 1, 0, 0, 0, 0, 0)
    assert column(known, "L1", name) == value
    with known.read() as connection:
        facts = connection.execute(sa.select(Event.data).where(Event.name == "item:change")).scalar_one()
    assert f'"{name}":' in facts
    assert known.faults() == ()


def test_a_changed_description_is_what_the_item_is_found_by(known: Desk) -> None:
    take(known, [item("L1", description="Orange drum")])
    with known.read() as connection:
        found = {
            text: [row.tag_number for row in item_page(connection, ItemFilter(TODAY, text=text), sort=Sort.TAG)]
            for text in ("orange", "reel")
        }
    assert found == {"orange": ["L1"], "reel": []}


def test_an_empty_cell_says_nothing(known: Desk) -> None:
    taken = take(known, [item("L1", None), item("P1", None)])
    assert counts(taken) == (0, 0, 2, 0, 0, 0, 0)
    assert taken.problems == ()
    assert column(known, "L1", "description") == "Reel"


def test_a_plate_read_in_part_adds_to_what_is_known_of_it(known: Desk) -> None:
    assert counts(take(known, [item("P1", SWITCH, safety_switch=SafetySwitch(Decimal(30)))])) == (0, 0, 1, 0, 0, 0, 0)
    take(known, [item("P1", SWITCH, safety_switch=SafetySwitch(Decimal(100)))])
    assert column(known, "P1", "switch") == {"delay": "selective", "rated_residual_ma": "100", "type": "IV"}


NOTES = [
    (
        {"kind": SWITCH},
        "kind",
        "portable safety switch",
        "The register has extension lead here; it was left so. Change it there if the sheet is right.",
    ),
    (
        {"area": "Loft"},
        "area",
        "Loft",
        "The register has Shed here; it was left so. Change it there if the sheet is right.",
    ),
    (
        {"environment": "hire"},
        "environment",
        "hire",
        "The register has nothing here; it was left so. Change it there if the sheet is right.",
    ),
    (
        {"condition": Condition.STORED},
        "condition",
        "stored",
        "The register has in use here; it was left so. Change it there if the sheet is right.",
    ),
    (
        {"removed_on": date(2026, 3, 1)},
        "removed",
        "1 Mar 2026",
        "The register still has it. Remove it there if it is gone for good.",
    ),
    (
        {"not_found": True},
        "not found",
        "L1",
        "The register does not say so, and was left as it is. Look for the item at the next visit.",
    ),
]


@pytest.mark.parametrize(("stated", "name", "value", "reason"), NOTES)
def test_what_a_file_does_not_change_by_itself_is_told(
    known: Desk, stated: dict, name: str, value: str, reason: str
) -> None:
    before = known.events()
    taken = take(known, [item("L1", **stated)])
    assert taken.problems == (RowProblem(RowPlace("Register", 2), name, value, reason, refused=False),)
    assert (counts(taken), known.events()) == ((0, 0, 1, 0, 0, 0, 0), before)

"""Items: which kinds carry switches and outlets, and which environment class counts."""

import pytest

from register.domain.items import SAFETY_SWITCHES, WITH_OUTLETS, Item, SafetySwitch, environment_of, outlets_of
from register.domain.words import Kind


@pytest.mark.parametrize("kind", Kind)
def test_an_item_has_a_switch_where_it_is_one_or_carries_one(kind: Kind) -> None:
    assert Item(kind).has_switch is (kind in SAFETY_SWITCHES)
    assert Item(kind, safety_switch=SafetySwitch()).has_switch


@pytest.mark.parametrize("kind", Kind)
def test_outlets_are_as_given_or_one_where_the_kind_feeds_something(kind: Kind) -> None:
    assert outlets_of(kind, 4) == 4
    assert outlets_of(kind, 0) == 0
    assert outlets_of(kind, None) == (1 if kind in WITH_OUTLETS else 0)


def test_appliances_have_no_outlets() -> None:
    assert {kind for kind in Kind if outlets_of(kind, None) == 0} == {Kind.APPLIANCE_CLASS_1, Kind.APPLIANCE_CLASS_2}


@pytest.mark.parametrize(
    ("own", "area", "site", "counts", "place"),
    [
        (None, None, "office", "office", "office"),
        (None, "shed", "office", "shed", "shed"),
        ("cleaning", None, "office", "cleaning", "office"),
        ("hire", "site", "office", "hire", "site"),
        (None, "", "office", "office", "office"),
        ("", "", "office", "office", "office"),
    ],
)
def test_the_items_own_class_counts_before_the_areas_and_the_areas_before_the_sites(
    own: str | None, area: str | None, site: str, counts: str, place: str
) -> None:
    assert environment_of(own, area, site) == (counts, place)

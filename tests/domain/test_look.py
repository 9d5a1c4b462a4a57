"""What is looked at by kind, and how harshly a class wears."""

import pytest

from register.domain.items import Item, SafetySwitch
from register.domain.look import READY, look_points
from register.domain.wear import strokes
from register.domain.words import Kind
from register.services.rulebooks import rulebook


@pytest.mark.parametrize("kind", Kind)
def test_every_kind_has_points_to_look_at_each_with_its_own_id(kind: Kind) -> None:
    points = look_points(Item(kind))
    assert len(points) >= 4
    assert len({point.id for point in points}) == len(points)
    assert all(point.title and point.about.endswith(".") for point in points)


@pytest.mark.parametrize("kind", [Kind.PORTABLE_SAFETY_SWITCH, Kind.FIXED_SAFETY_SWITCH])
def test_a_safety_switch_is_switched_on_first_and_its_button_pressed_last(kind: Kind) -> None:
    points = look_points(Item(kind))
    assert points[0] == READY
    assert points[-1].id == "button"


def test_a_board_that_carries_a_switch_is_looked_at_as_board_and_as_switch() -> None:
    ids = [point.id for point in look_points(Item(Kind.PORTABLE_OUTLET_DEVICE, 4, SafetySwitch()))]
    assert {"ready", "overload", "plate", "button"} <= set(ids)


@pytest.mark.parametrize(
    ("environment", "count"), [("construction", 4), ("workshop", 3), ("flexed-or-hostile", 2), ("benign", 1)]
)
def test_strokes_go_by_the_shortest_interval_of_the_class(environment: str, count: int) -> None:
    assert strokes(rulebook("au-in-service"), environment) == count


def test_a_class_without_intervals_has_one_stroke() -> None:
    assert strokes(rulebook("au-in-service"), "moon") == 1

"""How far it is: typed places, great circles, tables of the user's own and their holes."""

import pytest

from register.errors import Refused
from register.planning.travel import Leg, Pace, Place, great_circle_km, place_from, travel_between

BASE, NEAR, FAR = Place(-37.80, 145.00), Place(-37.80, 145.10), Place(-37.80, 145.30)


def test_a_place_is_typed_as_latitude_and_longitude() -> None:
    assert place_from(" -37.8136, 144.9631 ") == Place(-37.8136, 144.9631)
    assert place_from("  ") is None


@pytest.mark.parametrize("text", ["here", "1", "1,2,3", "144.9631, -37.8136", "nan, 0", "10, 200"])
def test_what_is_no_place_is_refused_with_what_to_write(text: str) -> None:
    with pytest.raises(Refused, match="latitude"):
        place_from(text)


def test_drives_are_the_great_circle_times_the_road_factor_rounded_up_to_minutes() -> None:
    travel = travel_between(["B", "N"], [BASE, NEAR], Pace(1.5, 60.0))
    km = great_circle_km(BASE, NEAR) * 1.5
    assert travel.km[0][1] == travel.km[1][0] == pytest.approx(km)
    assert travel.minutes[0][1] == 14  # 13.18 km at 60 km/h
    assert travel.minutes[0][0] == 0
    assert not travel.notes


def test_the_users_table_leads_and_its_holes_are_filled_and_told() -> None:
    given = {("B", "N"): Leg(20.0, 30), ("N", "X"): Leg(5.0, 6)}
    travel = travel_between(["B", "N", "F", "X"], [BASE, NEAR, FAR, None], Pace(1.0, 60.0), given)
    assert travel.minutes[0][1] == travel.minutes[1][0] == 30  # the other direction serves
    assert travel.minutes[1][2] == 18  # estimated over the globe
    assert travel.minutes[0][3] == 36  # by way of N, as through F it is 27 + 18 + 6
    assert any("lacks 4 of 6 drives" in note for note in travel.notes)


def test_a_single_hole_in_the_users_table_is_told_as_one() -> None:
    given = {("B", "N"): Leg(20.0, 30), ("N", "F"): Leg(5.0, 6)}
    travel = travel_between(["B", "N", "F"], [BASE, NEAR, FAR], Pace(1.0, 60.0), given)
    assert travel.notes == (
        "The table of distances lacks 1 of 3 drives (first: B to F); it was estimated over the globe.",
    )


def test_a_place_that_nothing_leads_to_gets_a_drive_as_long_as_most() -> None:
    travel = travel_between(["B", "N", "F", "X"], [BASE, NEAR, FAR, None], Pace(1.0, 60.0))
    assert travel.minutes[0][3] == travel.minutes[1][3] == 18
    assert "X is not known; 18 minutes were assumed" in travel.notes[0]

"""A new row that looks like a known item is offered as that one, and never merged by itself."""

import pytest

from register.services.intake.rows import IntakeItem
from tests.desk import Desk
from tests.services.sheet import counts, item, take


@pytest.fixture
def known(desk: Desk) -> Desk:
    """A register that holds a lead with a serial number and one without."""
    take(desk, [item("L-01", serial="SN 4411"), item("000042", row=3)])
    return desk


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (
            item("L-09", serial="sn 4411", row=9),
            "L-01 has the same serial number. If it is that one, say so.",
        ),
        (item("LO1", row=9), "L-01 has nearly the same tag"),
        (item("L 01", row=9), "L-01 has nearly the same tag"),
        (item("42", row=9), "000042 has nearly the same tag"),
    ],
)
def test_it_is_taken_as_a_new_one_and_said_to_look_like_a_known_one(known: Desk, row: IntakeItem, says: str) -> None:
    taken = take(known, [row])
    assert counts(taken)[:3] == (1, 0, 0)
    (note,) = taken.problems
    assert says in note.reason
    assert note.in_mapping == f'[values.tag] "{row.tag}" = "{note.same_as}"'
    assert (note.place.row, note.refused) == (9, False)


def test_unlike_ones_and_short_serial_numbers_are_left_alone(known: Desk) -> None:
    take(known, [item("M-01", serial="7")])
    assert take(known, [item("M-02", serial="7"), item("L-02", serial="SN 4412", row=3)]).problems == ()

"""The minutes in force: usual ones, learnt from records that have a time of day, the firm's own."""

from datetime import time
from decimal import Decimal

import pytest

from register.domain.words import Duty, Kind
from register.planning.workload import Minutes
from register.services.settings import set_setting
from register.services.week.minutes import learnt_minutes, minutes_in_force
from register.services.week.plan import premises
from tests.desk import Desk
from tests.registers import TODAY

SWITCH = Kind.PORTABLE_SAFETY_SWITCH
USUAL = Minutes()
BOTH = USUAL.of(SWITCH, Duty.INSPECTION_AND_TEST) + USUAL.of(SWITCH, Duty.OPERATING_TIME)
"""7.5 minutes."""


@pytest.fixture
def timed(desk: Desk) -> Desk:
    """A register in which 21 switches were tested one after the other, a quarter of an hour each."""
    desk.site()
    for number in range(21):
        hour, quarter = divmod(number, 4)
        desk.item(f"R-{number}")
        desk.test(f"R-{number}", at=time(8 + hour, quarter * 15))
    return desk


def test_minutes_are_learnt_and_used_in_plans(timed: Desk) -> None:
    with timed.read() as connection:
        (learnt,) = learnt_minutes(connection).values()
        assert (learnt.minutes, learnt.factor, learnt.timings) == (Decimal(15), Decimal(2), 20)
        minutes = minutes_in_force(connection)
        (site,) = premises(connection, TODAY.replace(year=2030))
    assert minutes.of(SWITCH, Duty.OPERATING_TIME) == 2 * USUAL.of(SWITCH, Duty.OPERATING_TIME)
    one = {task.duty: task.minutes for task in site.tasks}
    assert one["inspection-and-test"] + one["operating-time"] == float(2 * BOTH)


def test_the_firms_own_figures_hold_over_what_was_learnt(timed: Desk) -> None:
    with timed.change() as change:
        set_setting(change, "minutes", {SWITCH.value: {"look": "1"}})
    with timed.read() as connection:
        minutes = minutes_in_force(connection)
    assert minutes.of(SWITCH, Duty.FORMAL_VISUAL) == 1
    assert minutes.of(SWITCH, Duty.OPERATING_TIME) == USUAL.of(SWITCH, Duty.OPERATING_TIME)


def test_records_without_a_time_of_day_teach_nothing(desk: Desk) -> None:
    desk.site()
    for number in range(22):
        desk.item(f"R-{number}")
        desk.test(f"R-{number}")
    with desk.read() as connection:
        assert learnt_minutes(connection) == {}

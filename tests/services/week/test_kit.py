"""What to load: tags by colour and size, the colour by the day of the stop and the class of the place."""

from datetime import date

from register.domain.words import Kind
from register.services.settings import set_setting
from register.services.week.beside import beside_week
from register.services.week.kit import kit_of, tag_colours
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.visiting import VanFacts, keep_van
from tests.desk import Desk
from tests.registers import TODAY

WINTER = date(2026, 12, 7)


def stocked(desk: Desk) -> None:
    desk.site("LOT", environment="construction")
    desk.site("YARD")
    desk.item("L-1", site="LOT")
    desk.item("L-2", kind=Kind.EXTENSION_LEAD, site="LOT")
    desk.item("Y-1")
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))


def test_tags_are_counted_by_the_colour_of_their_month_and_by_size(desk: Desk) -> None:
    stocked(desk)
    with desk.read() as connection:
        week = plan_week(connection, TODAY, WeekAsk(WINTER, effort=0))
        colours = tag_colours(connection, week.stops)
        told = beside_week(connection, week, TODAY)
    tags = {line.thing: line.number for line in kit_of(week.stops, colours) if line.thing.startswith("Tags")}
    assert tags == {"Tags, large": 2, "Tags, red, large": 2, "Tags, red, small, for a lead": 2}
    assert told.kit == kit_of(week.stops, colours)
    assert told.done == ()
    assert told.of is week


def test_a_firm_that_prints_no_colours_loads_none(desk: Desk) -> None:
    stocked(desk)
    with desk.change() as change:
        set_setting(change, "tag_colours", "off")
    with desk.read() as connection:
        week = plan_week(connection, TODAY, WeekAsk(WINTER, effort=0))
        assert tag_colours(connection, week.stops) == {}

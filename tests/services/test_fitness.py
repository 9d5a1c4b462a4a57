"""A tester's licence or an instrument's calibration that had run out is kept with the record as it was that day."""

from datetime import date, timedelta

import pytest

from register.errors import Refused
from register.services.item_card import item_card
from register.services.owners.report import owner_report
from register.services.people import instruments, keep_instrument, keep_tester
from register.services.places import known_site
from register.services.settings import set_setting
from tests.desk import Desk
from tests.held_report import held
from tests.registers import TODAY
from tests.services.sheet import sheet_test, take

DAY = timedelta(days=1)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A switch, and a tester and an instrument that hold until a day before today."""
    desk.site()
    desk.item("S1")
    with desk.change() as change:
        keep_tester(change, "Kim Ferro", "REC 9", TODAY - DAY)
        keep_instrument(change, "SN 4411", "Tester", TODAY - DAY)
    return desk


def test_on_the_last_day_nothing_is_said(yard: Desk) -> None:
    assert yard.test("S1", on=TODAY - DAY).warnings == ()


def test_what_ran_out_stays_with_the_record_whatever_becomes_of_it_later(yard: Desk) -> None:
    said = yard.test("S1").warnings
    assert [each.split(" ran out")[0] for each in said] == [
        "The licence of Kim Ferro", "The calibration of SN 4411",
    ]  # fmt: skip
    with yard.read() as connection:
        (opened,) = instruments(connection)
    with yard.change() as change:
        keep_instrument(change, "SN 4411", "Tester", date(2030, 1, 1), opened=opened)
    with yard.read() as connection:
        card = item_card(connection, yard.id("S1"), TODAY)
        report = held(owner_report(connection, known_site(connection, "YARD"), TODAY))
    assert card.records[0].warnings == said
    assert all(each in next(iter(report.records)).remarks for each in said)


def test_a_firm_that_refuses_such_tests_gets_none_and_nothing_is_kept(yard: Desk) -> None:
    with yard.change() as change:
        set_setting(change, "expired", "refuse")
    with pytest.raises(Refused, match=r"The licence of Kim Ferro ran out on.*refuse such a test"):
        yard.test("S1")
    assert yard.answer("S1").last is None
    assert yard.test("S1", on=TODAY - DAY).warnings == ()


def test_the_setting_is_one_of_two(yard: Desk) -> None:
    with pytest.raises(Refused, match="neither warn nor refuse"), yard.change() as change:
        set_setting(change, "expired", "perhaps")


def test_where_no_end_is_recorded_nothing_is_said(yard: Desk) -> None:
    assert yard.test("S1", tester="Ada Winter", instrument="SN 1").warnings == ()


def test_a_test_of_a_sheet_is_kept_with_what_had_run_out_whatever_the_firm_wants(yard: Desk) -> None:
    with yard.change() as change:
        set_setting(change, "expired", "refuse")
    rows = tuple(
        sheet_test("S1", on, tester=" Kim  Ferro", instrument="SN 4411", row=row)
        for row, on in enumerate((TODAY - DAY, TODAY), 2)
    )
    assert take(yard, records=rows).new_records == len(rows)
    with yard.read() as connection:
        today, before = item_card(connection, yard.id("S1"), TODAY).records
    assert [each.split(" ran out")[0] for each in today.warnings] == [
        "The licence of Kim Ferro", "The calibration of SN 4411",
    ]  # fmt: skip
    assert before.warnings == ()

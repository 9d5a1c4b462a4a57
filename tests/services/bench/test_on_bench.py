"""What the bench asks of the register, and how a finished test is kept."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
import sqlalchemy as sa

from register.domain.items import LeadSize, SafetySwitch
from register.domain.places import in_order
from register.domain.records import Place, ReadingPlan
from register.domain.words import Check, Duty, Kind, Result, SetUp, Standing, SwitchType
from register.errors import Refused
from register.services.bench.on_bench import Finished, Outcome, crew, next_due_if_passed, save_record, scan
from register.services.bench.place import work_place
from register.services.bench.worksheet import Live, Worksheet, live, shown_text, typed_measure
from register.services.whereabouts import mark_missing
from register.services.withdrawals.deeds import remove
from register.store.tables import Record
from tests.desk import TYPE_II, Desk
from tests.services.bench.filled import filled, on_the_bench


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A site with one safety switch of two outlets, tested half a year ago."""
    desk.site(reading_plan=ReadingPlan((Decimal(1), Decimal(5)), half=True, ramp=True))
    desk.item("RR-1", outlets=2)
    return desk


def judged(desk: Desk, sheet: Worksheet) -> Live:
    return live(sheet, desk.today)


def test_a_tag_is_found_however_it_was_scanned(yard: Desk) -> None:
    with yard.read() as connection:
        found = scan(connection, "  rr-1\r\n", yard.today)
    assert found.outcome is Outcome.FOUND
    assert found.code == "RR-1"
    assert found.item is not None
    assert (found.item.site, found.item.environment, found.item.strokes) == ("YARD", "Workshop or factory", 3)


def test_an_unknown_tag_is_said_with_its_code(yard: Desk) -> None:
    with yard.read() as connection:
        found = scan(connection, "qe 0192", yard.today)
    assert (found.outcome, found.code, found.item) == (Outcome.UNKNOWN, "QE 0192", None)
    assert found.said.startswith("No item has or had the tag QE 0192.")


def test_a_tag_on_items_of_two_owners_is_not_guessed(yard: Desk) -> None:
    yard.site("MILL")
    yard.item("RR-1", site="MILL")
    with yard.read() as connection:
        found = scan(connection, "RR-1", yard.today)
    assert found.outcome is Outcome.REFUSED
    assert "several owners" in found.said


def test_a_removed_item_is_not_put_on_the_bench(yard: Desk) -> None:
    with yard.change() as change:
        remove(change, yard.id("RR-1"), reason="scrapped")
    with yard.read() as connection:
        found = scan(connection, "RR-1", yard.today)
    assert (found.outcome, found.item) == (Outcome.REFUSED, None)
    assert "removed for good" in found.said


@pytest.mark.parametrize("typed", ["", " \x00 ", "X" * 65])
def test_what_is_no_tag_is_refused_in_a_sentence(yard: Desk, typed: str) -> None:
    with yard.read() as connection:
        found = scan(connection, typed, yard.today)
    assert found.outcome is Outcome.REFUSED
    assert found.said.endswith(".")


def test_the_worksheet_asks_what_rulebook_and_reading_plan_ask(yard: Desk) -> None:
    sheet = on_the_bench(yard).worksheet()
    places = [cell.place for cell in sheet.cells()]
    trips = [place for place in places if place.check is Check.TRIP_TIME]
    assert len(trips) == 2 * 3 * 2
    assert [place.outlet for place in places if place.check is Check.TRIP_CURRENT] == [1, 1, 2, 2]
    assert [place.outlet for place in places if place.check is Check.EARTH_RESISTANCE] == [1, 2]
    assert len(places) == len(set(places))
    assert sorted(trips, key=in_order) == trips
    assert sheet.set_up is SetUp.TESTER_FEEDS_DEVICE


def test_an_empty_worksheet_is_incomplete_and_a_whole_one_passes(yard: Desk) -> None:
    empty = on_the_bench(yard).worksheet()
    assert not empty.begun
    assert judged(yard, empty).judgement.verdict is Result.INCOMPLETE
    whole = judged(yard, filled(empty))
    assert whole.judgement.verdict is Result.PASS
    assert whole.to_go == 0


def test_leakage_does_instead_of_insulation(yard: Desk) -> None:
    sheet = filled(
        on_the_bench(yard).worksheet(),
        {Place(Check.INSULATION_RESISTANCE): "", Place(Check.LEAKAGE_CURRENT): "0.4"},
    )
    assert judged(yard, sheet).to_go == 0
    neither = sheet.with_text(Place(Check.LEAKAGE_CURRENT), "")
    assert judged(yard, neither).missing == (Place(Check.INSULATION_RESISTANCE),)


def test_a_text_that_is_no_reading_is_kept_said_and_missing(yard: Desk) -> None:
    place = Place(Check.TRIP_TIME, 2, 180, Decimal(1))
    sheet = filled(on_the_bench(yard).worksheet(), {place: "fast"})
    now = judged(yard, sheet)
    assert now.missing == (place,)
    assert "“fast” is not a reading of trip time" in now.faults[place]
    assert sheet.typed[place] == "fast"


def test_one_slow_half_cycle_fails_with_the_limit_named(yard: Desk) -> None:
    place = Place(Check.TRIP_TIME, 2, 180, Decimal(1))
    now = judged(yard, filled(on_the_bench(yard).worksheet(), {place: "312"}))
    assert now.judgement.verdict is Result.FAIL
    assert now.found[place].result is Result.FAIL
    assert "312 ms is above the limit of 300 ms" in now.judgement.why


def test_the_look_fails_by_one_point_and_is_open_while_one_is_left(yard: Desk) -> None:
    sheet = filled(on_the_bench(yard).worksheet())
    assert replace(sheet, look={**sheet.look, "cord": False}).look_result is Result.FAIL
    left = {key: value for key, value in sheet.look.items() if key != "cord"}
    assert replace(sheet, look=left).look_result is None
    assert judged(yard, replace(sheet, look=left)).look_missing


def test_fewer_duties_ask_less(yard: Desk) -> None:
    item = on_the_bench(yard)
    sheet = replace(item.worksheet(), duties=(Duty.OPERATING_TIME,))
    assert {cell.place.check for cell in sheet.cells()} == {Check.TRIP_TIME, Check.TRIP_CURRENT}


@pytest.mark.parametrize(
    ("check", "text", "shown"),
    [
        (Check.TRIP_TIME, "n", "no trip"),
        (Check.TRIP_TIME, "?", "no reading"),
        (Check.TRIP_TIME, "0.0284 s", "28.4000"),
        (Check.TRIP_TIME, "> 300", ">300"),
        (Check.TRIP_TIME, "28,4", "28.4"),
        (Check.TRIP_TIME, "fast", "fast"),
        (Check.POLARITY, "r", "right"),
        (Check.POLARITY, "w", "wrong"),
        (Check.INSULATION_RESISTANCE, ">19.99 MΩ", ">19.99"),
    ],
)
def test_a_cell_shows_what_was_understood(check: Check, text: str, shown: str) -> None:
    assert shown_text(check, text) == shown


def test_n_is_no_word_for_insulation() -> None:
    with pytest.raises(Refused):
        typed_measure(Check.INSULATION_RESISTANCE, "n")


def test_a_pass_is_kept_with_who_measured_and_moves_the_date(yard: Desk) -> None:
    item = on_the_bench(yard)
    sheet = filled(item.worksheet())
    expected = next_due_if_passed(item, sheet, yard.today)
    with yard.change() as change:
        done = save_record(change, Finished(item, sheet, judged(yard, sheet).record, "Kim Ferro", "SN 4411"))
    assert done.judgement is not None
    assert done.judgement.verdict is Result.PASS
    answer = yard.answer("RR-1")
    assert expected is not None
    assert answer.next_due == expected.due
    assert answer.last is not None
    assert answer.last.tester == "Kim Ferro"
    with yard.read() as connection:
        row = connection.execute(sa.select(Record.set_up, Record.tested_at, Record.instrument)).one()
    assert row.set_up == "tester-feeds-device"
    assert row.tested_at
    assert row.instrument == "SN 4411"
    assert not yard.faults()


def test_saving_the_same_worksheet_twice_adds_nothing(yard: Desk) -> None:
    item = on_the_bench(yard)
    sheet = filled(item.worksheet())
    finished = Finished(item, sheet, judged(yard, sheet).record, "Kim Ferro", "SN 4411")
    for known in (False, True):
        with yard.change() as change:
            assert save_record(change, finished).known is known


def test_a_fail_withdraws_and_a_later_pass_of_the_same_day_returns(yard: Desk) -> None:
    item = on_the_bench(yard)
    place = Place(Check.TRIP_TIME, 2, 180, Decimal(1))
    sheet = filled(item.worksheet(), {place: "312"})
    with yard.change() as change:
        assert save_record(change, Finished(item, sheet, judged(yard, sheet).record, "Kim", "SN")).withdrawn
    again = on_the_bench(yard)
    assert again.withdrawn is not None
    assert again.standing is Standing.WITHDRAWN


def test_the_plate_is_corrected_with_the_record_and_not_without_it(yard: Desk) -> None:
    item = on_the_bench(yard)
    sheet = replace(item.worksheet(), item=replace(item.known.item, outlets=1, rated_current_a=Decimal(10)))
    whole = filled(sheet)
    with yard.change() as change:
        save_record(change, Finished(item, whole, judged(yard, whole).record, "Kim", "SN"))
    plate = on_the_bench(yard).known.item
    assert (plate.outlets, plate.rated_current_a) == (1, Decimal(10))
    other = replace(on_the_bench(yard), record_id=item.record_id)
    impossible = replace(whole, item=replace(plate, outlets=99))
    with pytest.raises(Refused, match="99 outlets"), yard.change() as change:
        save_record(change, Finished(other, impossible, judged(yard, whole).record, "Kim", "SN"))
    assert on_the_bench(yard).known.item == plate
    assert not yard.faults()


def test_what_was_wrong_at_the_look_is_kept_in_words(yard: Desk) -> None:
    item = on_the_bench(yard)
    sheet = filled(item.worksheet())
    sheet = replace(sheet, look={**sheet.look, "cord": False})
    with yard.change() as change:
        save_record(change, Finished(item, sheet, judged(yard, sheet).record, "Kim", "SN"))
    with yard.read() as connection:
        assert connection.execute(sa.select(Record.remarks)).scalar() == "Wrong at the look: Flex and anchorage."


def test_the_last_pass_is_told_with_its_slowest_trip(yard: Desk) -> None:
    assert on_the_bench(yard).last_pass is None
    item = on_the_bench(yard)
    sheet = filled(item.worksheet(), {Place(Check.TRIP_TIME, 1, 0, Decimal(1)): "34.6"})
    with yard.change() as change:
        save_record(change, Finished(item, sheet, judged(yard, sheet).record, "Kim", "SN"))
    last = on_the_bench(yard).last_pass
    assert last is not None
    assert (last.tested_on, last.slowest) == (yard.today, "34.6 ms at 1×")


def test_what_is_left_at_a_place_counts_down_as_it_is_done(yard: Desk) -> None:
    yard.item("RR-2")
    yard.item("RR-3", area="Loft")
    item = on_the_bench(yard)

    def left() -> tuple[int, list[str], int]:
        with yard.read() as connection:
            place = work_place(connection, item.site_id, item.area_id, item.area, yard.today, shown=5)
        return place.to_do, [each.tag for each in place.nearby], place.count(Result.PASS)

    assert left() == (3, ["RR-1", "RR-2"], 0)
    sheet = filled(item.worksheet())
    with yard.change() as change:
        save_record(change, Finished(item, sheet, judged(yard, sheet).record, "Kim", "SN"))
    assert left() == (2, ["RR-2"], 1)


def test_what_was_not_found_is_asked_for_again_at_the_next_visit_though_nothing_is_due(yard: Desk) -> None:
    yard.test("RR-1")
    item = on_the_bench(yard)

    def missed(today: date) -> tuple[str, ...]:
        with yard.read() as connection:
            return work_place(connection, item.site_id, item.area_id, item.area, today, shown=5).missed

    with yard.change() as change:
        mark_missing(change, yard.id("RR-1"))
    later = yard.on(yard.today + timedelta(days=30))
    assert (missed(yard.today), missed(later.today)) == ((), ("RR-1",))
    later.test("RR-1")
    assert missed(later.today) == ()


def test_no_date_is_promised_where_the_rules_ask_none(desk: Desk) -> None:
    desk.site()
    desk.item("TOOL", Kind.APPLIANCE_CLASS_2, battery_run=True)
    item = on_the_bench(desk, "TOOL")
    assert next_due_if_passed(item, item.worksheet(), desk.today) is None


def test_the_crew_is_who_the_register_knows(yard: Desk) -> None:
    yard.test("RR-1", yard.today - timedelta(days=3), tester="Asha Pell", instrument="VT-2")
    with yard.read() as connection:
        known = crew(connection)
    assert [each.name for each in known.testers] == ["Asha Pell"]
    assert [each.name for each in known.instruments] == ["VT-2"]


def test_an_unknown_type_leaves_the_limit_open_and_naming_it_settles_it(desk: Desk) -> None:
    desk.site()
    desk.item("RR-9", outlets=1, safety_switch=SafetySwitch(Decimal(30)))
    sheet = filled(on_the_bench(desk, "RR-9").worksheet())
    assert live(sheet, desk.today).judgement.verdict is Result.INCOMPLETE
    known = replace(sheet, item=replace(sheet.item, safety_switch=replace(TYPE_II, type=SwitchType.II)))
    assert live(known, date(2026, 11, 20)).judgement.verdict is Result.PASS


def test_a_scan_says_what_was_done_today_and_what_belongs_elsewhere(yard: Desk) -> None:
    mill = yard.site("MILL")
    yard.item("RR-5", site="MILL")

    def outcome(tag: str, at_site: str = "") -> Outcome:
        with yard.read() as connection:
            return scan(connection, tag, yard.today, at_site).outcome

    item = on_the_bench(yard)
    assert outcome("RR-1", item.site_id) is Outcome.FOUND
    assert outcome("RR-5", item.site_id) is Outcome.ELSEWHERE
    assert outcome("RR-5", mill) is outcome("RR-5") is Outcome.FOUND
    yard.test("RR-1")
    assert outcome("RR-1", item.site_id) is Outcome.DONE_TODAY
    assert outcome("RR-1", mill) is Outcome.ELSEWHERE


def test_the_size_of_a_lead_is_kept_with_its_record(yard: Desk) -> None:
    yard.item("LEAD", Kind.EXTENSION_LEAD)
    item = on_the_bench(yard, "LEAD")
    size = LeadSize(Decimal(20), Decimal("1.5"))
    sheet = filled(replace(item.worksheet(), item=replace(item.known.item, lead=size)))
    with yard.change() as change:
        save_record(change, Finished(item, sheet, judged(yard, sheet).record, "Kim", "SN"))
    assert on_the_bench(yard, "LEAD").known.item.lead == size
    assert yard.faults() == ()

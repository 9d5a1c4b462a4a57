"""A record laid on the bench once more: what was seen and measured is there, and what is saved takes its place."""

from dataclasses import replace
from datetime import date, time, timedelta
from decimal import Decimal

import pytest
import sqlalchemy as sa

from register.domain.look import look_points
from register.domain.measures import Measure
from register.domain.records import Place, Reading, ReadingPlan
from register.domain.words import Check, Kind, Result, SetUp, Standing, TestCurrent, Unit
from register.errors import Refused
from register.services.bench.correction import to_correct
from register.services.bench.drafts import draft_data, drafts_of
from register.services.bench.on_bench import AT_250_V, BenchItem, Finished, Outcome, save_correction, save_record, scan
from register.services.bench.worksheet import Worksheet, live
from register.services.corrections import Corrected, void_record
from register.services.item_card import item_card
from register.services.withdrawals.deeds import remove
from register.store.tables import Record
from tests.desk import QUICK, SOUND, Desk
from tests.domain.verdict_rules import both_ramps, ramp, tripped
from tests.services.bench.filled import filled, on_the_bench

FIRST = Place(Check.TRIP_TIME, 1, 0, Decimal(1))
REASON = "typed 284 for 28.4"


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A site with one safety switch of two outlets."""
    desk.site(reading_plan=ReadingPlan((Decimal(1), Decimal(5)), ramp=True))
    desk.item("RR-1", outlets=2)
    return desk


def finished(item: BenchItem, sheet: Worksheet, on: date) -> Finished:
    return Finished(item, sheet, live(sheet, on).record, "Kim Ferro", "SN 4411")


def measured(desk: Desk, but: dict[Place, str] | None = None, on: date | None = None, **rest: object) -> str:
    """Test RR-1 at the bench and return the id of the record."""
    item = on_the_bench(desk)
    sheet = replace(filled(item.worksheet(), but), **rest)
    with desk.change() as change:
        return save_record(change, finished(item, sheet, on or desk.today)).id


def again(desk: Desk, record_id: str) -> BenchItem:
    with desk.read() as connection:
        return to_correct(connection, record_id, desk.today)


def corrected(desk: Desk, item: BenchItem, sheet: Worksheet, on: date | None = None, reason: str = REASON) -> Corrected:
    with desk.change() as change:
        return save_correction(change, finished(item, sheet, on or desk.today), reason)


def test_the_bench_holds_what_the_record_says(yard: Desk) -> None:
    before = filled(on_the_bench(yard).worksheet(), {FIRST: ">300"})
    record_id = measured(yard, {FIRST: ">300"}, set_up=SetUp.DEVICE_FEEDS_TESTER)
    item = again(yard, record_id)
    sheet = item.worksheet()
    assert live(sheet, yard.today).record.readings == live(before, yard.today).record.readings
    assert (sheet.look, sheet.set_up, sheet.duties) == (before.look, SetUp.DEVICE_FEEDS_TESTER, before.duties)
    assert (sheet.extra, sheet.kept) == ((), ())
    wrong = item.corrects
    assert wrong is not None
    assert (wrong.record_id, wrong.verdict, wrong.tester) == (record_id, Result.FAIL, "Kim Ferro")
    assert item.record_id != record_id


def test_a_mistyped_fail_becomes_a_pass_and_the_old_one_stays_to_be_seen(yard: Desk) -> None:
    wrong = measured(yard, {FIRST: "384"})
    assert yard.answer("RR-1").standing is Standing.WITHDRAWN
    item = again(yard, wrong)
    done = corrected(yard, item, item.worksheet().with_text(FIRST, "28.4"))
    assert not done.out_of_service
    assert yard.answer("RR-1").standing is Standing.IN_SERVICE
    with yard.read() as connection:
        new, old = item_card(connection, item.id, yard.today).records
    assert {new.verdict, old.verdict} == {Result.PASS, Result.FAIL}
    assert REASON in (old.corrected or new.corrected)
    assert yard.faults() == ()


def test_what_was_wrong_at_the_look_is_told_again(yard: Desk) -> None:
    point = next(each for each in look_points(on_the_bench(yard).known.item) if "," in each.title)
    seen = {each.id: each is not point for each in look_points(on_the_bench(yard).known.item)}
    item = again(yard, measured(yard, look=seen))
    assert item.worksheet().look == seen


def test_a_look_that_failed_without_a_word_is_made_again(yard: Desk) -> None:
    record = yard.test("RR-1", look=Result.FAIL, remarks="seen by the foreman")
    item = again(yard, record.id)
    assert item.worksheet().look == {}
    assert item.corrects is not None
    assert item.corrects.remarks == "seen by the foreman"


def test_other_remarks_stay_with_the_right_record(yard: Desk) -> None:
    item = again(yard, yard.test("RR-1", remarks="Cord replaced.").id)
    point = look_points(item.known.item)[0]
    corrected(yard, item, replace(item.worksheet(), look={point.id: False}))
    with yard.read() as connection:
        found = scan(connection, "RR-1", yard.today)
        assert found.outcome is Outcome.DONE_TODAY
        newest = to_correct(connection, found.record_id, yard.today)
    assert newest.corrects is not None
    assert newest.corrects.remarks == "Cord replaced."
    assert newest.worksheet().look[point.id] is False


def test_readings_that_nothing_asks_for_have_cells_and_none_is_lost(yard: Desk) -> None:
    twice = Reading(Check.TRIP_TIME, Measure(Decimal(31), Unit.MILLISECOND), 1, 0, Decimal(2), TestCurrent.AC)
    direct = Reading(Check.TRIP_TIME, Measure(Decimal(40), Unit.MILLISECOND), 1, 0, Decimal(1), TestCurrent.DC)
    record = yard.test("RR-1", readings=(*SOUND, *QUICK, twice, direct))
    sheet = again(yard, record.id).worksheet()
    place, other = Place(Check.TRIP_TIME, 1, 0, Decimal(2)), Place(Check.TRIP_TIME, 1, 0, Decimal(1), TestCurrent.DC)
    assert sheet.typed[place].startswith("31")
    assert sheet.typed[other].startswith("40")
    assert sheet.kept == ()
    grid = [(1, 0), (1, 180), (2, 0), (2, 180)]
    assert [(each.outlet, each.half_cycle) for each in sheet.extra] == grid * 2
    now = live(sheet, yard.today)
    assert not set(now.missing) & set(sheet.extra)
    assert len(now.record.readings) == len(SOUND) + len(QUICK) + 2
    assert {each.test_current for each in now.record.readings} == {None, TestCurrent.AC, TestCurrent.DC}


@pytest.mark.parametrize("current", [TestCurrent.HALF_WAVE, TestCurrent.DC])
def test_a_reading_with_another_test_current_is_put_right_in_its_own_cell(yard: Desk, current: TestCurrent) -> None:
    wrong = tripped("400", 1, 0, "1", current)
    item = again(yard, yard.test("RR-1", readings=(*SOUND, *QUICK, wrong)).id)
    place = Place(Check.TRIP_TIME, 1, 0, Decimal(1), current)
    sheet = item.worksheet().with_text(place, "40")
    kept = draft_data(item, sheet)
    with yard.read() as connection:
        (draft,) = drafts_of(connection, [kept], yard.today)
    assert draft.sheet.typed == sheet.typed
    done = corrected(yard, item, sheet)
    assert done.recorded is not None
    again_typed = again(yard, done.recorded.id).worksheet().typed
    assert (again_typed[place], again_typed[FIRST]) == ("40", "24")


def test_a_reading_with_another_test_current_fills_no_cell_of_what_is_asked(yard: Desk) -> None:
    half = [each for each in QUICK if each.half_cycle == 180]
    record = yard.test("RR-1", readings=(*SOUND, *half, tripped("30", 1, 0, "1", TestCurrent.DC)))
    assert FIRST in live(again(yard, record.id).worksheet(), yard.today).missing


def test_a_rising_current_without_a_half_cycle_has_a_cell_beside_those_of_the_half_cycles(yard: Desk) -> None:
    record = yard.test("RR-1", readings=(*SOUND, *QUICK, ramp("23"), *both_ramps("24")))
    sheet = again(yard, record.id).worksheet()
    assert {each.half_cycle: sheet.typed[each] for each in sheet.typed if each.check is Check.TRIP_CURRENT} == {
        None: "23", 0: "24", 180: "24",
    }  # fmt: skip


def test_a_voltage_that_is_not_the_usual_one_is_said_by_the_record_and_comes_back_with_it(yard: Desk) -> None:
    item = again(yard, measured(yard, insulation_v=250))
    assert item.worksheet().insulation_v == 250
    assert item.corrects is not None
    assert item.corrects.remarks == ""
    sheet = item.worksheet().with_text(FIRST, "29")
    with yard.read() as connection:
        (draft,) = drafts_of(connection, [draft_data(item, sheet)], yard.today)
    assert draft.sheet == sheet
    done = corrected(yard, item, sheet)
    assert done.recorded is not None
    with yard.read() as connection:
        said = {row.id: row.remarks for row in connection.execute(sa.select(Record.id, Record.remarks))}
    assert said[done.recorded.id] == AT_250_V
    usual = corrected(yard, again(yard, done.recorded.id), replace(sheet, insulation_v=500))
    assert usual.recorded is not None
    assert again(yard, usual.recorded.id).worksheet().insulation_v == 500


def test_what_was_measured_twice_at_a_place_is_kept_beside_its_cell(yard: Desk) -> None:
    record = yard.test("RR-1", readings=(*SOUND, *QUICK, tripped("26")))
    sheet = again(yard, record.id).worksheet()
    assert [str(each.measure) for each in sheet.kept] == ["26 ms"]
    assert len(live(sheet, yard.today).record.readings) == len(SOUND) + len(QUICK) + 1


def test_the_day_and_its_time_stay_unless_the_day_was_wrong(yard: Desk) -> None:
    record = yard.test("RR-1", yard.today - timedelta(days=3), at=time(8, 15))
    item = again(yard, record.id)
    done = corrected(yard, item, item.worksheet().with_text(FIRST, "29"), yard.today - timedelta(days=3))
    assert done.recorded is not None
    newest = again(yard, done.recorded.id)
    assert newest.corrects is not None
    assert newest.corrects.tested_at == time(8, 15)
    moved = corrected(yard, newest, newest.worksheet(), yard.today - timedelta(days=4))
    assert moved.recorded is not None
    last = again(yard, moved.recorded.id).corrects
    assert last is not None
    assert (last.tested_on, last.tested_at) == (yard.today - timedelta(days=4), None)


def test_nothing_is_laid_out_of_a_record_that_counts_no_more_or_of_an_item_that_is_gone(yard: Desk) -> None:
    yard.item("RR-2")
    gone = yard.test("RR-2")
    record_id = measured(yard)
    with yard.change() as change:
        void_record(change, record_id, "another item was tested")
        remove(change, yard.id("RR-2"), reason="scrapped")
    with pytest.raises(Refused, match="counts no more"):
        again(yard, record_id)
    with pytest.raises(Refused, match="RR-2 was removed for good"):
        again(yard, gone.id)


def test_no_reason_no_correction(yard: Desk) -> None:
    item = again(yard, measured(yard))
    with pytest.raises(Refused, match="needs a reason"):
        corrected(yard, item, item.worksheet().with_text(FIRST, "29"), reason=" ")


def test_a_record_that_was_undone_or_voided_is_not_done_today(yard: Desk) -> None:
    record_id = measured(yard)
    with yard.change() as change:
        void_record(change, record_id, "another item was tested")
    with yard.read() as connection:
        assert scan(connection, "RR-1", yard.today).outcome is Outcome.FOUND


def test_a_half_typed_correction_survives_and_is_dropped_once_the_record_was_corrected(yard: Desk) -> None:
    record_id = measured(yard)
    item = again(yard, record_id)
    sheet = item.worksheet().with_text(FIRST, "29")
    kept = draft_data(item, sheet)
    with yard.read() as connection:
        (draft,) = drafts_of(connection, [kept], yard.today)
    assert draft.sheet == sheet
    assert draft.item.corrects is not None
    assert (draft.item.corrects.record_id, draft.item.record_id) == (record_id, item.record_id)
    corrected(yard, item, sheet)
    with yard.read() as connection:
        assert drafts_of(connection, [kept], yard.today) == []


def test_a_look_alone_is_laid_out_too(yard: Desk) -> None:
    yard.item("RR-3", Kind.CORD_SET)
    record = yard.test("RR-3", duties=(), readings=())
    item = again(yard, record.id)
    assert all(item.worksheet().look.values())

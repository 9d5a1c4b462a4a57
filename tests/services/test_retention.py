"""How long records and photos are kept: what is past it, what stays all the same, and its removal when it is asked."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from register.domain.words import Kind, WithdrawalReason
from register.errors import Refused
from register.services.corrections import void_record
from register.services.photos import photos_of
from register.services.recording import record_tests
from register.services.retention import Keeping, LetGone, keeping, let_go, years_before
from register.services.settings import set_setting
from register.services.undo import Steps
from register.services.withdrawals.deeds import remove
from register.store import chain
from register.store.engine import Register, create_register
from register.store.let_go import LetGo
from register.store.tables import Reading, Record
from tests.desk import OPERATING, SLOW, Desk, entry
from tests.pictures import jpeg
from tests.registers import TODAY

LONG_AGO = date(2017, 5, 2)
AGO = date(2018, 5, 2)


@pytest.fixture
def yard(register: Register) -> Desk:
    desk = Desk(register)
    desk.site()
    desk.item("P1", since=date(2016, 1, 1))
    return desk


def kept(desk: Desk) -> Keeping:
    with desk.read() as connection:
        return keeping(connection, desk.today)


def gone(desk: Desk) -> LetGone:
    with desk.change() as change:
        return let_go(change, keeping(change.session.connection(), desk.today).before)


def records(desk: Desk) -> list[date]:
    with desk.read() as connection:
        return list(connection.execute(sa.select(Record.tested_on).order_by(Record.tested_on)).scalars())


@pytest.mark.parametrize(
    ("day", "first_kept"),
    [
        (date(2026, 11, 20), date(2019, 11, 20)),
        (date(2027, 3, 1), date(2020, 3, 1)),
        (date(2028, 2, 29), date(2021, 3, 1)),
        (date(2027, 2, 28), date(2020, 2, 28)),
    ],
)
def test_the_years_end_with_the_same_day_of_a_year(day: date, first_kept: date) -> None:
    assert years_before(day, 7) == first_kept


def test_only_what_is_older_and_rests_on_nothing_is_past_keeping(yard: Desk) -> None:
    for day in (LONG_AGO, AGO, date(2020, 1, 7), TODAY):
        yard.test("P1", day)
    found = kept(yard)
    assert (found.years, found.before) == (7, date(2019, 11, 20))
    assert [(each.year, each.records, each.items) for each in found.past] == [(2017, 1, 1), (2018, 1, 1)]
    assert (found.records, found.photos, found.still, found.gone) == (2, 0, 0, 0)


def test_nothing_is_removed_before_it_is_asked_and_then_dates_and_history_stay(yard: Desk) -> None:
    for day in (LONG_AGO, AGO, TODAY):
        yard.test("P1", day)
    dates = yard.dates("P1")
    assert len(records(yard)) == 3
    assert gone(yard) == LetGone(2, 0, date(2019, 11, 20))
    assert records(yard) == [TODAY]
    with yard.read() as connection:
        readings = connection.execute(sa.select(sa.func.count(sa.distinct(Reading.record_id)))).scalar_one()
        assert readings == 1
        assert connection.execute(sa.select(sa.func.count()).select_from(LetGo)).scalar_one() == 2
        assert chain.broken_at(connection) is None
    assert yard.dates("P1") == dates
    assert yard.events()[-1] == "records:let-go"
    assert yard.faults() == ()
    assert (kept(yard).records, kept(yard).gone) == (0, 2)
    with pytest.raises(Refused, match="Nothing of before"):
        gone(yard)


def test_the_last_test_stays_until_the_next_whatever_the_years(yard: Desk) -> None:
    with yard.change() as change:
        set_setting(change, "keep_years", 1)
    yard.test("P1", AGO)
    yard.test("P1", date(2020, 1, 7), duties=(OPERATING,), readings=SLOW)
    yard.on(date(2020, 1, 9)).test("P1", date(2020, 1, 9))
    assert kept(yard).records == 2, "the failed test and the first pass have a later one"
    assert gone(yard).records == 2
    assert records(yard) == [date(2020, 1, 9)]
    assert yard.faults() == ()


def test_a_later_test_that_was_voided_is_no_next_test(yard: Desk) -> None:
    yard.test("P1", AGO, readings=())
    wrong = yard.test("P1", date(2019, 1, 7))
    assert kept(yard).records == 1
    with yard.change() as change:
        void_record(change, wrong.id, reason="wrong item")
    assert (kept(yard).records, kept(yard).still) == (0, 2)


def test_a_pass_that_a_duty_still_counts_from_stays(yard: Desk) -> None:
    yard.test("P1", LONG_AGO)
    yard.test("P1", TODAY, duties=(OPERATING,))
    dates = yard.dates("P1")
    assert (kept(yard).records, kept(yard).still) == (0, 1)
    assert yard.dates("P1") == dates


def test_all_of_an_item_that_is_out_of_service_stays(yard: Desk) -> None:
    yard.test("P1", LONG_AGO)
    yard.test("P1", AGO)
    yard.withdraw("P1", WithdrawalReason.DAMAGED)
    assert (kept(yard).records, kept(yard).still) == (0, 2)


def test_an_item_removed_for_good_keeps_nothing_past_its_years(yard: Desk) -> None:
    yard.test("P1", LONG_AGO)
    yard.withdraw("P1", photo=jpeg())
    with yard.change() as change:
        remove(change, yard.id("P1"), reason="scrapped")
    later = yard.on(date(2034, 1, 1))
    assert (kept(later).records, kept(later).photos) == (1, 1)
    assert gone(later) == LetGone(1, 1, date(2027, 1, 1))
    with later.read() as connection:
        assert photos_of(connection, later.id("P1")) == ()
    assert later.faults() == ()


def test_a_photo_stays_while_any_withdrawal_that_stays_shows_it(yard: Desk) -> None:
    yard.item("P2", since=date(2016, 1, 1))
    for tag, number in (("P1", "OUT-1"), ("P2", "OUT-2")):
        yard.withdraw(tag, number=number, photo=jpeg())
    with yard.change() as change:
        remove(change, yard.id("P1"), reason="scrapped")
    assert kept(yard.on(date(2034, 1, 1))).photos == 0


def test_a_corrected_record_goes_with_what_stands_in_its_place(yard: Desk) -> None:
    wrong = yard.test("P1", LONG_AGO)
    with yard.change() as change:
        void_record(change, wrong.id, reason="wrong item")
    yard.test("P1", TODAY)
    assert gone(yard).records == 1
    assert yard.faults() == ()


def test_younger_records_are_refused_and_years_are_checked(yard: Desk) -> None:
    yard.test("P1", LONG_AGO)
    with yard.change() as change, pytest.raises(Refused, match="are kept until 7 years have passed"):
        let_go(change, TODAY)
    for wrong in ("0", "seven", 101, True, ""):
        with yard.change() as change, pytest.raises(Refused, match="not a number of years"):
            set_setting(change, "keep_years", wrong)


def test_what_was_let_go_can_not_be_undone_nor_what_came_before(yard: Desk) -> None:
    steps = Steps()
    yard.register.watch(steps)
    for day in (LONG_AGO, TODAY):
        yard.test("P1", day)
    gone(yard)
    assert steps.to_undo == ""
    yard.item("P9")
    assert steps.to_undo


def test_tables_let_go_of_nothing_that_is_not_listed(yard: Desk, path: Path) -> None:
    yard.test("P1", LONG_AGO)
    with closing(sqlite3.connect(path)) as raw, pytest.raises(sqlite3.IntegrityError, match="only ever added to"):
        raw.execute("DELETE FROM record")


def test_a_list_that_says_more_than_the_history_is_found(yard: Desk, path: Path) -> None:
    yard.test("P1", LONG_AGO)
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("INSERT INTO let_go SELECT id, 'record', item_id, tested_on, 'x', recorded_at FROM record")
        raw.execute("DELETE FROM reading")
        raw.commit()
    assert any("are listed as removed after their time; the history tells of 0" in each for each in yard.faults())


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    register = create_register(tmp_path_factory.mktemp("retention") / "any.register")
    desk = Desk(register)
    desk.site()
    yield desk
    register.close()


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    tests=st.lists(
        st.tuples(st.integers(0, 4_000), st.booleans(), st.sampled_from([(OPERATING,), None])), min_size=1, max_size=8
    ),
    years=st.integers(1, 9),
)
def test_letting_go_never_moves_a_date(
    office: Desk, tests: list[tuple[int, bool, tuple[object, ...] | None]], years: int
) -> None:
    with office.read() as connection:
        number = chain.head(connection).count
    tag = f"T{number}"
    office.item(tag, Kind.PORTABLE_SAFETY_SWITCH, since=date(2014, 1, 1))
    with office.change() as change:
        set_setting(change, "keep_years", years)
        for days, passes, duties in sorted(tests, reverse=True, key=lambda each: each[0]):
            rest = {"duties": (OPERATING,)} if duties or not passes else {}
            readings = None if passes else SLOW
            record_tests(change, [entry(tag, TODAY - timedelta(days=days), readings=readings, **rest)])  # type: ignore[arg-type]
    before = office.answer(tag)
    with office.change() as change:
        known = keeping(change.session.connection(), office.today)
        if known.records:
            let_go(change, known.before)
    after = office.answer(tag)
    assert [(each.duty, each.due, each.last_done) for each in after.duties] == [
        (each.duty, each.due, each.last_done) for each in before.duties
    ]
    assert (after.standing, after.withdrawn) == (before.standing, before.withdrawn)
    assert office.faults() == ()

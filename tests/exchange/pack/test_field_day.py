"""A pack goes out, a day's work is done on it without the office, and comes back: what is there then."""

from datetime import date
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.domain.words import Condition, Kind, WithdrawalReason
from register.errors import Refused
from register.exchange.pack import write_pack
from register.services.conditions import change_condition
from register.services.items import NewItem, add_item
from register.services.moves import move_item
from register.services.packs.identity import field_pack
from register.services.packs.packing import KEPT_BY_KEY, KEPT_WHOLE, packs_made
from register.services.packs.work import ADDED
from register.services.people import add_tester, keep_tester
from register.services.photos import photos_of
from register.services.places import area_named, known_site
from register.services.replacing import replace_item, succession
from register.services.retention import let_go
from register.services.settings import SECRET, begin, settings
from register.services.tag_ranges import add_range
from register.services.tags import new_tag
from register.services.undo import Steps
from register.services.withdrawals.deeds import remove
from register.store.engine import Register
from register.store.layout import tables
from register.store.tables import Event, Setting
from tests.desk import QUICK, SLOW, SOUND, TYPE_II, Desk
from tests.exchange.pack.crew import EXPIRES, MADE, START, Laptop, content, merged, pack_for, sent_back, unpacked
from tests.pictures import jpeg


@pytest.fixture
def office(register: Register) -> Desk:
    """An office with a yard of three switches, one tested last year, and a dock with one."""
    desk = Desk(register, MADE)
    with desk.change() as change:
        begin(change, firm="Bay Testing")
        add_tester(change, "Asha Pell", "L 1")
    desk.site()
    desk.site("DOCK")
    for number in range(3):
        desk.item(f"YD-{number}", since=date(2025, 1, 10))
    desk.item("DK-0", site="DOCK")
    desk.test("YD-0", date(2025, 11, 3))
    return desk


@pytest.fixture
def laptop(office: Desk, tmp_path: Path) -> Laptop:
    """A laptop with a pack of the yard."""
    return unpacked(pack_for(office.register, tmp_path / "yard.fieldpack", "YARD"), tmp_path / "field.register")


def test_a_field_register_is_a_register_of_its_own(office: Desk, laptop: Laptop) -> None:
    assert laptop.faults() == ()
    assert laptop.dates("YD-0") == office.dates("YD-0")
    assert laptop.answer("YD-0").last == office.answer("YD-0").last
    with laptop.read() as connection:
        pack = field_pack(connection)
    assert pack is not None
    assert pack.words == "Field pack of Bay Testing for Asha Pell until 4 Dec 2026"
    assert (pack.sites, pack.items, pack.expires_on) == (("YARD",), 3, EXPIRES)
    with pytest.raises(Refused, match="No item has or had the tag DK-0"):
        laptop.answer("DK-0")


def test_what_was_replaced_goes_out_with_or_without_what_replaced_it_and_more_is_replaced_in_the_field(
    office: Desk, tmp_path: Path
) -> None:
    dock = office.area("DOCK")
    with office.change() as change:
        replace_item(change, office.id("YD-1"), tag="YD-8")
        moved = replace_item(change, office.id("YD-2"), tag="YD-9").new_id
        move_item(change, moved, dock)
    laptop = unpacked(pack_for(office.register, tmp_path / "yard.fieldpack", "YARD"), tmp_path / "field.register")
    assert laptop.faults() == ()
    with laptop.change() as change:
        replace_item(change, laptop.id("YD-0"), tag="YD-7")
    merged(office.register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    assert office.faults() == ()
    with office.read() as connection:
        found = {tag: succession(connection, office.id(tag)) for tag in ("YD-0", "YD-1", "YD-2")}
    assert [(tag, way.replaced_by and way.replaced_by.tag) for tag, way in found.items()] == [
        ("YD-0", "YD-7"), ("YD-1", "YD-8"), ("YD-2", "YD-9"),
    ]  # fmt: skip


def test_the_secret_of_the_register_stays_at_home(office: Desk, laptop: Laptop, path: Path, tmp_path: Path) -> None:
    with office.read() as connection:
        secret = connection.execute(sa.select(Setting.value).where(Setting.name == SECRET)).scalar_one()
        logged = "".join(connection.execute(sa.select(Event.data)).scalars())
        assert settings(connection).problems == ()
    sent_back(laptop, tmp_path / "yard.fieldwork")
    assert len(secret) == 64
    assert secret not in logged
    for sent in (tmp_path / "field.register", tmp_path / "yard.fieldpack", tmp_path / "yard.fieldwork"):
        assert secret.encode() not in sent.read_bytes()
    assert secret.encode() in path.read_bytes()


def test_a_day_of_120_results_comes_back_whole(office: Desk, tmp_path: Path) -> None:
    with office.change() as change:
        area = area_named(change, known_site(change.session.connection(), "DOCK"), "")
        for number in range(119):
            add_item(change, _switch(f"DK-{number + 1}", area))
    laptop = unpacked(pack_for(office.register, tmp_path / "dock.fieldpack", "DOCK"), tmp_path / "dock.register")
    for number in range(113):
        readings = (*SOUND, *(SLOW if number == 7 else QUICK))
        laptop.later(1_000 + number).test(f"DK-{number}", readings=readings, at=laptop.later(1_000 + number).clock)
    work = sent_back(laptop, tmp_path / "dock.fieldwork")
    rehearsed = merged(office.register, work, dry_run=True)
    assert office.answer("DK-3").last is None
    done = merged(office.register, work)
    assert (done.added, done.progress) == (rehearsed.added, rehearsed.progress)
    assert (done.progress.sent, done.progress.done, done.progress.left) == (120, 113, 7)
    assert done.added["record"] == 113
    assert done.clashes == ()
    after = content(office.register)
    again = merged(office.register, work)
    assert again.nothing_new
    assert content(office.register) == after
    assert office.faults() == ()
    assert office.answer("DK-7").withdrawn is not None
    assert laptop.dates("DK-3") == office.dates("DK-3")
    with office.read() as connection:
        (row, *_rest) = packs_made(connection)
    assert (row.merged, row.counts["done"], row.counts["left"]) == (True, 113, 7)


def _switch(tag: str, area: str) -> NewItem:
    return NewItem(tag, area, Kind.PORTABLE_SAFETY_SWITCH, since=MADE, safety_switch=TYPE_II)


def test_the_history_keeps_the_time_and_the_name_of_the_field(office: Desk, laptop: Laptop, tmp_path: Path) -> None:
    laptop.later(1_200).test("YD-1")
    merged(office.register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    with office.read() as connection:
        kept = connection.execute(sa.select(Event.actor, Event.at).where(Event.name == "record:add")).all()
        whole = connection.execute(sa.select(Event.actor).where(Event.name == "pack:merge")).scalars().all()
    assert ("Asha Pell", "2026-11-21T11:00:00.000000Z") in [tuple(row) for row in kept]
    assert whole == ["Office"]


def test_work_can_be_sent_back_every_evening(office: Desk, laptop: Laptop, tmp_path: Path) -> None:
    laptop.later(600).test("YD-1")
    first = merged(office.register, sent_back(laptop, tmp_path / "one.fieldwork"))
    laptop.later(2_000).withdraw("YD-2", number="OUT-1")
    laptop.later(2_010).withdraw("YD-2", number="OUT-2", told="Kay at the gate")
    second = merged(office.register, sent_back(laptop, tmp_path / "two.fieldwork"))
    laptop.later(3_000).withdraw("YD-2", number="OUT-3")
    third = merged(office.register, sent_back(laptop, tmp_path / "three.fieldwork"))
    assert (first.added["record"], second.added.get("record", 0), second.added["withdrawal"]) == (1, 0, 1)
    assert (third.added, third.changed) == ({}, 1)
    (found,) = office.withdrawals()
    assert (found.tag_number, found.told) == ("OUT-3", "Kay at the gate")
    assert merged(office.register, tmp_path / "one.fieldwork").nothing_new
    assert office.withdrawals()[0].tag_number == "OUT-3"


def test_photos_go_out_with_a_pack_and_come_back_once(office: Desk, tmp_path: Path) -> None:
    office.withdraw("YD-0", number="OUT-9", photo=jpeg(48))
    laptop = unpacked(pack_for(office.register, tmp_path / "b.fieldpack", "YARD"), tmp_path / "b.register")
    assert len(photos(laptop, "YD-0")) == 1
    at = laptop.later(600)
    at.withdraw("YD-1", number="OUT-1", photo=jpeg())
    at.withdraw("YD-0", number="OUT-9", photo=jpeg(52))
    office.withdraw("YD-0", number="OUT-9", photo=jpeg(52))
    work = sent_back(at, tmp_path / "b.fieldwork")
    assert merged(office.register, work).added["photo"] == 1
    assert photos(office, "YD-1") == photos(laptop, "YD-1")
    assert len(photos(office, "YD-0")) == 2
    assert merged(office.register, work).nothing_new
    assert office.faults() == ()


def test_what_was_let_go_in_the_office_does_not_come_again(office: Desk, laptop: Laptop, tmp_path: Path) -> None:
    at = laptop.later(600)
    for day in (date(2018, 5, 2), date(2018, 9, 2)):
        at.test("YD-1", day)
    at.test("YD-1")
    work = sent_back(at, tmp_path / "a.fieldwork")
    assert merged(office.register, work).added["record"] == 3
    with office.change() as change:
        assert let_go(change, date(2019, 1, 1)).records == 2
    assert merged(office.register, work).nothing_new
    assert office.faults() == ()


def photos(desk: Desk, tag: str) -> list[str]:
    with desk.read() as connection:
        return [each.id for each in photos_of(connection, desk.id(tag))]


def test_both_sides_at_one_item_is_listed_and_nothing_is_lost(office: Desk, laptop: Laptop, tmp_path: Path) -> None:
    laptop.later(600).test("YD-0")
    laptop.later(600).test("YD-1")
    laptop.later(610).area("YARD", "Loft")
    with laptop.later(620).change() as change:
        move_item(
            change, laptop.id("YD-2"), area_named(change, known_site(change.session.connection(), "YARD"), "Loft")
        )
    at_home = Laptop(office.register, date(2026, 11, 22), laptop.later(2_500).at)
    at_home.test("YD-0", date(2026, 11, 22))
    with at_home.change() as change:
        remove(change, office.id("YD-1"), reason="Scrapped")
        move_item(change, office.id("YD-2"), area_named(change, known_site(change.session.connection(), "DOCK"), ""))
    done = merged(office.register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    listed = {(each.tag, each.what.split(";")[0].split(":")[0]) for each in done.clashes}
    assert ("YD-0", "It was tested elsewhere too since the pack was made") in listed
    assert ("YD-1", "It was removed for good in the meantime") in listed
    assert ("YD-2", "Both changed its place") in listed
    assert office.answer("YD-1").removed == "Scrapped"
    assert office.answer("YD-2").site == "DOCK"
    assert office.faults() == ()


def test_a_tag_number_given_to_two_items_stays_with_the_first(office: Desk, laptop: Laptop, tmp_path: Path) -> None:
    late = Laptop(laptop.register, MADE).later(300)
    late.item("YD-9", description="Entered in the field")
    at_home = office.on(date(2026, 11, 22))
    at_home.item("YD-9", description="Entered in the office")
    done = merged(office.register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    (clash,) = done.clashes
    assert clash.tag == "YD-9"
    assert "on two items" in clash.what
    assert office.answer("YD-9").description == "Entered in the field"
    other = clash.what.split("the other is ")[1].split(" until")[0]
    assert office.answer(other).description == "Entered in the office"
    assert office.faults() == ()


def test_the_holder_alone_gives_out_his_numbers(office: Desk, tmp_path: Path) -> None:
    with office.change() as change:
        mine = add_range(change, holder="Asha Pell", prefix="A", digits=4, first=1, last=50)
        other = add_range(change, holder="Van 2", prefix="B", digits=4, first=1, last=50)
    laptop = unpacked(pack_for(office.register, tmp_path / "yard.fieldpack", "YARD"), tmp_path / "ranged.register")
    with laptop.later(10).change() as change:
        assert new_tag(change, laptop.id("YD-1"), range_id=mine).number == "A0001"
    with pytest.raises(Refused, match="No number is left"), laptop.later(11).change() as change:
        new_tag(change, laptop.id("YD-2"), range_id=other)
    merged(office.register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    assert office.answer("A0001").tag == "A0001"
    with office.change() as change:
        assert new_tag(change, office.id("YD-2"), range_id=mine).number == "A0002"
    assert office.faults() == ()


def test_what_the_office_decides_stays_in_the_field_and_is_told(office: Desk, laptop: Laptop, tmp_path: Path) -> None:
    with laptop.later(5).change() as change:
        keep_tester(change, "Bo Lind", "L 2", None)
    laptop.later(6).site("ELSEWHERE")
    done = merged(office.register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    assert done.added == {"tester": 1}
    assert set(done.left_out) == {"owner:add", "site:add"}


def test_a_withdrawal_for_overdue_gives_way_to_a_failure(office: Desk, tmp_path: Path) -> None:
    packs = [pack_for(office.register, tmp_path / f"{name}.fieldpack", "YARD") for name in "ab"]
    one, two = (unpacked(pack, pack.with_suffix(".register")) for pack in packs)
    one.later(600).withdraw("YD-0", WithdrawalReason.OVERDUE, "OUT-1")
    two.later(700).test("YD-0", readings=(*SOUND, *SLOW), at=two.later(700).clock)
    for each in (one, two):
        merged(office.register, sent_back(each, tmp_path / "work.fieldwork"))
    out = office.answer("YD-0").withdrawn
    assert out is not None
    assert (out.reason, out.tag_number) == (WithdrawalReason.FAILED, "OUT-1")
    assert not office.planned("YD-0")


def test_every_table_is_either_sent_back_worked_out_or_the_offices_own(office: Desk) -> None:
    """A table that is added one day is given its place here, and its rows a way back where the field makes some."""
    back = {each.__tablename__ for each in (*ADDED, *KEPT_WHOLE, *KEPT_BY_KEY)}
    worked_out = {"duty", "item_text"}
    plans = {"site_visiting", "van", "visit", "visit_duty"}
    own = {
        "owner",
        "site",
        "override",
        "setting",
        "intake",
        "pack",
        "pack_base",
        "access",
        "let_go",
        "owner_query",
        "event",
        "seal",
        "taken_back",
        "alembic_version",
    }
    with office.read() as connection:
        assert {table.name for table in tables(connection)} == back | worked_out | plans | own | {"alembic_version"}


def test_a_pack_needs_a_holder_a_site_and_a_sensible_day(office: Desk, tmp_path: Path) -> None:
    path = tmp_path / "x.fieldpack"
    facts = {
        "sites": ["YARD"],
        "holder": "Asha Pell",
        "expires_on": EXPIRES,
        "actor": "Office",
        "at": START,
        "today": MADE,
    }
    wrong = [
        ({"holder": " "}, "needs a holder"), ({"sites": []}, "at least one site"), ({"sites": ["NOWHERE"]}, "no site"),
        ({"expires_on": date(2026, 11, 19)}, "could not be opened"), ({"expires_on": date(2027, 11, 19)}, "92 days"),
    ]  # fmt: skip
    for change, said in wrong:
        with pytest.raises(Refused, match=said):
            write_pack(office.register, path, **(facts | change))
    assert not path.exists()
    with office.read() as connection:
        assert packs_made(connection) == []


def test_a_merge_that_was_undone_can_be_done_once_more(office: Desk, laptop: Laptop, tmp_path: Path) -> None:
    laptop.later(600).test("YD-1")
    laptop.later(610).withdraw("YD-2")
    with laptop.later(620).change() as change:
        change_condition(change, laptop.id("YD-0"), Condition.REPAIRED, since=laptop.later(620).today)
    steps = Steps()
    office.register.watch(steps)
    before = content(office.register)
    first = merged(office.register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    after = content(office.register)
    with office.change() as change:
        steps.undo(change)
    assert content(office.register) == before
    again = merged(office.register, tmp_path / "yard.fieldwork")
    assert (again.added["record"], again.changed) == (first.added["record"], first.changed)
    assert content(office.register) == after
    assert office.faults() == ()


def test_what_was_undone_in_the_field_does_not_come_back(office: Desk, laptop: Laptop, tmp_path: Path) -> None:
    steps = Steps()
    laptop.register.watch(steps)
    laptop.later(600).test("YD-1")
    with laptop.later(601).change() as change:
        steps.undo(change)
    done = merged(office.register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    assert "record" not in done.added
    assert (done.events, done.progress.done) == (0, 0)
    assert office.answer("YD-1").last is None


def test_a_pack_that_was_made_is_remembered_whatever_is_undone(office: Desk, tmp_path: Path) -> None:
    steps = Steps()
    office.register.watch(steps)
    office.item("YD-7")
    laptop = unpacked(pack_for(office.register, tmp_path / "more.fieldpack", "YARD"), tmp_path / "more.register")
    with office.change() as change:
        assert "YD-7" in steps.undo(change)
    laptop.later(600).test("YD-0")
    assert merged(office.register, sent_back(laptop, tmp_path / "more.fieldwork")).added["record"] == 1

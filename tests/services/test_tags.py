"""New tags and ranges of numbers: nothing is given out twice, and every old number still finds its item."""

from datetime import timedelta

import pytest
import sqlalchemy as sa

from register.errors import Refused
from register.services.history import history
from register.services.item_card import item_card
from register.services.items import find_item
from register.services.tag_ranges import RangeRow, add_range, end_range, ranges
from register.services.tags import NewTag, new_tag, retagging
from register.services.withdrawals.deeds import remove
from register.store.lists import ItemFilter, Sort, item_page
from register.store.tables import Event, Tag
from tests.desk import Desk
from tests.registers import TODAY

MORROW = TODAY + timedelta(days=1)


@pytest.fixture(autouse=True)
def _yard(desk: Desk) -> None:
    desk.site()
    desk.item("RR-1", earlier_tags=("OLD-7",))
    desk.item("RR-2")


def give(desk: Desk, tag: str, number: str = "", range_id: str | None = None) -> NewTag:
    key = desk.id(tag)
    with desk.change() as change:
        return new_tag(change, key, number=number, range_id=range_id)


def range_of(desk: Desk, holder: str = "Van 1", first: int = 100, last: int = 199, prefix: str = "RR-") -> str:
    with desk.change() as change:
        return add_range(change, holder=holder, prefix=prefix, digits=6, first=first, last=last)


def rows(desk: Desk) -> list[RangeRow]:
    with desk.read() as connection:
        return ranges(connection)


def test_every_number_that_an_item_ever_had_finds_it_with_all_its_records(desk: Desk) -> None:
    desk.test("RR-1")
    before = desk.dates("RR-1")
    given = give(desk.on(MORROW), "RR-1", "rr-000900")
    assert (given.before, given.number) == ("RR-1", "RR-000900")
    for number in ("RR-000900", "RR-1", "OLD-7"):
        assert desk.id(number) == given.item_id
    assert desk.dates("RR-000900") == before
    assert desk.answer("RR-000900").tag == "RR-000900"
    with desk.read() as connection:
        card = item_card(connection, given.item_id, MORROW)
        found = item_page(connection, ItemFilter(MORROW, text="old-7"), sort=Sort.TAG, limit=5)
    assert [row.id for row in found] == [given.item_id]
    tags = [(tag.number, tag.since, tag.until) for tag in card.tags]
    assert tags[0] == ("RR-000900", MORROW, None)
    assert ("RR-1", TODAY, MORROW) in tags
    assert len(card.records) == 1
    assert desk.faults() == ()


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("RR-2", "The tag RR-2 is, or was, another item's of this owner, at site YARD."),
        ("rr-1", "The tag RR-1 is, or was, this item's already."),
        ("OLD-7", "this item's already"),
        ("", "Scan or type the number of the new tag of RR-1"),
        ("\x00\x1b", "The tag is empty"),
        ("X" * 65, "at most 64"),
    ],
)
def test_a_number_that_cannot_be_given_is_refused_and_nothing_changes(desk: Desk, number: str, said: str) -> None:
    with pytest.raises(Refused, match=said):
        give(desk, "RR-1", number)
    assert desk.answer("RR-1").tag == "RR-1"


def test_control_characters_in_a_scanned_number_are_dropped(desk: Desk) -> None:
    assert give(desk, "RR-1", "\x02RR-\x0177\r").number == "RR-77"


def test_a_removed_item_gets_no_tag(desk: Desk) -> None:
    with desk.change() as change:
        remove(change, find_item(change.session.connection(), "RR-2"), reason="scrapped")
    with pytest.raises(Refused, match="removed for good"):
        give(desk, "RR-2", "RR-3")


def test_a_range_gives_its_numbers_one_by_one_and_passes_over_those_in_use(desk: Desk) -> None:
    desk.item("RR-000101")
    van = range_of(desk)
    assert give(desk, "RR-1", range_id=van).number == "RR-000100"
    assert give(desk, "RR-2", range_id=van).number == "RR-000102"
    (row,) = rows(desk)
    assert (row.following, row.left, row.few) == ("RR-000103", 97, False)


def test_few_and_none_left_are_said(desk: Desk) -> None:
    van = range_of(desk, last=100)
    assert rows(desk)[0].few
    give(desk, "RR-1", range_id=van)
    assert (rows(desk)[0].following, rows(desk)[0].left) == (None, 0)
    with pytest.raises(Refused, match="No number is left of RR-000100 to RR-000100 for Van 1"):
        give(desk, "RR-2", range_id=van)


def test_two_ranges_never_share_a_number_even_when_one_has_ended(desk: Desk) -> None:
    range_of(desk)
    with pytest.raises(Refused, match="shares numbers with RR-000100 to RR-000199 of Van 1"):
        range_of(desk, "Van 2", 199, 250)
    (row,) = rows(desk)
    with desk.change() as change:
        end_range(change, row.id, version=row.version)
    assert (rows(desk)[0].following, rows(desk)[0].ended_on) == (None, TODAY)
    with pytest.raises(Refused, match="of Van 1, though that range ended"):
        range_of(desk, "Van 2", 150, 160)
    with pytest.raises(Refused, match="No number is left"):
        give(desk, "RR-1", range_id=row.id)


def test_a_number_kept_for_another_van_is_refused(desk: Desk) -> None:
    one, two = range_of(desk), range_of(desk, "Van 2", 200, 299)
    with pytest.raises(Refused, match=r"RR-000205 is kept for Van 2 \(RR-000200 to RR-000299\)"):
        give(desk, "RR-1", "RR-000205", one)
    assert give(desk, "RR-1", "RR-000205", two).number == "RR-000205"
    assert give(desk, "RR-2", "FOREIGN 5", one).number == "FOREIGN 5"


def test_a_holder_may_use_any_of_his_own_ranges(desk: Desk) -> None:
    one = range_of(desk)
    range_of(desk, "Van 1", 200, 299)
    assert give(desk, "RR-1", "RR-000205", one).number == "RR-000205"


def test_a_range_needs_a_holder_and_a_sound_prefix(desk: Desk) -> None:
    with pytest.raises(Refused, match="needs a holder"):
        range_of(desk, " ")
    with pytest.raises(Refused, match="letters that a small code can't hold"):
        range_of(desk, prefix="RÄ_")


def test_ending_a_range_that_somebody_changed_is_refused(desk: Desk) -> None:
    range_of(desk)
    (row,) = rows(desk)
    with desk.change() as change:
        end_range(change, row.id, version=row.version)
    with pytest.raises(Refused, match="changed by somebody else"), desk.change() as change:
        end_range(change, row.id, version=row.version)


def test_what_is_asked_before_a_new_tag_names_the_item_and_the_open_ranges(desk: Desk) -> None:
    range_of(desk)
    with desk.read() as connection:
        asked = retagging(connection, desk.id("RR-1"))
    assert (asked.tag, asked.place) == ("RR-1", "Yard of the bay, Whole site")
    assert [row.following for row in asked.ranges] == ["RR-000100"]


def test_everything_is_in_the_history(desk: Desk) -> None:
    with desk.read() as connection:
        after = connection.execute(sa.select(sa.func.max(Event.seq))).scalar_one()
    van = range_of(desk)
    give(desk, "RR-1", range_id=van)
    (row,) = rows(desk)
    with desk.change() as change:
        end_range(change, van, version=row.version)
    assert desk.events(after) == ["tag-range:add", "tag:add", "tag-range:end"]
    with desk.read() as connection:
        told = [(each.what, each.to) for each in history(connection, 3)]
    assert told == [
        ("Range of tag numbers ended", "Van 1: RR-000100 to RR-000199"),
        ("New tag put on", "RR-000100, Yard of the bay"),
        ("Range of tag numbers entered", "Van 1: RR-000100 to RR-000199"),
    ]


def test_a_number_taken_in_between_leaves_nothing_half_done(desk: Desk) -> None:
    van = range_of(desk, first=100, last=101)
    one, other = desk.id("RR-1"), desk.id("RR-2")

    def both() -> None:
        with desk.change() as change:
            new_tag(change, one, range_id=van)
            new_tag(change, other, number="RR-000100", range_id=van)

    with pytest.raises(Refused, match="is, or was, another item's"):
        both()
    assert rows(desk)[0].following == "RR-000100"
    with desk.read() as connection:
        assert connection.execute(sa.select(Tag.id).where(Tag.number == "RR-000100")).all() == []

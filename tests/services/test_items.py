"""Items are entered once, found by every tag they ever had, and never share a tag."""

from datetime import date
from decimal import Decimal

import pytest
import sqlalchemy as sa

from register.domain.words import Condition, Kind, Standing
from register.errors import Refused
from register.services.items import NewItem, add_item, enter_each, enter_items, find_item
from register.services.moves import move_item
from register.store.tables import Event, Item
from tests.desk import TYPE_II, Desk
from tests.registers import TODAY

LEAD = Kind.EXTENSION_LEAD


def new(desk: Desk, tag: str, site: str = "YARD", **rest: object) -> NewItem:
    return NewItem(tag=tag, area_id=desk.area(site), kind=LEAD, since=TODAY, **rest)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    desk.site("YARD", owner="Ridge Joinery")
    desk.site("BARN", owner="Ridge Joinery")
    desk.site("MILL", owner="Sable Mills")
    return desk


def test_an_item_is_entered_with_all_that_is_known_of_it_and_its_dates(yard: Desk) -> None:
    key = yard.item(
        " b-0012 ", Kind.PORTABLE_OUTLET_DEVICE, area="Slipway", description=" Board, 4-way ", serial="S 1", outlets=4,
        safety_switch=TYPE_II, rated_current_a=Decimal("10.0"), earlier_tags=("old 9", "OLD  9", "b-0012"),
        condition=Condition.NEW, condition_since=date(2026, 11, 1),
    )  # fmt: skip
    answer = yard.answer("B-0012")
    assert (answer.item_id, answer.tag, answer.earlier_tags) == (key, "B-0012", ("OLD 9",))
    assert (answer.description, answer.serial, answer.area) == ("Board, 4-way", "S 1", "Slipway")
    assert (answer.environment, answer.standing) == ("workshop", Standing.IN_SERVICE)
    assert yard.dates("B-0012")["inspection-and-test"] == date(2027, 5, 1)
    assert yard.events()[-1] == "item:add"
    assert yard.faults() == ()


@pytest.mark.parametrize(
    ("kind", "given", "kept"),
    [(LEAD, None, 1), (LEAD, 3, 3), (Kind.APPLIANCE_CLASS_2, None, 0), (Kind.PORTABLE_OUTLET_DEVICE, 48, 48)],
)
def test_an_item_has_the_outlets_it_is_said_to_have_or_those_of_its_kind(
    yard: Desk, kind: Kind, given: int | None, kept: int
) -> None:
    key = yard.item("1", kind, outlets=given)
    with yard.read() as connection:
        assert connection.execute(sa.select(Item.outlets).where(Item.id == key)).scalar() == kept


def test_an_item_without_a_description_is_called_what_it_is(yard: Desk) -> None:
    yard.item("1", LEAD)
    assert yard.answer("1").description == "Extension lead"


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"tag": " "}, "The tag is empty. Scan or type the number on the tag."),
        (
            {"tag": "x" * 65},
            (
                "“XXXXXXXXXXXXXXXXXXXXXXXX…” has 65 characters; a tag's number has at most 64. Check that only the tag"
                " was scanned."
            ),
        ),
        ({"tag": "2", "outlets": 49}, "2 can't have 49 outlets. Give a number from 0 to 48."),
        ({"tag": "2", "outlets": -1}, "2 can't have -1 outlets. Give a number from 0 to 48."),
        (
            {"tag": "2", "environment": "swamp"},
            (
                "The rulebook au-in-service has no environment class “swamp”. Choose one of: workshop,"
                " flexed-or-hostile, benign, residential, cleaning, hire, construction."
            ),
        ),
        (
            {"tag": " a1 "},
            (
                "The tag A1 is, or was, another item's of this owner, at site YARD. Tags are not used twice: give this"
                " item its own."
            ),
        ),
        (
            {"tag": "2", "earlier_tags": ("old1",)},
            (
                "The tag OLD1 is, or was, another item's of this owner, at site YARD. Tags are not used twice: give"
                " this item its own."
            ),
        ),
        (
            {"tag": "2", "site": "BARN", "earlier_tags": ("a1",)},
            (
                "The tag A1 is, or was, another item's of this owner, at site YARD. Tags are not used twice: give this"
                " item its own."
            ),
        ),
    ],
)
def test_an_item_that_cant_be_entered_is_refused_with_a_sentence(
    yard: Desk, facts: dict[str, object], sentence: str
) -> None:
    yard.item("A1", LEAD, earlier_tags=("OLD1",))
    wanted = new(yard, **facts)
    before = yard.events()
    with pytest.raises(Refused) as told, yard.change() as change:
        add_item(change, wanted)
    assert str(told.value) == sentence
    assert yard.events() == before


def test_another_owner_may_have_the_same_number(yard: Desk) -> None:
    first, second = yard.item("A1", LEAD), yard.item("A1", LEAD, site="MILL")
    assert yard.id("a1", "mill") == second
    assert yard.id("a1", "yard") == first


def test_of_many_items_those_that_fit_are_entered_and_the_others_told_why(yard: Desk) -> None:
    news = [
        new(yard, "1"),
        new(yard, "2", earlier_tags=("1",)),
        new(yard, "3", outlets=99),
        new(yard, "2"),
        new(yard, ""),
    ]
    with yard.change() as change:
        entered = enter_each(change, news)
    assert [isinstance(each, Refused) for each in entered] == [False, True, True, False, True]
    assert [yard.id("1"), yard.id("2")] == [entered[0], entered[3]]
    with yard.read() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(Item)).scalar() == 2


def test_items_entered_together_are_entered_all_or_none(yard: Desk) -> None:
    news = [new(yard, "1"), new(yard, "1")]
    with pytest.raises(Refused, match="not used twice"), yard.change() as change:
        enter_items(change, news)
    with yard.read() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(Item)).scalar() == 0


@pytest.mark.parametrize(
    "typed", ["FF-204", "ff-204", "  ff-204\n", "\uff46\uff46-204", "ff\u200b-204", "b-0012", "B-0012"]
)
def test_any_tag_an_item_has_or_had_finds_it_whatever_its_case_and_blanks(yard: Desk, typed: str) -> None:
    key = yard.item("B-0012", LEAD, earlier_tags=("FF-204",))
    assert yard.id(typed) == key
    assert yard.id(typed, site=" yard ") == key


def test_a_present_tag_goes_before_an_earlier_one_of_another_owner(yard: Desk) -> None:
    yard.item("B-0012", LEAD, earlier_tags=("77",))
    at_mill = yard.item("77", LEAD, site="MILL")
    assert yard.id("77") == at_mill
    assert yard.id("77", "YARD") == yard.id("B-0012")


@pytest.mark.parametrize(
    ("tag", "site", "sentence"),
    [
        ("77", None, "The tag 77 is on items at several sites: MILL, YARD. Name the site as well."),
        ("old", None, "The tag OLD is on items at several sites: MILL, YARD. Name the site as well."),
        ("78", None, "No item has or had the tag 78. Check the number on the tag."),
        ("77", "barn", "No item has or had the tag 77 at site BARN. Check the number on the tag."),
        ("", None, "The tag is empty. Scan or type the number on the tag."),
    ],
)
def test_a_tag_that_names_no_item_or_several_is_said_so(yard: Desk, tag: str, site: str | None, sentence: str) -> None:
    yard.item("77", LEAD, earlier_tags=("OLD",))
    yard.item("77", LEAD, site="MILL", earlier_tags=("OLD",))
    with pytest.raises(Refused) as told:
        yard.id(tag, site)
    assert str(told.value) == sentence


def test_the_event_of_a_new_item_says_all_that_was_entered(yard: Desk) -> None:
    key = yard.item("1", LEAD, serial="S 1", rated_current_a=Decimal("15.50"))
    with yard.read() as connection:
        facts = connection.execute(sa.select(Event.data).where(Event.subject == key)).scalar_one()
    assert '"serial":"S 1"' in facts
    assert '"rated_current_a":"15.50"' in facts


def test_after_a_move_to_another_owner_the_tags_are_his(yard: Desk) -> None:
    yard.item("1", LEAD, earlier_tags=("OLD",))
    mill = yard.area("MILL")
    with yard.change() as change:
        move_item(change, find_item(change.session.connection(), "1"), mill)
    yard.item("OLD", LEAD)
    with pytest.raises(Refused, match="another item's of this owner, at site MILL"):
        yard.item("OLD", LEAD, site="MILL")


def test_an_item_does_not_move_to_an_owner_who_has_its_tag_on_another_item(yard: Desk) -> None:
    yard.item("1", LEAD)
    yard.item("1", LEAD, site="MILL")
    mill = yard.area("MILL")
    with pytest.raises(Refused) as told, yard.change() as change:
        move_item(change, find_item(change.session.connection(), "1", site="YARD"), mill)
    assert str(told.value) == "1 can't be moved to MILL: another item of its owner has or had the tag 1."
    assert yard.answer("1", site="YARD").site == "YARD"

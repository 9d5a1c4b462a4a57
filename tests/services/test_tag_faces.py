"""Which tag an item gets today, what stands on it, and which items get none."""

from datetime import date, timedelta

import pytest

from register.domain.tag_face import Face
from register.domain.tag_words import TagField, TagKind
from register.domain.words import Condition, Kind
from register.errors import Refused
from register.services.people import add_tester
from register.services.settings import set_setting
from register.services.tag_faces import Faces, items_at, items_tagged, tag_faces
from register.services.tag_stock import stock
from register.services.withdrawals.deeds import remove
from tests.desk import INSPECTION, OPERATING, SLOW, Desk
from tests.registers import TODAY


@pytest.fixture(autouse=True)
def _firm(desk: Desk) -> None:
    desk.site("YARD", "construction")
    desk.site("MILL", "workshop")
    with desk.change() as change:
        set_setting(change, "firm", "Bay firm")
        add_tester(change, "Kim Ferro", "L 44")


def faces(desk: Desk, *tags: str, kind: TagKind | None = None, on: date = TODAY) -> Faces:
    with desk.read() as connection:
        return tag_faces(connection, items_tagged(connection, tags), on, kind)


def face(desk: Desk, tag: str, kind: TagKind | None = None) -> Face:
    found = faces(desk, tag, kind=kind)
    assert found.refused == ()
    return found.faces[0].face


def test_a_pass_tag_carries_the_date_of_the_earliest_of_the_contractor_s_duties(desk: Desk) -> None:
    desk.item("M-1", site="MILL")
    desk.test("M-1", TODAY - timedelta(days=40), duties=(OPERATING,))
    desk.test("M-1", TODAY - timedelta(days=2), duties=(INSPECTION,))
    found = face(desk, "M-1")
    assert found.kind is TagKind.PASS
    assert found.value(TagField.RETEST) == min(day for day in desk.dates("M-1").values() if day is not None)
    assert found.value(TagField.TESTED) == TODAY - timedelta(days=2)
    assert found.value(TagField.TESTER) == "Kim Ferro"
    assert found.value(TagField.LICENCE) == "L 44"
    assert found.value(TagField.FIRM) == "Bay firm"
    assert found.colour is None


def test_the_quarter_s_colour_stands_on_construction_tags_unless_the_firm_turns_it_off(desk: Desk) -> None:
    desk.item("Y-1")
    desk.test("Y-1")
    found = face(desk, "Y-1").colour
    assert found is not None
    assert found.colour == "yellow"
    with desk.change() as change:
        set_setting(change, "tag_colours", "off")
    assert face(desk, "Y-1").colour is None


def test_a_withdrawn_item_gets_an_out_of_service_tag_with_its_reason(desk: Desk) -> None:
    desk.item("M-1", site="MILL")
    desk.test("M-1", readings=SLOW, duties=(OPERATING,))
    found = face(desk, "M-1")
    assert found.kind is TagKind.OUT_OF_SERVICE
    assert "512 ms" in str(found.value(TagField.REASON))
    assert found.value(TagField.WITHDRAWN) == TODAY
    assert found.value(TagField.OUT_NUMBER) is None


def test_the_number_of_the_out_of_service_tag_is_printed_where_it_has_one(desk: Desk) -> None:
    desk.item("M-1", site="MILL")
    desk.withdraw("M-1", number="OUT-9", detail="Plug cracked")
    found = face(desk, "M-1")
    assert found.value(TagField.OUT_NUMBER) == "OUT-9"
    assert found.value(TagField.REASON) == "Plug cracked"


def test_a_new_item_gets_a_new_to_service_tag_from_the_day_it_was_put_in_service(desk: Desk) -> None:
    since = TODAY - timedelta(days=5)
    desk.item(
        "M-1", Kind.APPLIANCE_CLASS_2, site="MILL", condition=Condition.NEW, condition_since=since, since=since
    )  # fmt: skip
    found = face(desk, "M-1")
    assert found.kind is TagKind.NEW_TO_SERVICE
    assert found.value(TagField.IN_SERVICE) == since
    assert isinstance(found.value(TagField.RETEST), date)
    assert found.value(TagField.TESTED) is None


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (None, "M-1 has not passed all that is due, so it gets no pass tag. Test it first."),
        (TagKind.OUT_OF_SERVICE, "M-1 is in service, so it gets no out-of-service tag."),
        (TagKind.NEW_TO_SERVICE, "M-1 is not new and untested, so it gets no new-to-service tag."),
    ],
)
def test_an_untested_item_gets_no_tag(desk: Desk, kind: TagKind | None, said: str) -> None:
    desk.item("M-1", site="MILL")
    assert faces(desk, "M-1", kind=kind) == Faces((), (said,))


def test_no_pass_tag_for_what_is_half_tested_overdue_withdrawn_or_removed(desk: Desk) -> None:
    for tag in ("HALF", "LATE", "OUT", "GONE", "GOOD"):
        desk.item(tag, site="MILL")
        desk.test(tag, TODAY - timedelta(days=500 if tag == "LATE" else 3), duties=(OPERATING,))
        if tag != "HALF":
            desk.test(tag, TODAY - timedelta(days=500 if tag == "LATE" else 3), duties=(INSPECTION,))
    desk.withdraw("OUT")
    with desk.change() as change:
        remove(change, desk.id("GONE"), reason="scrapped")
    found = faces(desk, "HALF", "LATE", "OUT", "GONE", "GOOD", kind=TagKind.PASS)
    assert [each.face.number for each in found.faces] == ["GOOD"]
    half, late, out, gone = found.refused
    assert "HALF has not passed all that is due" in half
    assert "LATE is overdue since" in late
    assert "OUT is out of service" in out
    assert "GONE was removed for good" in gone


def test_a_new_item_that_must_be_tested_before_use_gets_no_new_to_service_tag(desk: Desk) -> None:
    desk.item("Y-1", Kind.EXTENSION_LEAD, condition=Condition.NEW, condition_since=TODAY)
    (said,) = faces(desk, "Y-1").refused
    assert said == "Y-1 must be tested before it is used, so it gets no new-to-service tag."


def test_the_items_of_a_site_are_those_not_removed_by_tag(desk: Desk) -> None:
    for tag in ("M-3", "M-1", "M-2"):
        desk.item(tag, site="MILL")
    desk.item("Y-1")
    with desk.change() as change:
        remove(change, desk.id("M-2"), reason="scrapped")
    with desk.read() as connection:
        assert items_at(connection, "mill") == [desk.id("M-1"), desk.id("M-3")]
        with pytest.raises(Refused, match="There is no site NOPE"):
            items_at(connection, "NOPE")


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("tag_stock", "nope", "There is no format of labels “nope”"),
        ("tag_own_labels", {"width": 900, "height": 10}, "A label of 900 × 10 mm can't be used"),
        ("tag_own_labels", {"width": 40}, "needs the width and the height"),
        ("tag_own_labels", {"width": "40", "height": 20}, "are numbers of mm"),
        ("tag_own_labels", "wide", "describes no labels"),
        ("tag_colours", "maybe", "neither on nor off"),
        ("tag_nudges", {"Printer": [0, 40]}, "at most 10 mm"),
        ("tag_nudges", 5, "at most 10 mm"),
    ],
)
def test_settings_that_cannot_be_are_refused(desk: Desk, name: str, value: object, said: str) -> None:
    with pytest.raises(Refused, match=said), desk.change() as change:
        set_setting(change, name, value)


def test_the_firm_s_own_labels_are_a_format_like_the_others() -> None:
    own = stock("own", {"width": 40, "height": 20, "page_width": 210, "page_height": 297, "across": 5, "down": 10})
    assert own.words == "40 × 20 mm, 50 on a sheet"
    with pytest.raises(Refused, match="There is no format of labels “own”"):
        stock("own")

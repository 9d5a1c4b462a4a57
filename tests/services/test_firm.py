"""Sites, areas, owners, testers and instruments are changed by hand, and dates follow; nobody overwrites another."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from register.domain.records import ReadingPlan
from register.domain.words import Kind
from register.errors import Refused
from register.services import people
from register.services.care import care
from register.services.firm import (
    AreaRow,
    Redated,
    SiteFacts,
    SiteRow,
    add_area,
    areas,
    change_area,
    change_owner,
    change_site,
    sites,
)
from register.services.history import history
from register.services.overview import overview
from register.services.withdrawals.deeds import remove
from tests.desk import INSPECTION, SOUND, Desk
from tests.registers import TODAY

LEAD = Kind.EXTENSION_LEAD
TESTED = date(2026, 5, 20)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A workshop with a loft of its class and an office that is benign; a lead in each, tested half a year ago."""
    desk.site("YARD", "workshop")
    desk.site("DEPOT", "workshop", owner="Owner of DEPOT")
    desk.area("YARD", "Loft")
    desk.area("YARD", "Office", "benign")
    for tag, area in (("L1", "Loft"), ("L2", "Office")):
        desk.on(TESTED).item(tag, LEAD, area=area)
        desk.on(TESTED).test(tag, duties=(INSPECTION,), readings=SOUND)
    return desk


def site(desk: Desk, code: str = "YARD") -> SiteRow:
    with desk.read() as connection:
        return next(row for row in sites(connection) if row.code == code)


def area(desk: Desk, name: str) -> AreaRow:
    with desk.read() as connection:
        return next(row for row in areas(connection, site(desk).id) if row.name == name)


def changed(desk: Desk, *, keep: bool = True, version: int | None = None, **facts: object) -> Redated:
    row = site(desk)
    with desk.change(keep=keep) as change:
        return change_site(
            change, row.id, replace(row.facts, **facts), version=row.version if version is None else version
        )


def reclassed(desk: Desk, name: str, environment: str | None, *, keep: bool = True) -> Redated:
    row = area(desk, name)
    with desk.change(keep=keep) as change:
        return change_area(change, row.id, name=row.name, environment=environment, version=row.version)


def test_sites_are_listed_with_owner_class_rulebook_and_the_items_that_are_not_removed(yard: Desk) -> None:
    with yard.change() as change:
        remove(change, yard.id("L2"), reason="scrapped")
    row = site(yard)
    assert (row.owner.name, row.environment, row.facts.rulebook, row.items) == (
        "Owner of YARD", "Workshop or factory", "au-in-service", 1,
    )  # fmt: skip
    with yard.read() as connection:
        found = [(each.name, each.own, each.environment, each.items) for each in areas(connection, row.id)]
    assert found == [("Loft", None, "Workshop or factory", 1), ("Office", "benign", "Benign", 0)]


def test_a_harsher_class_of_the_site_brings_forward_what_has_no_class_of_its_own(yard: Desk) -> None:
    before = yard.dates("L1"), yard.dates("L2")
    assert changed(yard, environment="construction") == Redated(2, 1, 0)
    assert yard.dates("L1")[INSPECTION] == date(2026, 8, 20)
    assert yard.dates("L2") == before[1]
    assert yard.faults() == ()


def test_a_rehearsal_tells_the_same_and_changes_nothing(yard: Desk) -> None:
    before, events = yard.dates("L1"), yard.events()
    assert changed(yard, keep=False, environment="construction") == Redated(2, 1, 0)
    assert reclassed(yard, "Office", "construction", keep=False) == Redated(1, 1, 0)
    assert (yard.dates("L1"), yard.events()) == (before, events)


def test_a_gentler_class_of_an_area_postpones_no_date(yard: Desk) -> None:
    before = yard.dates("L1")
    assert reclassed(yard, "Loft", "benign") == Redated(1, 0, 0)
    assert yard.dates("L1") == before
    assert yard.faults() == ()


def test_another_rulebook_dates_the_items_anew(yard: Desk) -> None:
    reclassed(yard, "Office", None)
    done = changed(yard, rulebook="au-qld", environment="construction")
    assert (done.items, done.earlier > 0) == (2, True)
    assert site(yard).facts.rulebook == "au-qld"
    assert yard.faults() == ()


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"environment": "office"}, "The rulebook au-in-service has no environment class “office”."),
        (
            {"rulebook": "au-qld", "environment": "office"},
            "Office is of the class “benign”, which Electrical Safety Regulation 2013 \\(Queensland\\) does not have.",
        ),
    ],
)
def test_a_class_that_the_rulebook_does_not_have_is_refused(yard: Desk, facts: dict[str, str], why: str) -> None:
    events = yard.events()
    with pytest.raises(Refused, match=why):
        changed(yard, **facts)
    assert yard.events() == events


def test_a_site_that_somebody_else_changed_meanwhile_is_left_as_he_left_it(yard: Desk) -> None:
    opened = site(yard).version
    changed(yard, address="4 Slip Lane")
    with pytest.raises(Refused, match="YARD was changed by somebody else since you opened it"):
        changed(yard, version=opened, address="9 Mill Road")
    assert site(yard).facts.address == "4 Slip Lane"


def test_what_was_changed_of_a_site_reads_back(yard: Desk) -> None:
    facts = SiteFacts(
        "Lower yard", "Owner of DEPOT", "au-in-service", "workshop", "4 Slip Lane", "Key at the gate",
        ReadingPlan((Decimal(1), Decimal(5)), half=True, ramp=True),
    )  # fmt: skip
    row = site(yard)
    with yard.change() as change:
        assert change_site(change, row.id, facts, version=row.version) == Redated(0, 0, 0)
    assert site(yard).facts == facts
    assert yard.faults() == ()


def test_saving_what_is_so_already_writes_no_event(yard: Desk) -> None:
    events = yard.events()
    changed(yard)
    assert yard.events() == events


def test_a_site_is_not_given_to_an_owner_who_has_one_of_its_tags(yard: Desk) -> None:
    yard.item("L1", LEAD, site="DEPOT")
    with pytest.raises(Refused, match="another item of his has or had the tag L1"):
        changed(yard, owner="Owner of DEPOT")
    assert site(yard).owner.name == "Owner of YARD"


def test_an_owner_is_renamed_but_not_to_the_name_of_another(yard: Desk) -> None:
    row = site(yard).owner
    with yard.change() as change:
        change_owner(change, row.id, name="Slipway Trust", contact="ask for Ines", version=row.version)
    renamed = site(yard).owner
    assert (renamed.name, renamed.contact) == ("Slipway Trust", "ask for Ines")
    with pytest.raises(Refused, match="There is an owner “Owner of DEPOT” already"), yard.change() as change:
        change_owner(change, row.id, name="Owner of DEPOT", contact="", version=renamed.version)
    with pytest.raises(Refused, match="changed by somebody else"), yard.change() as change:
        change_owner(change, row.id, name="Other", contact="", version=row.version)


def test_an_area_is_entered_once_and_renamed_with_its_items_found_under_the_new_name(yard: Desk) -> None:
    with yard.change() as change:
        add_area(change, site(yard).id, "Shed", "construction")
    with pytest.raises(Refused, match="The site has an area “Shed” already"), yard.change() as change:
        add_area(change, site(yard).id, "Shed", None)
    loft = area(yard, "Loft")
    with yard.change() as change:
        change_area(change, loft.id, name="Rigging loft", environment=None, version=loft.version)
    assert area(yard, "Rigging loft").items == 1
    assert yard.faults() == ()
    with pytest.raises(Refused, match="An area needs a name"), yard.change() as change:
        add_area(change, site(yard).id, " ", None)


def test_an_item_that_was_removed_is_found_under_the_new_name_of_its_area_too(yard: Desk) -> None:
    with yard.change() as change:
        remove(change, yard.id("L1"), reason="scrapped")
    row = area(yard, "Loft")
    with yard.change() as change:
        change_area(change, row.id, name="Attic", environment=row.own, version=row.version)
    assert yard.faults() == ()


def test_testers_and_instruments_are_entered_and_changed_and_no_two_have_one_name(desk: Desk) -> None:
    with desk.change() as change:
        people.keep_tester(change, "Asha Pell", "L 1", date(2027, 1, 31))
        people.keep_instrument(change, "VT-2", "Tester of switches", None)
    with desk.read() as connection:
        (tester,), (instrument,) = people.testers(connection), people.instruments(connection)
    with desk.change() as change:
        people.keep_tester(change, "Asha Pell", "L 1", date(2028, 1, 31), opened=tester)
        people.keep_instrument(change, "VT-2", "Tester of switches", TODAY, opened=instrument)
    with desk.read() as connection:
        assert people.testers(connection)[0].expires_on == date(2028, 1, 31)
        assert people.instruments(connection)[0].calibrated_until == TODAY
    with pytest.raises(Refused, match="Asha Pell was changed by somebody else"), desk.change() as change:
        people.keep_tester(change, "Asha Pell", "", None, opened=tester)
    with pytest.raises(Refused, match="There is a tester “Asha Pell” already"), desk.change() as change:
        people.keep_tester(change, "Asha Pell", "", None)
    with pytest.raises(Refused, match="There is an instrument VT-2 already"), desk.change() as change:
        people.keep_instrument(change, "VT-2", "", None)
    assert desk.events() == ["tester:add", "instrument:add", "tester:change", "instrument:change"]


def test_the_care_page_counts_items_as_every_list_does_and_the_removed_ones_by_themselves(yard: Desk) -> None:
    with yard.change() as change:
        remove(change, yard.id("L2"), reason="Sold")
    with yard.read() as connection:
        facts, held = care(connection), overview(connection, TODAY)
    assert (facts.items, facts.removed) == (held.items, 1) == (1, 1)


def test_the_history_says_who_did_what_to_which_item_or_place(yard: Desk) -> None:
    changed(yard, environment="construction")
    with yard.read() as connection:
        latest, *_rest, first = history(connection)
        facts = care(connection)
    assert (latest.who, latest.what, latest.to, latest.item_id) == (
        "Kim Ferro",
        "Site changed",
        "Yard of the bay",
        None,
    )
    assert (first.what, first.to) == ("Owner entered", "Owner of YARD")
    with yard.read() as connection:
        tested = next(each for each in history(connection) if each.what == "Test recorded")
    assert (tested.to, tested.item_id) == ("L2, Yard of the bay", yard.id("L2"))
    assert (facts.sites, facts.items, facts.records, facts.events) == (2, 2, 2, latest.seq)

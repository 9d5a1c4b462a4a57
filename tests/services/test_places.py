"""Owners, sites, areas, testers and instruments are entered once under their names."""

from decimal import Decimal

import pytest
import sqlalchemy as sa

from register.domain.records import ReadingPlan
from register.errors import Refused
from register.services.people import add_instrument, add_tester
from register.services.places import (
    WHOLE_SITE,
    NewSite,
    add_site,
    area_named,
    known_site,
    owner_named,
    plan_of,
    plan_row,
)
from register.store import tables
from register.store.tables import Area, Instrument, Owner, Site
from tests.desk import Desk


def rows(desk: Desk, table: type) -> list[sa.Row]:
    with desk.read() as connection:
        return list(connection.execute(sa.select(table.__table__)))


def site(**rest: object) -> NewSite:
    facts = {"code": "YARD", "name": "Ridge yard", "owner": "Ridge Joinery", "rulebook": "au-in-service"} | rest
    return NewSite(environment=facts.pop("environment", "workshop"), **facts)


def test_a_site_is_entered_with_its_owner_and_plan(desk: Desk) -> None:
    plan = ReadingPlan((Decimal("0.5"), Decimal(1), Decimal(5)), half=True, ramp=True)
    with desk.change() as change:
        key = add_site(
            change, site(code=" yard ", address=" 4 Slip  Lane ", access="key at the office", reading_plan=plan)
        )
    (row,) = rows(desk, Site)
    assert (row.id, row.code, row.address, row.access, row.version) == (
        key, "YARD", "4 Slip Lane", "key at the office", 1,
    )  # fmt: skip
    assert plan_of(row.reading_plan) == plan
    assert [each.name for each in rows(desk, Owner)] == ["Ridge Joinery"]
    assert desk.events() == ["owner:add", "site:add"]


@pytest.mark.parametrize(
    "plan", [ReadingPlan(), ReadingPlan((Decimal(1), Decimal(2))), ReadingPlan((Decimal("0.5"),), half=True)]
)
def test_a_reading_plan_reads_back_as_it_was_kept(plan: ReadingPlan) -> None:
    assert plan_of(plan_row(plan)) == plan


def test_a_site_without_a_kept_plan_asks_the_least() -> None:
    assert plan_of({}) == ReadingPlan()


@pytest.mark.parametrize(
    ("facts", "name", "owner"),
    [
        ({"name": " "}, "YARD", "Ridge Joinery"),
        ({"owner": ""}, "Ridge yard", "Ridge yard"),
        ({"name": "", "owner": ""}, "YARD", "YARD"),
    ],
)
def test_what_is_not_said_of_a_site_is_its_code_or_name(
    desk: Desk, facts: dict[str, object], name: str, owner: str
) -> None:
    with desk.change() as change:
        add_site(change, site(**facts))
    assert rows(desk, Site)[0].name == name
    assert rows(desk, Owner)[0].name == owner


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"code": " "}, "The site “Ridge yard” needs a code. Give a short one, such as RY."),
        ({"code": "", "name": ""}, "The site “” needs a code. Give a short one, such as DEPOT."),
        ({"code": "mill"}, "There is a site MILL already. Choose another code for “Ridge yard”."),
        (
            {"environment": "swamp"},
            (
                "The rulebook au-in-service has no environment class “swamp”. Choose one of: workshop,"
                " flexed-or-hostile, benign, residential, cleaning, hire, construction."
            ),
        ),
        ({"rulebook": "mars"}, "There is no rulebook “mars”. There are: au-in-service, au-qld."),
    ],
)
def test_a_site_that_cant_be_entered_is_refused(desk: Desk, facts: dict[str, object], sentence: str) -> None:
    desk.site("MILL")
    before = desk.events()
    with pytest.raises(Refused) as told, desk.change() as change:
        add_site(change, site(**facts))
    assert str(told.value) == sentence
    assert desk.events() == before


def test_names_are_entered_once_however_often_they_are_named(desk: Desk) -> None:
    desk.site()
    for _ in range(2):
        with desk.change() as change:
            yard = known_site(change.session.connection(), "yard")
            owner_named(change, " Ridge  Joinery ", "ring first")
            area_named(change, yard, " Slip way", "benign")
            area_named(change, yard, "")
            add_tester(change, " Kim Ferro ", "L-1")
            add_instrument(change, " SN 1 ", "tester")
            add_tester(change, " ")
            add_instrument(change, "")
    assert [each.name for each in rows(desk, Owner)] == ["Owner of YARD", "Ridge Joinery"]
    assert {each.name: each.environment for each in rows(desk, Area)} == {"Slip way": "benign", WHOLE_SITE: None}
    assert [(each.name, each.licence) for each in rows(desk, tables.Tester)] == [("Kim Ferro", "L-1")]
    assert [(each.serial, each.description) for each in rows(desk, Instrument)] == [("SN 1", "tester")]
    assert desk.events()[2:] == ["owner:add", "area:add", "area:add", "tester:add", "instrument:add"]


def test_a_known_area_keeps_its_class(desk: Desk) -> None:
    desk.site()
    desk.area("YARD", "Office", "benign")
    desk.area("YARD", "Office", "hire")
    assert rows(desk, Area)[0].environment == "benign"


def test_an_area_needs_a_class_of_its_sites_rulebook(desk: Desk) -> None:
    desk.site("WORKS", "office", rulebook="au-qld")
    with pytest.raises(Refused, match="The rulebook au-qld has no environment class “benign”"):
        desk.area("WORKS", "Office", "benign")


def test_an_owner_needs_a_name(desk: Desk) -> None:
    with pytest.raises(Refused, match="An owner needs a name"), desk.change() as change:
        owner_named(change, " ")


@pytest.mark.parametrize(
    ("codes", "sentence"),
    [
        ([], "There is no site HALL in this register. It has no sites yet."),
        (["YARD", "MILL"], "There is no site HALL in this register. It has: MILL, YARD."),
    ],
)
def test_an_unknown_site_is_said_with_those_there_are(desk: Desk, codes: list[str], sentence: str) -> None:
    for code in codes:
        desk.site(code)
    with pytest.raises(Refused) as told, desk.read() as connection:
        known_site(connection, "hall ")
    assert str(told.value).casefold() == sentence.casefold()

"""Two people at one entry: nothing is overwritten unseen, and all three versions of it are told."""

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from register.domain.words import Kind
from register.services.clashes import Clash, differences
from register.services.editing import change_item, item_form
from register.services.firm import areas, change_area, change_owner, change_site, sites
from register.store import chain
from register.store.address import Address, place_of
from register.store.engine import Register
from tests.desk import Desk
from tests.servers import ON_A_SERVER


@pytest.fixture
def yard(desk: Desk) -> Desk:
    desk.site()
    desk.item("A-1", Kind.APPLIANCE_CLASS_1, description="Kettle")
    return desk


def test_an_item_is_not_overwritten_and_all_three_versions_are_told(yard: Desk) -> None:
    with yard.read() as connection:
        opened = item_form(connection, yard.id("A-1"))
    theirs = replace(opened.facts, description="Kettle, office", serial="K 7")
    mine = replace(opened.facts, description="Kettle, blue", rated_current_a=Decimal("9.2"))
    with yard.change() as change:
        change_item(change, opened.item_id, theirs, version=opened.version)
    with pytest.raises(Clash, match="A-1 was changed by somebody else") as clash, yard.change() as change:
        change_item(change, opened.item_id, mine, version=opened.version, opened=opened.facts)
    said = {each.field: (each.before, each.theirs, each.mine) for each in clash.value.differs}
    assert said == {
        "Description": ("Kettle", "Kettle, office", "Kettle, blue"),
        "Serial": ("nothing", "K 7", "nothing"),
        "Rated current": ("nothing", "nothing", "9.2"),
    }
    assert [each.field for each in clash.value.differs if each.clashes] == ["Description"]
    assert "Serial: it was nothing; theirs is “K 7”, yours nothing." in clash.value.lines
    with yard.change() as change:  # knowing theirs now, mine may take its place
        change_item(change, opened.item_id, mine, version=clash.value.version, opened=opened.facts)
    with yard.read() as connection:
        assert item_form(connection, opened.item_id).facts == mine


def test_sites_owners_and_areas_tell_theirs_too(yard: Desk) -> None:
    area_id = yard.area("YARD", "Slip")
    with yard.read() as connection:
        site = sites(connection)[0]
        area = next(each for each in areas(connection, site.id) if each.id == area_id)
    facts = replace(site.facts, access="Ring twice.")
    with yard.change() as change:
        change_site(change, site.id, facts, version=site.version)
        change_owner(change, site.owner.id, name="Tern Boats", contact="Ana", version=site.owner.version)
        change_area(change, area.id, name="Slipway", environment=None, version=area.version)
    mine = replace(site.facts, access="Ask at the gate.")
    found = []
    for deed in (
        lambda change: change_site(change, site.id, mine, version=site.version, opened=site.facts),
        lambda change: change_owner(
            change, site.owner.id, name="Tern", contact="", version=site.owner.version, opened=site.owner
        ),
        lambda change: change_area(change, area.id, name="Ramp", environment=None, version=area.version, opened=area),
    ):
        with pytest.raises(Clash) as clash, yard.change() as change:
            deed(change)
        found.append({each.field: (each.theirs, each.mine) for each in clash.value.differs})
    assert found[0]["How to get in"] == ("Ring twice.", "Ask at the gate.")
    assert found[1] == {"Name": ("Tern Boats", "Tern"), "Contact": ("Ana", "nothing")}
    assert found[2] == {"Name": ("Slipway", "Ramp")}


def test_without_what_was_opened_nothing_is_compared() -> None:
    assert differences(None, {"name": "a"}, {"name": "b"}) == ()


EDITOR = """
import json, sys
from datetime import UTC, date, datetime
from register.errors import Refused, Unavailable
from register.services.firm import areas, change_area
from register.store.address import place_of
from register.store.opening import open_as_keeper

place, site, who, rounds = sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4])
register, kept, refused = open_as_keeper(place_of(place)), 0, 0
while kept + refused < rounds:
    with register.read() as connection:
        of_site = areas(connection, site)
    area = of_site[(kept + refused) % len(of_site)]
    try:
        with register.change(actor=who, at=datetime.now(UTC), today=date(2026, 11, 20)) as change:
            change_area(change, area.id, name=f"{area.name.split(' ')[0]} {area.version}", environment=None,
                        version=area.version)
        kept += 1
    except Refused:
        refused += 1
print(json.dumps([kept, refused]))
"""


@pytest.mark.parametrize(("records", "rounds"), [(5, 60), pytest.param(20, 500, marks=pytest.mark.long)])
def test_of_two_programs_that_edit_the_same_neither_loses_anything(
    yard: Desk, register: Register, records: int, rounds: int, record_property: Callable[[str, object], None]
) -> None:
    keys = [yard.area("YARD", f"Bay{number}") for number in range(records)]
    with yard.read() as connection:
        site = sites(connection)[0].id
        before = chain.head(connection).count
    assert isinstance(place_of(address(register)), Address) == ON_A_SERVER
    command = [sys.executable, "-c", EDITOR, address(register), site]
    both = [
        subprocess.Popen([*command, who, str(rounds)], stdout=subprocess.PIPE, text=True) for who in ("Kim", "Robin")
    ]
    told = [json.loads(each.communicate()[0]) for each in both]
    kept = sum(each[0] for each in told)
    with yard.read() as connection:
        versions = {area.id: area.version for area in areas(connection, site)}
        assert chain.broken_at(connection) is None
        assert chain.head(connection).count - before == kept
    assert sum(version - 1 for version in versions.values()) == kept
    assert set(keys) <= versions.keys()
    assert sum(map(sum, told)) == 2 * rounds
    record_property("kept", kept)
    record_property("refused", 2 * rounds - kept)


def address(register: Register) -> str:
    url = register.engine.url
    return url.render_as_string(hide_password=False) if ON_A_SERVER else str(url.database)

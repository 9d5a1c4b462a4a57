"""Who may do what with his own owners' sites and with others': one table, held by services and by the server."""

import json
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.orm.exc import NoResultFound

from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.words import Duty, WithdrawalReason
from register.errors import Refused, Unavailable
from register.services.bench import aside
from register.services.check import check
from register.services.editing import ItemFacts, change_item, item_form
from register.services.firm import change_owner, change_site, sites
from register.services.history import history
from register.services.marks import mark_done
from register.services.moves import move_item
from register.services.overrides import NewOverride, add_override
from register.services.places import NewSite, add_site
from register.services.recording import record_tests
from register.services.settings import set_setting
from register.services.team import Member, let_in, let_out, team
from register.services.withdrawals.deeds import withdraw
from register.store import audit
from register.store.access import Role
from register.store.audit import Name
from register.store.engine import Change, Register
from register.store.opening import open_as_keeper, open_place
from register.store.tables import Area, Event, Item, Owner, Site
from tests.desk import Desk, entry
from tests.registers import TODAY
from tests.servers import ON_A_SERVER, Server

TEAM = {
    "boss": (Role.CONTRACTOR, []), "branch": (Role.CONTRACTOR, ["Owner of OWN"]),
    "mate": (Role.ASSISTANT, ["Owner of OWN"]), "looker": (Role.REVIEWER, ["Owner of OWN"]),
}  # fmt: skip
NO = (Refused, NoResultFound, Unavailable)


@dataclass
class Yard:
    """A register of two owners, its team, and a way to be one of them."""

    register: Register
    server: Server | None
    database: str

    def change(self, login: str, deed: Callable[[Change], object]) -> None:
        at = datetime.combine(TODAY, time(12), UTC)
        with closing(self.opened(login)) as register, register.change(actor=login, at=at, today=TODAY) as change:
            deed(change)

    def opened(self, login: str) -> Register:
        if self.server is not None:
            return open_place(self.server.address(self.database, login))
        from pathlib import Path

        from register.store.engine import open_register

        return open_register(Path(str(self.register.engine.url.database)))

    def key(self, code: str, model: Any) -> str:  # noqa: ANN401 - a table
        column = Item.tag_number if model is Item else Owner.name
        name = f"{code}-1" if model is Item else f"Owner of {code}"
        with self.register.read() as connection:
            return str(connection.execute(sa.select(model.id).where(column == name)).scalar_one())


@pytest.fixture
def yard(register: Register, request: pytest.FixtureRequest) -> Iterator[Yard]:
    desk = Desk(register)
    for code in ("OWN", "ALIEN"):
        desk.site(code)
        desk.item(f"{code}-1", site=code)
    server: Server | None = request.getfixturevalue("server") if ON_A_SERVER else None
    keeper = register
    if server is not None:
        server.run("; ".join(f"DROP ROLE IF EXISTS {login}; CREATE ROLE {login} LOGIN" for login in TEAM))
        keeper = open_as_keeper(server.address("built"))
    at = datetime.combine(TODAY, time(12), UTC)
    with keeper.change(actor="boss", at=at, today=TODAY) as change:
        for login, (role, owners) in TEAM.items():
            let_in(change, login, role, owners)
    yield Yard(keeper, server, "built")
    if server is not None:
        keeper.close()
        server.run(f"DELETE FROM access WHERE login <> 'kim'; DROP ROLE {', '.join(TEAM)}", "built")


def record(_yard: Yard, code: str) -> Callable[[Change], object]:
    return lambda change: record_tests(change, [entry(f"{code}-1", date(2026, 11, 19), tester="", instrument="")])


def take_out(yard: Yard, code: str) -> Callable[[Change], object]:
    key = yard.key(code, Item)
    return lambda change: withdraw(change, key, reason=WithdrawalReason.DAMAGED, tag_number="OUT-1")


def edit(yard: Yard, code: str) -> Callable[[Change], object]:
    with yard.register.read() as connection:
        form = item_form(connection, yard.key(code, Item))
    facts = ItemFacts(form.facts.kind, "Another", safety_switch=form.facts.safety_switch, outlets=form.facts.outlets)
    return lambda change: change_item(change, form.item_id, facts, version=form.version)


def rename(yard: Yard, code: str) -> Callable[[Change], object]:
    key = yard.key(code, Owner)
    return lambda change: change_owner(change, key, name=f"{code} & Sons", contact="", version=1)


def press(yard: Yard, code: str) -> Callable[[Change], object]:
    key = yard.key(code, Item)
    return lambda change: mark_done(change, key, Duty.BUTTON_PRESS, date(2026, 11, 19))


def add(_yard: Yard, code: str) -> Callable[[Change], object]:
    return lambda change: add_site(
        change,
        NewSite(code=f"{code}2", name="", owner=f"Owner of {code}", rulebook="au-in-service", environment="workshop"),
    )


def configure(_yard: Yard, _code: str) -> Callable[[Change], object]:
    return lambda change: set_setting(change, "firm", "Tern & Co")


def carry_off(yard: Yard, code: str) -> Callable[[Change], object]:
    """Take an item from one owner's site to another's."""
    key, there = yard.key(code, Item), "ALIEN" if code == "OWN" else "OWN"
    with yard.register.read() as connection:
        area = connection.execute(sa.select(Area.id).join(Site).where(Site.code == there)).scalars().first()
    return lambda change: move_item(change, key, str(area))


def take_over(yard: Yard, code: str) -> Callable[[Change], object]:
    """Give a site to another owner."""
    with yard.register.read() as connection:
        site = next(each for each in sites(connection) if each.code == code)
    facts = replace(site.facts, owner=f"Owner of {'ALIEN' if code == 'OWN' else 'OWN'}")
    return lambda change: change_site(change, site.id, facts, version=site.version)


def stretch(yard: Yard, code: str) -> Callable[[Change], object]:
    """Decide on another interval for a site."""
    with yard.register.read() as connection:
        site = next(each for each in sites(connection) if each.code == code)
    every = Interval.parse("P3M")
    new = NewOverride(Scope.SITE, site.id, Duty.INSPECTION_AND_TEST, every, "Hard use", "Ana", TODAY, date(2027, 11, 1))
    return lambda change: add_override(change, new)


def set_aside(yard: Yard, code: str) -> Callable[[Change], object]:
    with yard.register.read() as connection:
        site = next(each for each in sites(connection) if each.code == code)
    return lambda change: aside.set_aside(change, "X-77", site.id)


DEEDS = {
    "record": record, "withdraw": take_out, "edit": edit, "rename the owner": rename, "press": press,
    "add a site": add, "configure": configure, "carry off": carry_off, "take over": take_over, "stretch": stretch,
    "set aside": set_aside,
}  # fmt: skip
ALLOWED = {
    **{("boss", deed, code): True for deed in DEEDS for code in ("OWN", "ALIEN")},
    **{("branch", deed, "OWN"): deed not in {"configure", "carry off", "take over"} for deed in DEEDS},
    **{("mate", deed, "OWN"): deed in {"record", "withdraw", "edit", "press", "set aside"} for deed in DEEDS},
}
"""Everything else is refused."""


@pytest.mark.parametrize("code", ["OWN", "ALIEN"])
@pytest.mark.parametrize("deed", DEEDS)
@pytest.mark.parametrize("login", TEAM)
def test_each_may_do_what_his_role_says_at_his_owners_sites_alone(yard: Yard, login: str, deed: str, code: str) -> None:
    done = DEEDS[deed](yard, code)
    if ALLOWED.get((login, deed, code), False):
        yard.change(login, done)
        return
    with yard.register.read() as connection:
        before = connection.exec_driver_sql("SELECT count(*) FROM event").scalar()
    with pytest.raises(NO):
        yard.change(login, done)
    with yard.register.read() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM event").scalar() == before


KEEPERS = "its keeper's, by other ways"
EVENTS = {
    "on site": {
        Name.RECORD_ADD, Name.RECORD_CORRECT, Name.MARK_ADD, Name.WITHDRAWAL_OPEN, Name.WITHDRAWAL_CHANGE,
        Name.WITHDRAWAL_END, Name.PHOTO_ADD, Name.ITEM_ADD, Name.ITEM_CHANGE, Name.TAG_ADD, Name.AREA_ADD,
        Name.CODE_ASIDE, Name.CODE_SETTLE, Name.TESTER_ADD, Name.INSTRUMENT_ADD, Name.UNDO, Name.REDO,
    },
    "an owner's": {
        Name.OWNER_CHANGE, Name.SITE_ADD, Name.SITE_CHANGE, Name.AREA_CHANGE, Name.ITEM_MOVE, Name.ITEM_REMOVE,
        Name.OVERRIDE_ADD, Name.OVERRIDE_END, Name.SITE_VISITING, Name.REVIEW_TAKE, Name.BOOK_SEND, Name.QUERY_ADD,
        Name.QUERY_SETTLE, Name.PACK_OPEN, Name.PACK_BACK,
    },
    "the firm's": {
        Name.REGISTER_CREATE, Name.SETTING_CHANGE, Name.REGISTER_RESTORE, Name.OWNER_ADD, Name.TAG_RANGE_ADD,
        Name.TAG_RANGE_END, Name.TESTER_CHANGE, Name.INSTRUMENT_CHANGE, Name.VAN_ADD, Name.VAN_CHANGE, Name.WEEK_PLAN,
        Name.INTAKE, Name.REDATE, Name.PACK_MAKE, Name.PACK_MERGE, Name.PACK_SETTLE, Name.LET_GO,
    },
    KEEPERS: {Name.REGISTER_UPGRADE, Name.TEAM_IN, Name.TEAM_OUT},
}  # fmt: skip
"""Everything that can happen to a register, by whose work it is."""
WHOSE = {"boss": set(EVENTS), "branch": {"on site", "an owner's"}, "mate": {"on site"}, "looker": set()}


def test_whatever_can_happen_is_somebodys_work() -> None:
    assert sorted(name for names in EVENTS.values() for name in names) == sorted(Name)


@pytest.mark.parametrize("code", ["OWN", "ALIEN"])
@pytest.mark.parametrize("login", TEAM)
def test_each_makes_happen_what_is_his_work_at_his_owners_sites_alone(yard: Yard, login: str, code: str) -> None:
    item = yard.key(code, Item)
    at = datetime.combine(TODAY, time(12), UTC)
    with yard.register.read() as connection:
        area = connection.execute(sa.select(Item.area_id).where(Item.id == item)).scalar_one()
    with closing(yard.opened(login)) as register:
        for whose, names in EVENTS.items():
            for name in names if whose != KEEPERS else ():
                allowed = whose in WHOSE[login] and (code == "OWN" or login == "boss")
                try:
                    with register.change(actor=login, at=at, today=TODAY, keep=False) as change:
                        audit.log(change, name, item, before={} if name is Name.SITE_CHANGE else area)
                    made = True
                except NO:
                    made = False
                unseen = ON_A_SERVER and code == "ALIEN"  # whose it is that he names there he can't know
                assert made is allowed or unseen, (name, login, code)


def test_whoever_is_let_out_or_never_was_in_may_do_nothing(yard: Yard) -> None:
    at = datetime.combine(TODAY, time(12), UTC)
    with yard.register.change(actor="boss", at=at, today=TODAY) as change:
        let_out(change, "mate")
    with pytest.raises(NO):
        yard.change("mate", record(yard, "OWN"))
    with yard.register.read() as connection:
        assert Member("looker", Role.REVIEWER, ("Owner of OWN",)) in team(connection)
        assert "mate" not in {each.login for each in team(connection)}


def test_the_history_says_who_came_and_who_went(yard: Yard) -> None:
    at = datetime.combine(TODAY, time(12), UTC)
    with yard.register.change(actor="boss", at=at, today=TODAY) as change:
        let_in(change, "mate", Role.REVIEWER, ["Owner of OWN"])
        let_out(change, "looker")
    with yard.register.read() as connection:
        out, into = history(connection, 2)
        facts = connection.execute(sa.select(Event.data).where(Event.seq == into.seq)).scalar_one()
        assert check(connection).faults == ()
    assert (into.who, into.what, into.to) == ("boss", "Let into the team", "mate")
    assert (out.who, out.what, out.to) == ("boss", "Let out of the team", "looker")
    assert json.loads(facts) == {"name": "mate", "owners": ["Owner of OWN"], "role": "reviewer"}


def test_who_is_let_in_is_checked(yard: Yard) -> None:
    at = datetime.combine(TODAY, time(12), UTC)
    for login, owners, said in (("", [], "needs a name"), ("mate", ["Nobody"], "No owner is called “Nobody”")):
        with pytest.raises(Refused, match=said), yard.register.change(actor="boss", at=at, today=TODAY) as change:
            let_in(change, login, Role.ASSISTANT, owners)
    with pytest.raises(Refused, match="not in the team"), yard.register.change(actor="", at=at, today=TODAY) as change:
        let_out(change, "stranger")


SEEN = {
    "its item": "SELECT count(*) FROM item WHERE tag_number = '{0}-1'",
    "its item by the view": "SELECT count(*) FROM item_overview WHERE site = '{0}'",
    "its owner": "SELECT count(*) FROM owner WHERE name = 'Owner of {0}'",
    "its tag": "SELECT count(*) FROM tag WHERE number = '{0}-1'",
    "its words": "SELECT count(*) FROM item_text WHERE text LIKE '%%{1}-1%%'",
    "what is found": "SELECT count(*) FROM items_with(ARRAY['%%{1}-%%', '%%-1%%', '%%', '%%1%%'])",
    "its events": "SELECT count(*) FROM event WHERE data LIKE '%%{0}-1%%'",
    "its dates": "SELECT count(DISTINCT item_id) FROM duty JOIN site ON site.id = site_id WHERE code = '{0}'",
}
on_servers = pytest.mark.skipif(not ON_A_SERVER, reason="what a server itself holds everybody to")


@on_servers
@pytest.mark.parametrize("what", SEEN)
@pytest.mark.parametrize("login", TEAM)
def test_each_sees_his_owners_rows_alone_by_tables_and_views(yard: Yard, login: str, what: str) -> None:
    with closing(yard.opened(login)) as register, register.read() as connection:
        own, alien = (
            connection.exec_driver_sql(SEEN[what].format(code, code.casefold())).scalar_one()
            for code in ("OWN", "ALIEN")
        )
    assert own == 1
    assert alien == (1 if login == "boss" else 0)


WRITTEN = {
    "change": "UPDATE item SET remarks = 'x' WHERE tag_number = '{0}-1'",
    "mark": "INSERT INTO mark SELECT id, 'button-press', '2026-01-01', '', gen_random_uuid() FROM item"
    " WHERE tag_number = '{0}-1'",
    "rename": "UPDATE owner SET contact = 'x' WHERE name = 'Owner of {0}'",
    "hand over": "UPDATE site SET owner_id = (SELECT owner_id FROM site WHERE code = 'ALIEN') WHERE code = '{0}'",
    "history": "UPDATE event SET actor = 'x'",
    "forget": "DELETE FROM event",
    "empty": "TRUNCATE item CASCADE",
    "let in": "INSERT INTO access VALUES ('mate', 'contractor', NULL, gen_random_uuid())",
    "loosen": "ALTER TABLE item DISABLE ROW LEVEL SECURITY",
    "drop": "DROP TRIGGER event_no_update ON event",
}
MAY_WRITE = {
    ("boss", "change"), ("boss", "mark"), ("boss", "rename"), ("boss", "hand over"), ("branch", "change"),
    ("branch", "mark"), ("branch", "rename"), ("mate", "change"), ("mate", "mark"),
}  # fmt: skip


@on_servers
@pytest.mark.parametrize("what", WRITTEN)
@pytest.mark.parametrize("login", TEAM)
def test_the_server_itself_lets_each_write_no_more_than_that(yard: Yard, login: str, what: str) -> None:
    for code in ("OWN", "ALIEN"):
        allowed = (login, what) in MAY_WRITE and (code == "OWN" or login == "boss")
        with closing(yard.opened(login)) as register:
            engine = register.engine.execution_options(writes=True)
            try:
                with engine.begin() as connection:
                    rows = connection.exec_driver_sql(WRITTEN[what].format(code)).rowcount
            except sa.exc.DBAPIError:
                rows = 0
        assert (rows > 0) is allowed, (login, what, code)


@on_servers
@pytest.mark.usefixtures("yard")
def test_a_stranger_can_not_connect_and_no_login_of_the_team_owns_anything(server: Server) -> None:
    server.run("CREATE ROLE stranger LOGIN")
    try:
        with pytest.raises(Unavailable, match="does not let you in"):
            open_place(server.address("built", "stranger"))
    finally:
        server.run("DROP ROLE stranger")
    owners = "SELECT DISTINCT pg_get_userbyid(relowner) FROM pg_class WHERE relnamespace = 'public'::regnamespace"
    assert server.run(owners, "built") == "chief"


@on_servers
def test_only_who_sees_all_checks_a_register(yard: Yard) -> None:
    with (
        closing(yard.opened("mate")) as register,
        register.read() as connection,
        pytest.raises(Refused, match="sees all owners"),
    ):
        check(connection)
    with closing(yard.opened("boss")) as register, register.read() as connection:
        assert check(connection).faults == ()


@on_servers
def test_rights_that_are_set_again_stay_the_same(yard: Yard) -> None:
    from register.store.rights import set_rights

    with yard.register.engine.execution_options(writes=True).begin() as connection:
        set_rights(connection)
    yard.change("mate", record(yard, "OWN"))
    with pytest.raises(NO):
        yard.change("mate", record(yard, "ALIEN"))

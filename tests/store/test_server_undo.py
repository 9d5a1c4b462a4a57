"""Undone and done again where many work: what one did oneself, and only while nobody else has changed it."""

from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from datetime import time

import pytest

from register.domain.words import Result
from register.errors import Refused
from register.services.check import check
from register.services.corrections import void_record
from register.services.editing import change_item, item_form
from register.services.firm import change_site, sites
from register.services.items import find_item
from register.services.team import let_in
from register.services.undo import Steps
from register.services.withdrawals.deeds import remove
from register.store.access import Role
from register.store.engine import Change, Register
from register.store.opening import open_as_keeper, open_place
from tests.desk import Desk
from tests.registers import changing
from tests.servers import Server
from tests.services.sheet import item, sheet_test, take
from tests.services.state import state_hash


@pytest.fixture
def desk(on_server: Register) -> Desk:
    """A contractor at work on a server, with a site and an item that was tested."""
    desk = Desk(on_server)
    desk.site()
    desk.item("1", area="Hall")
    desk.test("1")
    return desk


@pytest.fixture
def steps(desk: Desk) -> Steps:
    """What he did from here on."""
    steps = Steps()
    desk.register.watch(steps)
    return steps


@pytest.fixture
def colleague(server: Server, database: str) -> Iterator[Desk]:
    """Another who works on the same."""
    with closing(open_place(server.address(database, "kim"))) as register:
        yield Desk(register)


def content(desk: Desk) -> str:
    with desk.read() as connection:
        return state_hash(connection)


def edit(desk: Desk, remarks: str) -> None:
    with desk.read() as connection:
        form = item_form(connection, desk.id("1"))
    with desk.change() as change:
        change_item(change, form.item_id, replace(form.facts, remarks=remarks), version=form.version)


def test_a_days_work_is_undone_step_by_step_and_done_again(desk: Desk, steps: Steps) -> None:
    states = [content(desk)]
    with desk.read() as connection:
        site = sites(connection)[0]
    named = replace(site.facts, name="The long yard", environment="residential")
    deeds: tuple[Callable[[Change], object], ...] = (
        lambda change: change_site(change, site.id, named, version=site.version),
        lambda change: void_record(change, wrong, "another item"),
        lambda change: remove(change, find_item(change.session, "1"), reason="sold"),
    )
    wrong = desk.test("1", look=Result.FAIL, at=time(1)).id
    states.append(content(desk))
    for deed in deeds:
        with desk.change() as change:
            deed(change)
        states.append(content(desk))
    take(desk, (item("2"), item("3", row=3)), (sheet_test("2"), sheet_test("3", row=3)))
    states.append(content(desk))
    for state in reversed(states[:-1]):
        with desk.change() as change:
            steps.undo(change)
        assert content(desk) == state
    for state in states[1:]:
        with desk.change() as change:
            steps.redo(change)
        assert content(desk) == state
    with desk.read() as connection:
        assert check(connection).faults == ()


def test_what_a_colleague_changed_since_stays_as_he_left_it(desk: Desk, steps: Steps, colleague: Desk) -> None:
    edit(desk, "behind the saw")
    edit(colleague, "beside the saw")
    before = content(desk)
    with pytest.raises(Refused, match="changed again since"), desk.change() as change:
        steps.undo(change)
    assert content(desk) == before


def test_what_a_colleague_did_elsewhere_stays(desk: Desk, steps: Steps, colleague: Desk) -> None:
    edit(desk, "behind the saw")
    colleague.item("2")
    with desk.change() as change:
        assert "1" in steps.undo(change)
    with desk.read() as connection:
        assert item_form(connection, desk.id("1")).facts.remarks == ""
        assert find_item(connection, "2")


def test_an_assistant_who_may_take_nothing_away_is_told_so(server: Server, desk: Desk) -> None:
    server.run("CREATE ROLE junior LOGIN")
    try:
        with closing(open_as_keeper(server.address("built"))) as keeper, changing(keeper) as change:
            let_in(change, "junior", Role.ASSISTANT, ["Owner of YARD"])
        with closing(open_place(server.address("built", "junior"))) as register:
            steps = Steps()
            register.watch(steps)
            junior = Desk(register)
            junior.test("1", at=time(2))
            before = content(desk)
            with pytest.raises(Refused, match="has no right to that"), junior.change() as change:
                steps.undo(change)
            assert content(desk) == before
    finally:
        server.run("DELETE FROM access WHERE login = 'junior'", "built")
        server.run("DROP ROLE junior")

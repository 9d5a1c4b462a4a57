"""Whatever is done can be undone and done again: the register then holds the very same, and its history everything."""

from collections.abc import Callable
from dataclasses import replace
from datetime import time, timedelta
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.words import Condition, Duty, Result
from register.errors import Refused
from register.services import people
from register.services.amended import undone_records
from register.services.conditions import change_condition
from register.services.corrections import correct_record, void_record
from register.services.editing import change_item, item_form, move_to
from register.services.firm import add_area, areas, change_area, change_owner, change_site, sites
from register.services.marks import mark_done
from register.services.overrides import NewOverride, add_override, end_override
from register.services.people import instruments, keep_instrument, keep_tester
from register.services.places import known_site
from register.services.settings import set_setting
from register.services.undo import MOST, Steps
from register.services.withdrawals.deeds import remove
from register.store.layout import HISTORY, tables
from register.store.tables import Record
from register.store.types import new_key
from tests.desk import Desk, entry
from tests.registers import TODAY
from tests.services.sheet import item as row
from tests.services.sheet import sheet_test, take
from tests.services.state import state_hash

DAY = timedelta(days=1)


class Hands:
    """Somebody at work on a register that remembers what he does."""

    def __init__(self, desk: Desk) -> None:
        self.desk, self.steps = desk, Steps()
        desk.register.watch(self.steps)

    def content(self) -> str:
        with self.desk.read() as connection:
            return state_hash(connection)

    def undo(self) -> str:
        with self.desk.change() as change:
            return self.steps.undo(change)

    def redo(self) -> str:
        with self.desk.change() as change:
            return self.steps.redo(change)

    def do(self, deed: Callable[..., Any], *args: Any, **named: Any) -> Any:  # noqa: ANN401
        with self.desk.change() as change:
            return deed(change, *args, **named)

    def ask(self, question: Callable[..., Any], *args: Any) -> Any:  # noqa: ANN401
        with self.desk.read() as connection:
            return question(connection, *args)


@pytest.fixture
def hands(desk: Desk) -> Hands:
    desk.site()
    desk.site("DOCK", environment="benign")
    desk.item("1", since=TODAY - 730 * DAY, area="Hall")
    desk.item("2", since=TODAY - 730 * DAY)
    desk.test("1", TODAY - 100 * DAY)
    with desk.change() as change:
        set_setting(change, "state", "VIC")
    return Hands(desk)


def _edit(hands: Hands) -> None:
    form = hands.ask(item_form, hands.desk.id("1"))
    facts = replace(form.facts, remarks="behind the saw", environment="construction", description="Grey box")
    hands.do(change_item, form.item_id, facts, version=form.version)


def _move(hands: Hands) -> None:
    form = hands.ask(item_form, hands.desk.id("1"))
    hands.do(move_to, form.item_id, hands.ask(known_site, "DOCK"), "Gate", version=form.version)


def _site(hands: Hands) -> None:
    site = next(each for each in hands.ask(sites) if each.code == "YARD")
    facts = replace(site.facts, name="The long yard", owner="Another owner", environment="residential")
    hands.do(change_site, site.id, facts, version=site.version)


def _area(hands: Hands) -> None:
    area = next(each for each in hands.ask(areas, hands.ask(known_site, "YARD")) if each.name == "Hall")
    hands.do(change_area, area.id, name="Great hall", environment="hire", version=area.version)


def _owner(hands: Hands) -> None:
    owner = hands.ask(sites)[0].owner
    hands.do(change_owner, owner.id, name="Renamed", contact="by post", version=owner.version)


def _override(hands: Hands) -> str:
    new = NewOverride(
        Scope.SITE, hands.ask(known_site, "YARD"), Duty.OPERATING_TIME, Interval.parse("P3M"), "wet", "Jo", TODAY, TODAY
    )
    key: str = hands.do(add_override, new)
    return key


def _ended(hands: Hands) -> None:
    hands.do(end_override, _override(hands), "dry again")


def _tester(hands: Hands) -> None:
    opened = hands.ask(people.testers)[0]
    hands.do(keep_tester, opened.name, "E-77", TODAY, opened=opened)


def _instrument(hands: Hands) -> None:
    opened = hands.ask(instruments)[0]
    hands.do(keep_instrument, opened.serial, "the yellow one", TODAY, opened=opened)


def _corrected(hands: Hands) -> None:
    count = len(hands.desk.events())
    wrong = hands.desk.test("1", look=Result.FAIL, at=time(1, count // 60, count % 60), id=new_key()).id
    right = entry("1", TODAY, at=time(2, count // 60, count % 60), id=new_key())
    hands.do(correct_record, wrong, right, "typed wrong")


def _void(hands: Hands) -> None:
    hands.do(void_record, hands.desk.test("2", look=Result.FAIL, at=time(3), id=new_key()).id, "another item")


def _void_passed(hands: Hands) -> None:
    hands.do(void_record, hands.desk.test("1", at=time(4), id=new_key()).id, "another item")


def _corrected_to_another(hands: Hands) -> None:
    wrong = hands.desk.test("1", at=time(5), id=new_key()).id
    hands.do(correct_record, wrong, entry("2", TODAY, at=time(5), id=new_key()), "the tag was misread")


def _returned(hands: Hands) -> None:
    hands.desk.test("1", TODAY - DAY, look=Result.FAIL)
    hands.desk.test("1", TODAY)


def _sheet(hands: Hands) -> None:
    tests = [sheet_test("7", TODAY - DAY, Result.FAIL, look=Result.FAIL), sheet_test("1", TODAY, Result.PASS)]
    take(hands.desk, [row("7"), row("8"), row("1", description="Told by the sheet")], tests)


DEEDS: dict[str, Callable[[Hands], Any]] = {
    "a record that passes": lambda hands: hands.desk.test("1"),
    "a record that fails": lambda hands: hands.desk.test("2", look=Result.FAIL, tester="A newcomer", instrument="SN 1"),
    "a fail and a pass": _returned,
    "a record corrected": _corrected,
    "a record made void": _void,
    "a passed record made void": _void_passed,
    "a record of another item put right": _corrected_to_another,
    "an item added": lambda hands: hands.desk.item("9", area="Attic"),
    "an item changed": _edit,
    "an item moved": _move,
    "an item withdrawn": lambda hands: hands.desk.withdraw("1", told="Jo"),
    "an item removed": lambda hands: hands.do(remove, hands.desk.id("1"), reason="scrapped"),
    "an item put in store": lambda hands: hands.do(
        change_condition, hands.desk.id("1"), Condition.STORED, since=TODAY, reason=""
    ),
    "a mark": lambda hands: hands.do(mark_done, hands.desk.id("1"), Duty.BUTTON_PRESS, TODAY),
    "an override": _override,
    "an override ended": _ended,
    "a site added": lambda hands: hands.desk.site("NEW"),
    "a site changed": _site,
    "an area added": lambda hands: hands.do(add_area, hands.ask(known_site, "YARD"), "Cellar", None),
    "an area changed": _area,
    "an owner renamed": _owner,
    "a tester": _tester,
    "an instrument": _instrument,
    "a setting": lambda hands: hands.do(set_setting, "firm", "Another firm"),
    "a setting taken away": lambda hands: hands.do(set_setting, "state", None),
    "a spreadsheet": _sheet,
}


@pytest.mark.parametrize("deed", DEEDS)
def test_every_deed_is_undone_and_done_again(hands: Hands, deed: str) -> None:
    before, events = hands.content(), len(hands.desk.events())
    DEEDS[deed](hands)
    after, steps = hands.content(), 0
    assert after != before
    while hands.steps.to_undo:
        hands.undo()
        steps += 1
        assert hands.desk.faults() == ()
    assert hands.content() == before
    for _ in range(steps):
        hands.redo()
        assert hands.desk.faults() == ()
    assert hands.content() == after
    assert hands.desk.events(events)[-1] == "register:redo", "the history goes on; nothing of it is lost"


def test_every_table_is_of_the_history_or_watched(hands: Hands) -> None:
    with hands.desk.read() as connection:
        known = {table.name for table in tables(connection)}
        present = connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'table'").scalars()
        named = {name for name in present if not name.startswith(("sqlite", "item_search"))}
    assert named == known
    assert named >= HISTORY


def test_thirty_steps_back_and_thirty_on_end_where_they_began(hands: Hands) -> None:
    contents = [hands.content()]
    for deed in list(DEEDS)[:-1]:
        if deed not in {"an item removed", "a fail and a pass", "an override ended"}:
            DEEDS[deed](hands)
    number = 0
    while len(_left(hands)) < 30:
        hands.desk.item(f"N{number}")
        number += 1
    contents.append(hands.content())
    for _ in range(30):
        hands.undo()
    for _ in range(30):
        hands.redo()
    assert hands.content() == contents[1]
    while hands.steps.to_undo:
        hands.undo()
    assert hands.content() == contents[0]


def _left(hands: Hands) -> list[Any]:
    return list(hands.steps._done)


def test_a_record_that_is_undone_is_kept_word_for_word(hands: Hands) -> None:
    made = hands.desk.test("1", tester="A newcomer")
    hands.undo()
    with hands.desk.read() as connection:
        (undone,) = undone_records(connection, hands.desk.id("1"))
        assert connection.execute(sa.select(Record.id).where(Record.id == made.id)).first() is None
    assert (undone.id, undone.tester, undone.by) == (made.id, "A newcomer", "Kim Ferro")
    hands.redo()
    assert hands.ask(undone_records, hands.desk.id("1")) == ()


def test_no_record_goes_that_was_not_kept(hands: Hands) -> None:
    with pytest.raises(sa.exc.IntegrityError), hands.desk.change() as change:
        change.session.connection().execute(sa.delete(Record))


def _edit_more(hands: Hands) -> None:
    form = hands.ask(item_form, hands.desk.id("1"))
    hands.do(change_item, form.item_id, replace(form.facts, remarks="in front of it"), version=form.version)


def _void_latest(hands: Hands) -> None:
    with hands.desk.read() as connection:
        latest = connection.execute(sa.select(Record.id).order_by(Record.tested_on.desc())).scalars().first()
    hands.do(void_record, latest, "by somebody else")


OTHERS: dict[str, tuple[Callable[[Hands], Any], Callable[[Hands], Any]]] = {
    "the same field": (_edit, _edit_more),
    "a test of the same item": (DEEDS["a record that passes"], lambda hands: hands.desk.test("1", look=Result.FAIL)),
    "an item in the site added": (DEEDS["a site added"], lambda hands: hands.desk.item("X", site="NEW")),
    "a correction of the record": (DEEDS["a record that passes"], _void_latest),
}


@pytest.mark.parametrize("what", OTHERS)
def test_what_somebody_else_changed_since_is_not_undone(hands: Hands, what: str) -> None:
    mine, theirs = OTHERS[what]
    mine(hands)
    hands.desk.register.watch(Steps())
    theirs(hands)
    hands.desk.register.watch(hands.steps)
    before = hands.content()
    with pytest.raises(Refused, match="changed again since"):
        hands.undo()
    assert hands.content() == before
    assert hands.desk.faults() == ()


def test_what_somebody_else_did_elsewhere_stays(hands: Hands) -> None:
    _override(hands)
    hands.desk.register.watch(Steps())
    hands.desk.item("X")
    hands.desk.register.watch(hands.steps)
    hands.undo()
    assert hands.desk.faults() == ()


def test_a_sheet_of_many_rows_is_undone_and_leaves_no_index_behind(hands: Hands) -> None:
    before, layout = hands.content(), _layout(hands)
    rows = tuple(row(f"T{number}", row=number + 2) for number in range(60))
    take(hands.desk, rows, tuple(sheet_test(each.tag, row=each.place.row) for each in rows))
    hands.undo()
    assert (hands.content(), _layout(hands)) == (before, layout)
    assert hands.desk.faults() == ()


def _layout(hands: Hands) -> list[str]:
    with hands.desk.read() as connection:
        return sorted(each["name"] or "" for name in sa.inspect(connection).get_table_names()
                      for each in sa.inspect(connection).get_indexes(name))  # fmt: skip


def test_a_tag_is_free_again_once_its_item_is_undone(hands: Hands) -> None:
    hands.desk.item("9")
    hands.undo()
    with pytest.raises(Refused, match="No item has or had the tag 9"):
        hands.desk.id("9")
    hands.desk.item("9", description="Another")
    assert hands.steps.to_redo == "", "a new deed ends what could be done again"


def test_nothing_to_undo_is_said(hands: Hands) -> None:
    with pytest.raises(Refused, match="nothing to undo"):
        hands.undo()
    with pytest.raises(Refused, match="nothing to do again"):
        hands.redo()


def test_a_rehearsal_and_a_refusal_are_no_steps(hands: Hands) -> None:
    key = hands.desk.id("1")
    with hands.desk.change(keep=False) as change:
        remove(change, key, reason="x")
    with pytest.raises(Refused):
        hands.desk.withdraw("1", number="")
    assert hands.steps.to_undo == ""


def test_a_step_says_what_it_was(hands: Hands) -> None:
    hands.desk.test("1")
    assert hands.steps.to_undo == "Test recorded, 1"
    assert hands.undo() == "Test recorded, 1"
    assert hands.steps.to_redo == "Test recorded, 1"
    _sheet(hands)
    assert hands.steps.to_undo == "Spreadsheet taken in, yard.xlsx"


def test_only_so_many_steps_are_remembered(hands: Hands) -> None:
    for number in range(MOST + 1):
        hands.do(set_setting, "firm", f"Firm {number}")
    assert len(_left(hands)) == MOST


NAMES = st.sampled_from([name for name in DEEDS if name != "an item removed"] + ["undo", "redo"] * 6)


@settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(names=st.lists(NAMES, min_size=1, max_size=7))
def test_any_sequence_undone_ends_where_it_began(names: list[str], hands: Hands) -> None:
    before = hands.content()
    for name in names:
        try:
            {"undo": Hands.undo, "redo": Hands.redo}.get(name, DEEDS.get(name))(hands)  # type: ignore[misc]
        except Refused:
            continue
        assert hands.desk.faults() == ()
    after, steps = hands.content(), 0
    while hands.steps.to_undo:
        hands.undo()
        steps += 1
    assert hands.content() == before
    for _ in range(steps):
        hands.redo()
    assert hands.content() == after
    while hands.steps.to_undo:
        hands.undo()
    assert hands.desk.faults() == ()

"""The dates kept for lists are those that records and rules say, whatever was done in whatever order."""

from collections.abc import Callable
from contextlib import suppress
from datetime import date, timedelta

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, precondition, rule

from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.words import Condition, Duty, Kind, Result, WithdrawalReason
from register.errors import Refused
from register.services import projection
from register.services.conditions import change_condition
from register.services.items import NewItem, enter_items, find_item
from register.services.marks import mark_done
from register.services.moves import change_area_class, move_item
from register.services.overrides import NewOverride, add_override
from register.services.projection import redate
from register.services.withdrawals.deeds import remove
from register.store.engine import open_register
from register.store.server_rows import FEW
from register.store.tables import Duty as DutyRow
from register.store.tables import Item
from tests.desk import INSPECTION, OPERATING, QUICK, SLOW, SOUND, Desk, give_class
from tests.registers import TODAY
from tests.servers import ON_A_SERVER
from tests.services.sheet import counts, item, sheet_test, take

EXAMPLES = 12
LEAD, SWITCH = Kind.EXTENSION_LEAD, Kind.PORTABLE_SAFETY_SWITCH
AREAS = {"Shed": "workshop", "Office": "benign", "Site": "construction", "Desk hire": "hire", "Rest": None}


def rows(desk: Desk) -> list[tuple]:
    with desk.read() as connection:
        columns = (*DutyRow.__table__.c, Item.present_environment, Item.next_due, Item.untested)
        statement = sa.select(*columns).join(Item, Item.id == DutyRow.item_id).order_by(DutyRow.item_id, DutyRow.duty)
        return [tuple(row) for row in connection.execute(statement)]


def test_dating_everything_anew_changes_nothing(desk: Desk) -> None:
    desk.site()
    for number, kind in enumerate((LEAD, SWITCH, Kind.APPLIANCE_CLASS_2)):
        desk.item(f"T{number}", kind)
    desk.test("T1")
    before = rows(desk)
    assert len(before) == 5
    with desk.change() as change:
        assert redate(change) == 3
    assert rows(desk) == before


def test_where_most_dates_change_they_are_written_without_indexes_and_the_same(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.site()
    area = desk.area()
    with desk.change() as change:
        ids = enter_items(change, [NewItem(f"T{n}", area, LEAD, TODAY) for n in range(5000)])
        redate(change, ids)
    before, made = rows(desk), indexes(desk)
    with desk.change() as change:
        change.session.connection().exec_driver_sql("UPDATE duty SET due = '1999-01-01', interval = 'P1M'")
        change.session.connection().exec_driver_sql("UPDATE item SET next_due = '1999-01-01'")
        monkeypatch.setattr(projection, "MANY", 10)
        redate(change)
    assert (rows(desk), indexes(desk)) == (before, made)
    assert desk.faults() == ()


def indexes(desk: Desk) -> list[str]:
    with desk.read() as connection:
        found = sa.inspect(connection)
        return sorted(str(each["name"]) for table in found.get_table_names() for each in found.get_indexes(table))


def test_an_item_never_tested_has_no_date_but_is_known_as_such(desk: Desk) -> None:
    desk.site()
    desk.item("P1")
    assert [(row[1], row[7], row[8]) for row in rows(desk)] == [
        ("button-press", None, False), ("inspection-and-test", None, True), ("operating-time", None, True),
    ]  # fmt: skip


def test_many_items_are_dated_with_as_many_questions_as_few(desk: Desk, statements: list[str]) -> None:
    desk.site()
    area = desk.area()

    def asked(start: int, count: int) -> int:
        with desk.change() as change:
            ids = enter_items(change, [NewItem(f"T{n}", area, LEAD, TODAY) for n in range(start, start + count)])
            statements.clear()
            redate(change, ids)
        return len(statements)

    few = FEW + 1 if ON_A_SERVER else 2  # fewer are handed to a server another way
    assert asked(0, few) == asked(few, 2 * few + 400)


class Yard(RuleBasedStateMachine):
    """A register in which anything is done on the days that follow each other; after each deed it is checked."""

    tags = Bundle("tags")

    @initialize()
    def begin(self) -> None:
        self.path = self.folder / f"{id(self)}.register"
        self.path.write_bytes(self.made)
        self.desk = Desk(open_register(self.path), date(2024, 1, 31))
        self.desk.site("YARD", "workshop")
        self.areas = {name: self.desk.area("YARD", name, environment) for name, environment in AREAS.items()}
        self.number = 0

    def teardown(self) -> None:
        if hasattr(self, "desk"):
            self.desk.register.close()

    def tried(self, deed: Callable[[], object]) -> None:
        """Do something, or have it refused in a sentence."""
        with suppress(Refused):
            deed()

    def never_later(self, deed: Callable[[], object]) -> None:
        """Do what may bring the contractor's dates forward, never put them off.

        A place left on the day of the test does not count, so dates of that day are looked over.
        """
        before = self.dates()
        self.tried(deed)
        after = self.dates()
        later = {key: (was, after[key]) for key, was in before.items() if key in after and after[key] > was}
        assert later == {}

    def dates(self) -> dict[tuple[str, str], date]:
        with self.desk.read() as connection:
            kept = sa.select(DutyRow.item_id, DutyRow.duty, DutyRow.due).where(
                DutyRow.contractors, DutyRow.due.is_not(None), DutyRow.last_done < self.desk.today
            )
            return {(row.item_id, row.duty): row.due for row in connection.execute(kept)}

    @rule(target=tags, kind=st.sampled_from([LEAD, SWITCH]), area=st.sampled_from(sorted(AREAS)), new=st.booleans())
    def enter(self, kind: Kind, area: str, *, new: bool) -> str:
        self.number += 1
        tag = f"T{self.number}"
        condition = Condition.NEW if new else Condition.IN_USE
        self.desk.item(tag, kind, area=area, condition=condition, condition_since=self.desk.today if new else None)
        return tag

    @rule(days=st.integers(1, 200))
    def wait(self, days: int) -> None:
        self.desk = self.desk.on(self.desk.today + timedelta(days=days))

    @rule(
        tag=tags, back=st.integers(0, 90),
        duties=st.sampled_from([(INSPECTION,), (OPERATING,), (INSPECTION, OPERATING)]),
        readings=st.sampled_from([(*SOUND, *QUICK), (*SOUND, *SLOW), SOUND]), look=st.sampled_from([*Result, None]),
    )  # fmt: skip
    def test(self, tag: str, back: int, duties: tuple, readings: tuple, look: Result | None) -> None:
        day = self.desk.today - timedelta(days=back)
        self.tried(lambda: self.desk.test(tag, day, duties=duties, readings=readings, look=look))

    @rule(tag=tags, area=st.sampled_from(sorted(AREAS)))
    def move(self, tag: str, area: str) -> None:
        self.never_later(lambda: self.changed(move_item, tag, self.areas[area]))

    @rule(tag=tags, environment=st.sampled_from([None, "hire", "benign", "construction"]))
    def item_class(self, tag: str, environment: str | None) -> None:
        self.never_later(lambda: self.changed(give_class, tag, environment))

    @rule(area=st.sampled_from(sorted(AREAS)), environment=st.sampled_from([None, "hire", "benign"]))
    def area_class(self, area: str, environment: str | None) -> None:
        self.never_later(lambda: self.area_changed(area, environment))

    @rule(tag=tags, reason=st.sampled_from(WithdrawalReason))
    def withdraw(self, tag: str, reason: WithdrawalReason) -> None:
        self.never_later(lambda: self.desk.withdraw(tag, reason, "OUT"))

    @rule(tag=tags)
    def remove(self, tag: str) -> None:
        self.tried(lambda: self.removed(tag))

    @rule(tag=tags, duty=st.sampled_from([Duty.BUTTON_PRESS, Duty.USER_CHECK]), back=st.integers(0, 90))
    def mark(self, tag: str, duty: Duty, back: int) -> None:
        day = self.desk.today - timedelta(days=back)
        self.never_later(lambda: self.changed(mark_done, tag, duty, day))

    @rule(tag=tags, condition=st.sampled_from([Condition.STORED, Condition.IN_USE, Condition.REPAIRED]))
    def condition(self, tag: str, condition: Condition) -> None:
        self.tried(lambda: self.conditioned(tag, condition))

    @rule(tag=tags, interval=st.sampled_from(["P1M", "P9M", "P3Y"]), area=st.booleans(), days=st.integers(0, 400))
    def decide(self, tag: str, interval: str, days: int, *, area: bool) -> None:
        today = self.desk.today
        scope, target = (Scope.AREA, self.areas["Shed"]) if area else (Scope.ITEM, self.desk.id(tag))
        made = NewOverride(
            scope, target, INSPECTION, Interval.parse(interval), "tried", "Ona Petrie", today, today + timedelta(days)
        )
        self.tried(lambda: self.decided(made))

    @rule(tag=tags, found=st.sampled_from(Result), back=st.integers(0, 400))
    def take_in(self, tag: str, found: Result, back: int) -> None:
        day = self.desk.today - timedelta(days=back)
        rows = [item(tag, None, description=f"Seen {back}")], [sheet_test(tag, day, found, look=None)]
        take(self.desk, *rows)
        assert counts(take(self.desk, *rows))[:2] == (0, 0)

    def changed(self, deed: Callable[..., object], tag: str, *rest: object) -> None:
        with self.desk.change() as change:
            deed(change, find_item(change.session.connection(), tag), *rest)

    def area_changed(self, area: str, environment: str | None) -> None:
        with self.desk.change() as change:
            change_area_class(change, self.areas[area], environment)

    def removed(self, tag: str) -> None:
        with self.desk.change() as change:
            remove(change, find_item(change.session.connection(), tag), reason="scrapped")

    def conditioned(self, tag: str, condition: Condition) -> None:
        with self.desk.change() as change:
            key = find_item(change.session.connection(), tag)
            change_condition(change, key, condition, since=self.desk.today)

    def decided(self, made: NewOverride) -> None:
        with self.desk.change() as change:
            add_override(change, made)

    @invariant()
    @precondition(lambda self: hasattr(self, "desk"))
    def nothing_is_wrong(self) -> None:
        assert self.desk.faults() == ()


def test_after_any_deeds_in_any_order_the_check_finds_nothing(
    tmp_path_factory: pytest.TempPathFactory, empty_file: object
) -> None:
    from hypothesis.stateful import run_state_machine_as_test

    machine = type("Machine", (Yard,), {"folder": tmp_path_factory.mktemp("any"), "made": empty_file.read_bytes()})
    # without shrinking, which takes minutes here: the steps that failed are few enough to read
    few = settings(
        max_examples=EXAMPLES,
        stateful_step_count=25,
        phases=[Phase.reuse, Phase.generate],
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    run_state_machine_as_test(machine, settings=few)

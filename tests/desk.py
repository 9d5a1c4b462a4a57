"""A contractor at work on a real register: short ways to do one thing, each in a transaction of its own."""

from collections.abc import Iterable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import date, time
from decimal import Decimal
from typing import Any
from uuid import NAMESPACE_URL, uuid5

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.items import SafetySwitch
from register.domain.records import Reading, TestRecord
from register.domain.words import Duty, Kind, Result, SwitchType, Waveform, WithdrawalReason
from register.services.check import check
from register.services.editing import change_item, item_form
from register.services.items import NewItem, add_item, find_item
from register.services.places import NewSite, add_site, area_named, known_site
from register.services.questions import DueDuty, ItemAnswer, due_duties, item_answer
from register.services.recording import Recorded, RecordEntry, record_tests
from register.services.withdrawals.deeds import withdraw
from register.services.withdrawals.needed import Withdrawn
from register.store.engine import Change, Register
from register.store.tables import Duty as DutyRow
from register.store.tables import Event, Withdrawal
from tests.domain.verdict_rules import both, earth, insulation, polarity
from tests.registers import TODAY, changing

TYPE_II = SafetySwitch(Decimal(30), SwitchType.II, waveform=Waveform.A)
OPERATING, INSPECTION = Duty.OPERATING_TIME, Duty.INSPECTION_AND_TEST
WHOLE = (INSPECTION, OPERATING)
SOUND = (earth("0.2", 1), polarity("right", 1), insulation(">100"))
"""What the inspection and test of a switch with one outlet finds where all is well."""
QUICK, SLOW = both("24"), both("512")
"""Trip times that pass and that fail."""
READINGS = {INSPECTION: SOUND, OPERATING: QUICK}


@dataclass(frozen=True)
class Desk:
    """Somebody at work on one register. Sites and items are named by their codes and tags."""

    register: Register
    today: date = TODAY

    def on(self, today: date) -> "Desk":
        """Return the same on another day."""
        return replace(self, today=today)

    def change(self, *, keep: bool = True) -> AbstractContextManager[Change]:
        return changing(self.register, self.today, keep=keep)

    def read(self) -> AbstractContextManager[Connection]:
        return self.register.read()

    def site(self, code: str = "YARD", environment: str = "workshop", **rest: Any) -> str:  # noqa: ANN401
        """Enter a site and return its id."""
        facts = {"name": f"{code.title()} of the bay", "owner": f"Owner of {code}", "rulebook": "au-in-service"} | rest
        with self.change() as change:
            return add_site(change, NewSite(code=code, environment=environment, **facts))

    def area(self, site: str = "YARD", name: str = "", environment: str | None = None) -> str:
        """Return the id of a site's area, entering it where it is new."""
        with self.change() as change:
            return area_named(change, known_site(change.session.connection(), site), name, environment)

    def item(
        self,
        tag: str,
        kind: Kind = Kind.PORTABLE_SAFETY_SWITCH,
        site: str = "YARD",
        area: str = "",
        **rest: Any,  # noqa: ANN401
    ) -> str:
        """Enter an item, a safety switch of Type II with one outlet unless told otherwise, and return its id."""
        facts = {"since": self.today, "safety_switch": TYPE_II if "safety-switch" in kind else None} | rest
        area_id = self.area(site, area)
        with self.change() as change:
            return add_item(change, NewItem(tag=tag, area_id=area_id, kind=kind, **facts))

    def test(
        self,
        tag: str,
        on: date | None = None,
        *,
        duties: tuple[Duty, ...] = WHOLE,
        readings: Iterable[Reading] | None = None,
        look: Result | None = Result.PASS,
        at: time | None = None,
        **rest: Any,  # noqa: ANN401
    ) -> Recorded:
        """Record a test, one that passes unless told otherwise."""
        with self.change() as change:
            (recorded,) = record_tests(change, [entry(tag, on or self.today, duties, readings, look, at, **rest)])
        return recorded

    def withdraw(
        self,
        tag: str,
        reason: WithdrawalReason = WithdrawalReason.DAMAGED,
        number: str = "OUT-1",
        **rest: Any,  # noqa: ANN401
    ) -> Withdrawn:
        with self.change() as change:
            return withdraw(change, self._id(change, tag), reason=reason, tag_number=number, **rest)

    def _id(self, change: Change, tag: str) -> str:
        return find_item(change.session.connection(), tag)

    def id(self, tag: str, site: str | None = None) -> str:
        with self.read() as connection:
            return find_item(connection, tag, site=site)

    def answer(self, tag: str, on: date | None = None, site: str | None = None) -> ItemAnswer:
        """Return the item with all its dates, as it stands today or on another day."""
        with self.read() as connection:
            return item_answer(connection, find_item(connection, tag, site=site), on or self.today)

    def dates(self, tag: str) -> dict[str, date | None]:
        """Return the dates of the contractor's duties."""
        return {each.duty.value: each.due for each in self.answer(tag).duties if each.contractors}

    def due(self, by: date, site: str | None = None) -> list[DueDuty]:
        """Return the duties due by a day."""
        with self.read() as connection:
            return due_duties(connection, by, site=site)

    def planned(self, tag: str) -> bool:
        """Whether visits are planned for the item's duties."""
        with self.read() as connection:
            key = find_item(connection, tag)
            (planned,) = set(connection.execute(sa.select(DutyRow.planned).where(DutyRow.item_id == key)).scalars())
        return planned

    def events(self, after: int = 0) -> list[str]:
        """Return the names of the events written after a number of them."""
        with self.read() as connection:
            return list(
                connection.execute(sa.select(Event.name).where(Event.seq > after).order_by(Event.seq)).scalars()
            )

    def withdrawals(self) -> list[Any]:
        with self.read() as connection:
            return list(connection.execute(sa.select(Withdrawal.__table__).order_by(Withdrawal.withdrawn_on)))

    def faults(self) -> tuple[str, ...]:
        with self.read() as connection:
            return check(connection).faults


def entry(
    tag: str,
    on: date,
    duties: tuple[Duty, ...] = WHOLE,
    readings: Iterable[Reading] | None = None,
    look: Result | None = Result.PASS,
    at: time | None = None,
    **rest: Any,  # noqa: ANN401
) -> RecordEntry:
    """Return a record as it comes from outside, under an id made from what it says."""
    values = tuple(one for duty in duties for one in READINGS.get(duty, ())) if readings is None else tuple(readings)
    record = TestRecord(duties, values, look, on, at)
    facts = {"tester": "Kim Ferro", "instrument": "SN 4411"} | rest
    key = facts.pop("id", None) or str(uuid5(NAMESPACE_URL, f"{tag} {record} {sorted(facts.items())}"))
    return RecordEntry(id=key, tag=tag, record=record, **facts)


def give_class(change: Change, item_id: str, environment: str | None) -> None:
    """Give an item an environment class of its own, or that of its place, as its form does."""
    form = item_form(change.session.connection(), item_id)
    change_item(change, item_id, replace(form.facts, environment=environment), version=form.version)

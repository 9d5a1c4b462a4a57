"""Whether an item is out of service, from every withdrawal and every test that came together, in order of time."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final
from uuid import UUID, uuid5

import sqlalchemy as sa

from register.domain.standing import Moment, still_needed
from register.domain.words import Duty, Result, WithdrawalReason, spoken
from register.services.cases import Case, cases
from register.services.packs.joining import Joining
from register.services.projection import IN_SERVICE, REMOVED, WITHDRAWN, redate
from register.services.withdrawals.kept import CORRECTED, REMOVED_FOR_GOOD, RETURNED
from register.services.withdrawals.moments import later, moment
from register.store import audit
from register.store.amended import stands
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item, Record, RecordDuty, Withdrawal

JOINED: Final = "joined"
"""The item was taken out of service twice, by two laptops: the other withdrawal goes on."""

_MADE: Final = UUID("b3a1c0f7-7c55-5d07-9b35-5e2a9d1c4e10")
"""The name space of withdrawals that follow from a failed test: the same in every register."""

_PASS, _OPENING, _FAIL = 0, 1, 2


@dataclass(frozen=True, slots=True)
class _Test:
    id: str
    moment: Moment
    verdict: str
    why: str
    duties: tuple[Duty, ...]


@dataclass(slots=True)
class _Line:
    """One item's way through its withdrawals: the one that holds at present, and the one that ended last."""

    change: Change
    item: Item
    known: Case
    current: Withdrawal | None = None
    since: Moment = field(default_factory=lambda: Moment(date.min))
    before: Withdrawal | None = None
    passed: dict[Duty, Moment] = field(default_factory=dict)

    def open(self, found: Withdrawal) -> None:
        """Take the item out of service by a withdrawal, or join it with the one that holds."""
        _end(found, None, "", None)
        held, at = self.current, moment(found.withdrawn_on, found.withdrawn_at)
        if held is None:
            self._hold(found, at)
            return
        stronger = held.reason == WithdrawalReason.OVERDUE and found.reason != WithdrawalReason.OVERDUE
        kept, other = (found, held) if stronger else (held, found)
        _end(other, found.withdrawn_on, JOINED, None)
        kept.tag_number = kept.tag_number or other.tag_number
        self.current = kept
        if stronger:
            self._hold(found, at)

    def fail(self, test: _Test, *, later_passed: bool) -> None:
        """Keep the item out for a failed test: by the withdrawal that holds, the last one, or one of its own."""
        if self.current is None and self.before is not None:
            _end(self.before, None, "", None)
            self._hold(self.before, test.moment)
        elif self.current is None and not later_passed:
            made = _opened_by(self.item, test)
            self.change.session.add(made)
            self._hold(made, test.moment)
        if self.current is None:
            return
        if self.current.reason == WithdrawalReason.OVERDUE:
            self.current.reason, self.current.record_id = WithdrawalReason.FAILED.value, test.id
            self.current.detail = test.why
        self.since, self.passed = later(self.since, test.moment), {}

    def passes(self, test: _Test) -> None:
        """Bring the item back where nothing more is needed."""
        if self.current is None:
            return
        self.passed |= dict.fromkeys(test.duties, test.moment)
        if not self.needed():
            _end(self.current, test.moment.on, RETURNED, test.id)
            self.before, self.current = self.current, None

    def needed(self) -> tuple[Duty, ...]:
        """Return the duties that keep the item out."""
        assert self.current is not None
        return still_needed(self.since, WithdrawalReason(self.current.reason), self.known.duties(), self.passed)

    def _hold(self, found: Withdrawal, since: Moment) -> None:
        self.current, self.since, self.passed = found, since, {}


def settle_withdrawals(joining: Joining, since: date) -> None:
    """Go through the withdrawals of a merge's items from a day on, and write down which hold and how others ended."""
    change = joining.change
    ids = sorted(joining.touched)
    redate(change, ids)
    tests = _tests(joining, ids)
    for known in cases(joining.connection, ids):
        item = change.session.get_one(Item, known.id)
        mine = change.session.scalars(sa.select(Withdrawal).where(Withdrawal.item_id == known.id)).all()
        before = {each.id: _ends(each) for each in mine}
        back = any(each.ended_on is not None and each.end == RETURNED for each in mine)
        line = _followed(change, item, known, mine, tests[known.id], since)
        change.session.flush()
        _log(change, item, before)
        if back and line.current is not None:
            joining.clash(item.id, _still_out(line))
        if any(each.end == JOINED and before.get(each.id) != _ends(each) for each in mine):
            joining.clash(item.id, "It was taken out of service twice; the first withdrawal goes on.")
    redate(change, ids)


def _still_out(line: _Line) -> str:
    words = " and ".join(spoken(duty) for duty in line.needed()) or "a complete pass"
    return f"It came back into service on one side, but stays out of service: it still needs {words}."


def _followed(
    change: Change, item: Item, known: Case, mine: Iterable[Withdrawal], tests: list[_Test], since: date
) -> _Line:
    line = _Line(change, item, known)
    opened = [each for each in mine if _in_play(each, since)]
    begun = [each for each in tests if opened or each.moment.on >= since]
    steps: list[tuple[tuple[date, str, int, str], Withdrawal | _Test]] = [
        *((_key(each), each) for each in opened),
        *((_test_key(each), each) for each in begun),
    ]
    first = min((moment(each.withdrawn_on, each.withdrawn_at).on for each in opened), default=since)
    for _order, step in sorted(steps, key=lambda pair: pair[0]):
        if isinstance(step, Withdrawal):
            line.open(step)
        elif step.moment.on >= first and step.verdict == Result.FAIL:
            line.fail(step, later_passed=_passed_later(step, tests))
        elif step.moment.on >= first and step.verdict == Result.PASS:
            line.passes(step)
    _conclude(line)
    return line


def _conclude(line: _Line) -> None:
    item, held = line.item, line.current
    if item.removed_on is not None:
        if held is not None:
            _end(held, item.removed_on, REMOVED_FOR_GOOD, None)
        line.current, item.state = None, REMOVED
    else:
        item.state = IN_SERVICE if held is None else WITHDRAWN


def _in_play(found: Withdrawal, since: date) -> bool:
    return found.end != CORRECTED and (found.ended_on is None or found.ended_on >= since)


def _key(found: Withdrawal) -> tuple[date, str, int, str]:
    return found.withdrawn_on, found.withdrawn_at or "", _OPENING, found.id


def _test_key(test: _Test) -> tuple[date, str, int, str]:
    rank = _FAIL if test.verdict == Result.FAIL else _PASS
    return test.moment.on, "" if test.moment.at is None else test.moment.at.isoformat(), rank, test.id


def _passed_later(test: _Test, tests: Iterable[_Test]) -> bool:
    """Whether every duty of a failed test passed surely later, so that entering it late changes nothing."""
    passed = {
        duty for each in tests if each.verdict == Result.PASS and each.moment.after(test.moment) for duty in each.duties
    }
    return bool(test.duties) and passed >= set(test.duties)


def _opened_by(item: Item, test: _Test) -> Withdrawal:
    at = None if test.moment.at is None else test.moment.at.isoformat()
    return Withdrawal(
        id=str(uuid5(_MADE, test.id)), item_id=item.id, withdrawn_on=test.moment.on, withdrawn_at=at,
        reason=WithdrawalReason.FAILED.value, detail=test.why, tag_number="", told="", record_id=test.id,
        ended_on=None, end="", end_record_id=None,
    )  # fmt: skip


def _end(found: Withdrawal, on: date | None, end: str, record_id: str | None) -> None:
    found.ended_on, found.end, found.end_record_id = on, end, record_id


def _ends(found: Withdrawal) -> tuple[Any, ...]:
    return found.ended_on, found.end, found.end_record_id, found.reason, found.tag_number


def _log(change: Change, item: Item, before: dict[str, tuple[Any, ...]]) -> None:
    """Write down each withdrawal that the merge opened, ended or opened again."""
    for found in change.session.scalars(sa.select(Withdrawal).where(Withdrawal.item_id == item.id)):
        if before.get(found.id) != _ends(found):
            audit.log(
                change, Name.PACK_SETTLE, found.id, item=item.id, ended_on=found.ended_on, end=found.end,
                reason=found.reason, tag_number=found.tag_number, record=found.end_record_id,
            )  # fmt: skip


def _tests(joining: Joining, ids: list[str]) -> dict[str, list[_Test]]:
    """Return the tests of some items that count, by item."""
    duties: dict[str, list[Duty]] = defaultdict(list)
    found: dict[str, list[_Test]] = defaultdict(list)
    for item_id in ids:
        kept = sa.select(RecordDuty.record_id, RecordDuty.duty).where(RecordDuty.item_id == item_id)
        for record_id, duty in joining.connection.execute(kept.order_by(RecordDuty.duty)):
            duties[record_id].append(Duty(duty))
        columns = (Record.id, Record.tested_on, Record.tested_at, Record.verdict, Record.why)
        rows = sa.select(*columns).where(Record.item_id == item_id, stands(Record.id))
        for key, on, at, verdict, why in joining.connection.execute(rows):
            found[item_id].append(_Test(key, moment(on, at), verdict, why, tuple(duties[key])))
    return found

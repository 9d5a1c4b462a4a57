"""However rows come and go within a change, the history tells of every one, and the change can be taken back."""

from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sqlalchemy.engine import Connection

from register.domain.words import Kind
from register.services.sealed import sealed_faults
from register.services.settings import set_setting
from register.services.undo import Steps
from register.store.engine import open_register
from register.store.tables import Site
from register.store.types import new_key
from register.store.visits import Van, Visit, VisitDuty
from tests.desk import Desk
from tests.registers import TODAY
from tests.services.state import state_hash


@pytest.fixture
def desk(path: Path) -> Iterator[Desk]:
    """A register with two items, a van, and three visits of two duties each, with a free number between them."""
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        for tag in "12":
            desk.item(tag, Kind.EXTENSION_LEAD)
        with desk.change() as change:
            van = {"name": "Van 1", "position": 1, "start": 480, "until": 960, "crew": 1, "days": [], "start_place": "",
                   "end_place": "", "ended_on": None, "version": 1, "id": new_key()}  # fmt: skip
            change.session.execute(sa.insert(Van), van)
            for _ in range(4):
                visits(change.session.connection(), 0)
        with desk.change() as change:
            take_out(change.session.connection(), 1)
        yield desk


def visits(connection: Connection, _which: int) -> None:
    """Put in a visit with the duties of both items."""
    week = connection.execute(sa.select(sa.func.count()).select_from(Visit)).scalar_one()
    key = new_key()
    facts = dict.fromkeys(("part", "position", "arrive", "leave", "minutes", "sequence"), 1)
    flags = dict.fromkeys(("pinned", "locked", "cancelled"), False)
    site, van = connection.execute(sa.select(Site.id, Van.id).select_from(sa.join(Site, Van, sa.true()))).one()
    when = {"week": TODAY + timedelta(days=7 * week), "day": TODAY, "id": key, "part": int(key[-6:], 16)}
    where = {"site_id": site, "van_id": van, "doing": "test", "tags_first": "", "tags_last": ""}
    connection.execute(sa.insert(Visit), facts | flags | when | where)
    for item in _items(connection):
        _duty(connection, key, item)


def duty(connection: Connection, which: int) -> None:
    """Put in one more duty of a visit that is there."""
    key = _visit(connection, which)
    item = _items(connection)[0]
    if key is not None:
        connection.execute(sa.delete(VisitDuty).where(VisitDuty.visit_id == key, VisitDuty.item_id == item))
        _duty(connection, key, item)


def change_visit(connection: Connection, which: int) -> None:
    """Write another time into a visit."""
    connection.execute(
        sa.update(Visit).where(Visit.id == _visit(connection, which)).values(arrive=Visit.arrive + 1 + which)
    )


def change_duties(connection: Connection, which: int) -> None:
    """Write another reason into the duties of a visit."""
    connection.execute(
        sa.update(VisitDuty).where(VisitDuty.visit_id == _visit(connection, which)).values(why=VisitDuty.why + "!")
    )


def take_out(connection: Connection, which: int) -> None:
    """Take out a visit with its duties: its number can be given to the next."""
    key = _visit(connection, which)
    connection.execute(sa.delete(VisitDuty).where(VisitDuty.visit_id == key))
    connection.execute(sa.delete(Visit).where(Visit.id == key))


def put_back(connection: Connection, which: int) -> None:
    """Take out a visit and put in the very same."""
    key = _visit(connection, which)
    row = connection.execute(sa.select(Visit.__table__).where(Visit.id == key)).first()
    if row is not None:
        take_out(connection, which)
        connection.execute(sa.insert(Visit), row._asdict())


def _items(connection: Connection) -> list[str]:
    return list(connection.execute(sa.text("SELECT id FROM item ORDER BY id")).scalars())


def _visit(connection: Connection, which: int) -> str | None:
    """Return one of the visits, the newest first."""
    keys = connection.execute(sa.select(Visit.id).order_by(sa.text("rowid DESC"))).scalars().all()
    return keys[which % len(keys)] if keys else None


def _duty(connection: Connection, visit: str, item: str) -> None:
    row = {"visit_id": visit, "item_id": item, "duty": "inspection", "early": False, "why": ""}
    connection.execute(sa.insert(VisitDuty), row)


DEEDS: tuple[Callable[[Connection, int], None], ...] = (
    visits, duty, change_visit, change_duties, take_out, put_back,
)  # fmt: skip
STEPS = st.lists(st.tuples(st.sampled_from(DEEDS), st.integers(0, 3)), min_size=1, max_size=4)


@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@example(parts=[([(take_out, 0), (visits, 0)], False)])
@example(parts=[([(visits, 0), (take_out, 1), (take_out, 0), (visits, 0)], False)])
@given(parts=st.lists(st.tuples(STEPS, st.booleans()), min_size=1, max_size=4))
def test_every_row_is_sealed_and_can_be_taken_back(parts: list[tuple[list, bool]], desk: Desk) -> None:
    steps = Steps()
    desk.register.watch(steps)
    before = _content(desk)
    with desk.change() as change:
        set_setting(change, "firm", new_key())
        for deeds, turned_back in parts:
            save = change.session.begin_nested()
            for deed, which in deeds:
                deed(change.session.connection(), which)
            if turned_back:
                save.rollback()
            else:
                save.commit()
    after = _content(desk)
    with desk.read() as connection:
        assert list(sealed_faults(connection)) == []
    for deed, content in ((steps.undo, before), (steps.redo, after), (steps.undo, before)):
        with desk.change() as change:
            deed(change)
        assert _content(desk) == content
        with desk.read() as connection:
            assert list(sealed_faults(connection)) == []


def _content(desk: Desk) -> str:
    with desk.read() as connection:
        return state_hash(connection)

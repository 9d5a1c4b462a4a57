"""A copy that an earlier version made is put back all the same: brought up to date on its way, or all is left."""

from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from register.errors import Refused, Unavailable
from register.services.check import check
from register.services.putting_back import known_copies, newest_good, put_back, ways_back
from register.services.team import let_in
from register.store.access import Role
from register.store.engine import open_register
from register.store.kept_copies import KeptCopy
from tests.desk import TODAY, Desk
from tests.later import AT, FOUND, later, office
from tests.registers import ACTOR
from tests.released.kept import answers, kept_answers

__all__ = ["later", "office"]


@pytest.fixture
def path(office: Path) -> Path:
    """A register that was brought up to date, and one entry made since; the copy of it as it was lies beside it."""
    with closing(open_register(office)) as register:
        Desk(register).site("NEW")
    return office


def test_it_is_brought_up_to_date_on_its_way_and_the_damaged_register_is_kept(path: Path) -> None:
    (way,) = ways_back(path)
    assert (way.earlier, way.lost) == (True, 3)  # the upgrade, the owner and the site
    path.write_bytes(path.read_bytes()[:-1_000])
    damaged, found = path.read_bytes(), newest_good(path)
    assert found is not None

    done = put_back(path, found.copy, actor=ACTOR, at=AT, today=TODAY)

    assert done.earlier
    assert done.kept_aside is not None
    assert done.kept_aside.read_bytes() == damaged
    with closing(open_register(path)) as register, register.read() as connection:
        assert answers(connection).splitlines()[1:] == kept_answers(FOUND, "office").splitlines()[1:]
        assert check(connection).faults == ()
    with closing(open_register(path)) as register:
        assert Desk(register).events()[-2:] == ["register:upgrade", "register:restore"]


def test_where_it_would_lose_something_all_is_left_as_it_was(path: Path, later: Callable[[str], Path]) -> None:
    (copy,) = known_copies(path)
    later("def upgrade():\n    op.drop_column('item', 'remarks')\n")
    before = {each.name: each.read_bytes() for each in path.parent.glob("*.register")}
    with pytest.raises(Unavailable, match="the column remarks of item would not be afterwards as it was before"):
        put_back(path, copy, actor=ACTOR, at=AT, today=TODAY)
    assert {each.name: each.read_bytes() for each in path.parent.glob("*.register")} == before
    assert not list(path.parent.glob("*.tmp*"))


def test_whoever_may_not_put_it_back_changes_nothing_and_no_lock_is_left(path: Path, tmp_path: Path) -> None:
    (copy,) = known_copies(path)
    with closing(open_register(path)) as register, Desk(register).change() as change:
        let_in(change, "Robin", Role.ASSISTANT, ())
    before = sorted(each.name for each in path.parent.iterdir())
    with pytest.raises(Refused, match="Robin is not in the team"):  # of the copy's day
        put_back(path, copy, actor="Robin", at=AT, today=TODAY)
    rubbish = tmp_path / "rubbish.register"
    rubbish.write_text("nothing", encoding="utf-8")
    with pytest.raises(Unavailable, match="not a register of this program"):
        put_back(tmp_path / "other.register", KeptCopy(rubbish, AT), actor=ACTOR, at=AT, today=TODAY)
    rubbish.unlink()
    assert sorted(each.name for each in path.parent.iterdir()) == before

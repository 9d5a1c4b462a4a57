"""What earlier versions made is read by this one: their registers, brought up to date, say what they said then."""

from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from register.services.check import check
from register.services.upgrading import upgrade
from register.store import chain
from register.store.engine import Register, open_register
from register.store.layout import tables
from register.store.upgrade import HEAD
from tests.registers import ACTOR, TODAY
from tests.released.kept import LAYOUTS, answers, kept, kept_answers

NOW = datetime(2026, 11, 24, 9, tzinfo=UTC)


def opened(layout: str, part: str, folder: Path) -> Register:
    """Return a kept register, brought up to date."""
    path = kept(layout, part, folder)
    if layout != HEAD:
        upgrade(path, actor=ACTOR, at=NOW, today=TODAY)
    return open_register(path)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("part", ["office", "field"])
def test_a_register_of_a_released_layout_says_what_it_said(layout: str, part: str, tmp_path: Path) -> None:
    first, *then = kept_answers(layout, part).splitlines()
    count, _events, _head, digest = first.split()
    with closing(opened(layout, part, tmp_path)) as register, register.read() as connection:
        assert answers(connection).splitlines()[1:] == then
        assert chain.passed(connection, chain.Head(int(count), digest))
        assert check(connection).faults == ()


def test_the_kept_registers_have_something_in_every_table(tmp_path: Path) -> None:
    empty = None
    for part in ("office", "field"):
        with closing(opened(LAYOUTS[-1], part, tmp_path)) as register, register.read() as connection:
            names = [table.name for table in tables(connection)]
            bare = {name for name in names if connection.exec_driver_sql(f'SELECT 1 FROM "{name}"').first() is None}
            empty = bare if empty is None else empty & bare
    assert empty == set()

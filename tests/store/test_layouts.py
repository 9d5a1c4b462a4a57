"""A released layout is never changed again: registers that have it are out in the world."""

import pytest

from register.store.upgrade import HEAD
from tests.released.kept import LAYOUTS
from tests.released.layouts import kept_text
from tests.released.made import made_in_a_file, made_on_a_server
from tests.servers import Server

NEVER_AGAIN = "this layout is released and never changes again: write a new migration (DEVELOPERS.md)"


def statements(said: str) -> list[str]:
    """Return the lines of a layout, however they are set out."""
    return [" ".join(line.split()) for line in said.splitlines()]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_released_layout_is_made_in_a_file_as_ever(layout: str) -> None:
    assert statements(made_in_a_file(layout)) == statements(kept_text(layout, "file")), NEVER_AGAIN


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_released_layout_is_made_on_a_server_as_ever(layout: str, server: Server) -> None:
    assert statements(made_on_a_server(layout, server)) == statements(kept_text(layout, "server")), NEVER_AGAIN


def test_every_layout_is_kept() -> None:
    assert [f"{number:04}" for number in range(1, int(HEAD) + 1)] == LAYOUTS

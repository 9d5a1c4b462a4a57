"""Columns fill their list, and in a wide one all that hold words grow."""

import pytest

from ui.table.widths import spread


@pytest.mark.parametrize(
    ("room", "widths"),
    [
        pytest.param(300, [80, 100, 120, 50], id="narrow: the open column keeps the least"),
        pytest.param(480, [80, 100, 250, 50], id="the open column takes what is left"),
        pytest.param(530, [80, 100, 300, 50], id="until it has enough"),
        pytest.param(930, [80, 200, 600, 50], id="wide: columns of words share what is over by their widths"),
        pytest.param(931, [80, 200, 601, 50], id="to the last pixel"),
    ],
)
def test_columns_share_the_width_of_their_list(room: int, widths: list[int]) -> None:
    assert spread([80, 100, 0, 50], [False, True, False, False], room, 120, 300) == widths


def test_without_an_open_column_widths_stay() -> None:
    assert spread([80, 100], [True, True], 900, 120, 300) == [80, 100]

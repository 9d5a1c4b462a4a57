"""The table of a dialog with boxes to tick: they grow with the type, and are ticked where they are seen."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QTableWidgetItem
from pytestqt.qtbot import QtBot

from ui.asking.told import Told
from ui.look import typeface
from ui.look.theme import colours
from ui.look.tick import SMALL


@pytest.fixture(params=[1.0, 1.5, 2.0])
def factor(request: pytest.FixtureRequest) -> Iterator[float]:
    """The size of type."""
    typeface.set_scale(request.param)
    yield request.param
    typeface.set_scale(1)


def test_a_box_is_as_large_as_the_type_asks_and_is_ticked_at_its_edge(qtbot: QtBot, factor: float) -> None:
    table = Told("Steps", ("Take in", "What it does"), (90,))
    qtbot.addWidget(table)
    table.resize(600, 300)
    cell = QTableWidgetItem("Yes")
    cell.setFlags(cell.flags() | Qt.ItemFlag.ItemIsUserCheckable)
    cell.setCheckState(Qt.CheckState.Checked)
    table.setRowCount(1)
    table.setItem(0, 0, cell)
    table.fit_rows()
    table.show()
    qtbot.waitExposed(table)
    picture = table.viewport().grab().toImage()
    middle = table.visualItemRect(cell).center().y()
    blue = [x for x in range(picture.width()) if picture.pixelColor(x, middle) == QColor(colours().accent)]
    assert round(SMALL * factor) - 2 <= blue[-1] - blue[0] + 1 <= round(SMALL * factor)
    button, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    QTest.mouseClick(table.viewport(), button, none, QPoint(blue[-1] - 1, middle))
    assert cell.checkState() is Qt.CheckState.Unchecked

"""The days of the week: which of them, as boxes to tick."""

from collections.abc import Collection
from typing import Final

from PySide6.QtWidgets import QHBoxLayout, QWidget

from ui.asking.fields import Field
from ui.look.tick import Tick

SHORT: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LONG: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class DayBoxes(QWidget):
    """A box for each day of the week, 0 for Monday."""

    def __init__(self, ticked: Collection[int]) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 4, 0, 4)
        row.setSpacing(4)
        self.boxes = [Tick(name) for name in SHORT]
        for day, box in enumerate(self.boxes):
            box.setChecked(day in ticked)
            box.setAccessibleName(LONG[day])
            row.addWidget(box)
        row.addStretch(1)
        self.setFocusProxy(self.boxes[0])

    @property
    def chosen(self) -> frozenset[int]:
        """The days that are ticked."""
        return frozenset(day for day, box in enumerate(self.boxes) if box.isChecked())


def day_field(label: str, ticked: Collection[int], help_: str = "") -> tuple[Field, DayBoxes]:
    """Return a field with such boxes, and the boxes."""
    boxes = DayBoxes(ticked)
    return Field(label, boxes, help_), boxes

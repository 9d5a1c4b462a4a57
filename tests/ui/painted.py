"""What is drawn by hand, such as heads of tables, chips and rows: what it says, and whether that has its place.

Every line of painted text passes through `draw.text`, and its room is measured by `width`: both are looked at here.
"""

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib import import_module
from pkgutil import walk_packages
from typing import Final

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QTextLayout
from PySide6.QtWidgets import QWidget

import ui
from ui.look import draw, typeface
from ui.paper import drawing

SLACK: Final = 1.5
"""So many pixels may letters of neighbours share: what is measured are advances, not ink."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line as it was painted: on what, where, what was to be said, and whether all of it was."""

    on: QWidget
    place: QRectF
    said: str
    whole: bool


@dataclass(slots=True)
class Painted:
    """The lines that were painted on the screen since they were last looked at; names that users give may be cut."""

    names: Collection[str] = ()
    lines: list[Line] = field(default_factory=list)
    on_paper: int = 0

    def look_at(self, window: QWidget) -> list[str]:
        """Paint a window anew, and return which lines are cut or lie over others."""
        self.lines.clear()
        window.grab()
        return [*self._cut(), *self._over_others()]

    def _cut(self) -> Iterator[str]:
        for line in self.lines:
            beyond = line.place.right() > line.on.width() + SLACK
            if (beyond or not line.whole) and line.said not in self.names:
                yield f"cut: {_called(line.on)} “{line.said}”"

    def _over_others(self) -> Iterator[str]:
        for at, one in enumerate(self.lines):
            for other in self.lines[at + 1 :]:
                common = one.place.intersected(other.place)
                if one.on is other.on and min(common.width(), common.height()) > SLACK:
                    yield f"over another: {_called(one.on)} “{one.said}” and “{other.said}”"


def _called(widget: QWidget) -> str:
    """Return of what sort a widget is; what a table is painted on goes by the table."""
    parent = widget.parentWidget()
    return type(parent if type(widget) is QWidget and parent is not None else widget).__name__


class _Watch:
    """Stands in for what paints and measures text, and says it in other words."""

    def __init__(self, in_words: Callable[[str], str], names: Collection[str]) -> None:
        self.seen, self._in_words = Painted(names), in_words
        self.real = (typeface.width, draw.text, draw.laid_out, draw.shortened)

    def say(self, said: str, *, code: bool = False) -> str:
        return said if code or said in self.seen.names or self.seen.on_paper else self._in_words(said)

    def width(self, said: str, size: int = typeface.BODY, weight: int = 400, *, code: bool = False) -> float:
        return self.real[0](self.say(said, code=code), size, weight, code=code)

    def text(
        self, painter: QPainter, place: QRectF, said: str, size: int = 13, weight: int = 400,
        colour: str | None = None, align: Qt.AlignmentFlag = draw.LEFT, *, code: bool = False, elide: bool = True,
    ) -> float:  # fmt: skip
        shown, device = self.say(said, code=code), painter.device()
        if isinstance(device, QWidget) and not self.seen.on_paper:
            long = self.real[0](shown, size, weight, code=code)
            whole = not elide or long <= place.width() + SLACK
            drawn = painter.transform().mapRect(_taken(place, long if whole else place.width(), size, align))
            self.seen.lines.append(Line(device, drawn, shown, whole))
        return self.real[1](painter, place, shown, size, weight, colour, align, code=code, elide=elide)

    def laid_out(
        self, said: str, across: float, size: int = 13, weight: int = 400, lead: float = 1.45
    ) -> tuple[QTextLayout, float]:
        return self.real[2](self.say(said), across, size, weight, lead)

    def shortened(self, said: str, room: float, size: int = 13, weight: int = 400, *, code: bool = False) -> str:
        return self.real[3](self.say(said, code=code), room, size, weight, code=code)

    @contextmanager
    def unscaled(self) -> Iterator[None]:
        self.seen.on_paper += 1
        with typeface.unscaled():
            yield
        self.seen.on_paper -= 1


@contextmanager
def watched(
    monkeypatch: pytest.MonkeyPatch, in_words: Callable[[str], str], names: Collection[str]
) -> Iterator[Painted]:
    """Give the lines that are painted on the screen, said as `in_words` has them.

    Tags, serial numbers and `names` that users gave stay as they are, and so does what is drawn on paper.
    """
    watch = _Watch(in_words, names)
    # all of them now: one that is imported later would keep what it is given here for ever
    modules = [import_module(each.name) for each in walk_packages(ui.__path__, "ui.") if not each.name.endswith("_")]
    with monkeypatch.context() as patch:
        for module in modules:
            if getattr(module, "width", None) is watch.real[0]:
                patch.setattr(module, "width", watch.width)
        for name in ("text", "laid_out", "shortened"):
            patch.setattr(draw, name, getattr(watch, name))
        patch.setattr(drawing, "unscaled", watch.unscaled)
        yield watch.seen


def _taken(place: QRectF, wide: float, size: int, align: Qt.AlignmentFlag) -> QRectF:
    """Return what a line takes of its place."""
    left = place.x()
    if align & Qt.AlignmentFlag.AlignRight:
        left = place.right() - wide
    elif align & Qt.AlignmentFlag.AlignHCenter:
        left = place.center().x() - wide / 2
    high = float(typeface.px(size))
    return QRectF(left, place.center().y() - high / 2, wide, high)

"""Walks through a window by Tab, and measures what is in sight of it."""

from collections.abc import Iterator
from itertools import pairwise

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QApplication,
    QComboBox,
    QLabel,
    QRadioButton,
    QScrollArea,
    QStyle,
    QStyleOptionComboBox,
    QWidget,
)

from ui.bench.wide import Wide

FURTHEST = 200
"""So many steps of Tab go round any window."""
SLACK = 1
"""So many pixels may round away."""
FAR = 9_999
BACK = Qt.KeyboardModifier.ShiftModifier


def stops(window: QWidget) -> list[QWidget]:
    """What takes the cursor by Tab and is in sight."""
    return [
        each for each in window.findChildren(QWidget)
        if each.isVisibleTo(window) and each.window() is window.window() and each.isEnabled()
        and each.focusPolicy() & Qt.FocusPolicy.TabFocus and each.focusProxy() is None
    ]  # fmt: skip


def name_of(widget: QWidget) -> str:
    """Return what a screen reader says of a widget."""
    interface = QAccessible.queryAccessibleInterface(widget)
    return interface.text(QAccessible.Text.Name) if interface is not None else ""


def called(widget: QWidget) -> str:
    return f"{type(widget).__name__} “{name_of(widget)}”"


def walk(*, back: bool = False) -> list[QWidget]:
    """Press Tab until the cursor is where it began; return each place it came to, in order."""
    met: list[QWidget] = []
    for _step in range(FURTHEST):
        focus = QApplication.focusWidget()
        assert focus is not None, "the cursor is nowhere"
        if focus in met:
            assert focus is met[0], f"a trap: {called(focus)} comes again before {called(met[0])}"
            return met
        met.append(focus)
        if back:
            QTest.keyClick(focus, Qt.Key.Key_Backtab, BACK)
        else:
            QTest.keyClick(focus, Qt.Key.Key_Tab)
    raise AssertionError(f"no way round: {[called(each) for each in met[-10:]]}")


def missed(window: QWidget, met: list[QWidget]) -> list[str]:
    """What takes the cursor but is not come to; of choices that exclude each other one is enough."""
    return [
        called(each) for each in stops(window)
        if each not in met and not (isinstance(each, QRadioButton) and not each.isChecked())
    ]  # fmt: skip


def area_of(widget: QWidget) -> QScrollArea | None:
    parent = widget.parentWidget()
    while parent is not None:
        if isinstance(parent, QScrollArea):
            return parent
        parent = parent.parentWidget()
    return None


def place(widget: QWidget, window: QWidget) -> QRect:
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())


def out_of_order(window: QWidget, met: list[QWidget]) -> list[str]:
    """Steps of Tab against the order of reading: upwards other than into another column, or to the left in a row."""
    first = min(range(len(met)), key=lambda at: _begin(window, met[at]))
    around = met[first:] + met[:first]
    found = []
    for one, other in pairwise(around):
        here, there = _comparable(window, one, other)
        above = there.bottom() < here.top() and there.left() <= here.right()
        across = min(here.bottom(), there.bottom()) - max(here.top(), there.top())
        beside = across > min(here.height(), there.height()) / 2 and there.right() < here.left()
        if above or beside:
            found.append(f"{called(one)} -> {called(other)}")
    return found


def _begin(window: QWidget, widget: QWidget) -> tuple[int, int]:
    area = area_of(widget)
    corner = place(widget, window).topLeft()
    top = place(area, window).top() + (corner.y() - place(area.widget(), window).top()) if area else corner.y()
    return (top, corner.x())


def _comparable(window: QWidget, one: QWidget, other: QWidget) -> tuple[QRect, QRect]:
    """The places of two widgets; one that scrolls apart from the other stands for the whole of what scrolls with it."""
    here, there = area_of(one), area_of(other)
    if here is there:
        return place(one, window), place(other, window)
    return place(here or one, window), place(there or other, window)


def cut_texts(window: QWidget) -> Iterator[str]:
    """Words, buttons and choices in sight whose text has no room, unless all of it is in their tip."""
    for each in window.findChildren(QWidget):
        if isinstance(each, QComboBox) and each.isVisibleTo(window):
            option = QStyleOptionComboBox()
            each.initStyleOption(option)
            inside = each.style().subControlRect(
                QStyle.ComplexControl.CC_ComboBox, option, QStyle.SubControl.SC_ComboBoxEditField, each
            )
            if inside.width() + SLACK < each.fontMetrics().horizontalAdvance(each.currentText()):
                yield f"{called(each)} “{each.currentText()}” has {inside.width()} of its own"
        if not isinstance(each, QLabel | QAbstractButton) or not each.isVisibleTo(window) or not each.text():
            continue
        if isinstance(each, QLabel) and each.wordWrap():
            cut = each.height() + SLACK < each.heightForWidth(each.width())
        else:
            high = each.fontMetrics().height()
            cut = each.width() + SLACK < each.sizeHint().width() or each.height() + SLACK < high
        if cut and each.toolTip() != each.text():
            yield f"{type(each).__name__} “{each.text()[:60]}” has {each.size().toTuple()}"


def out_of_reach(window: QWidget) -> Iterator[str]:
    """Buttons and fields that lie outside of what they are in, where nothing scrolls to them."""
    for each in stops(window):
        inner, parent = each, each.parentWidget()
        rect = each.rect()
        while parent is not None and inner is not window:
            rect = QRect(inner.mapToParent(rect.topLeft()), rect.size())
            area = parent.parentWidget()
            if isinstance(area, QAbstractScrollArea) and area.viewport() is parent:
                down = area.verticalScrollBar().maximum() > 0
                across = area.horizontalScrollBar().maximum() > 0
                over, under = FAR * across, FAR * down
                allowed = parent.rect().adjusted(-over, -under, over, under)
                if not allowed.adjusted(-1, -1, 1, 1).contains(rect):
                    yield f"{called(each)} at {rect.getRect()} in {parent.rect().getRect()}"
                    break
                rect = parent.rect()
            elif not parent.rect().adjusted(-1, -1, 1, 1).contains(rect):
                yield f"{called(each)} at {rect.getRect()} in {type(parent).__name__} {parent.rect().getRect()}"
                break
            inner, parent = parent, parent.parentWidget()


def overlapping(window: QWidget) -> Iterator[str]:
    """Words, buttons and fields in sight that lie over a neighbour."""
    seen = [
        each for each in window.findChildren(QWidget)
        if each.isVisibleTo(window)
        and (isinstance(each, QLabel | QAbstractButton) or each.focusPolicy() & Qt.FocusPolicy.TabFocus)
    ]  # fmt: skip
    for at, one in enumerate(seen):
        for other in seen[at + 1 :]:
            if one.parentWidget() is other.parentWidget() and other.parentWidget() is not None:
                common = one.geometry().adjusted(1, 1, -1, -1).intersected(other.geometry().adjusted(1, 1, -1, -1))
                if common.isValid() and not common.isEmpty():
                    yield f"{called(one)} lies over {called(other)}"


def sideways(window: QWidget, *, tables_may: bool) -> Iterator[str]:
    """What scrolls sideways."""
    for each in window.findChildren(QAbstractScrollArea):
        may = tables_may and isinstance(each, QAbstractItemView | Wide)
        if each.isVisibleTo(window) and each.horizontalScrollBar().maximum() > 0 and not may:
            yield called(each)

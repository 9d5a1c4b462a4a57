"""The look holds: contrast of every pair of colours, names for screen readers, and room in the smallest window."""

import ast
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QColor
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QMenu, QPushButton, QToolTip, QWidget
from pytestqt.qtbot import QtBot

from tests.desk import Desk
from tests.shape import sources
from tests.ui.conftest import TODAY, RecordedMessages
from tests.ui.keys import Keys
from ui.actions import PAGES
from ui.frame import Frame
from ui.look import theme, typeface
from ui.look.theme import colours
from ui.look.widgets import RING, FocusRing, Words, button
from ui.pages import MAKERS
from ui.program import Program

BOTH = (theme.LIGHT, theme.DARK)
TONES = ("overdue", "soon", "service", "withdrawn", "unknown")
SMALL, LARGE = (1024, 600), (1920, 1080)


def brightness(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definition of relative luminance; public)."""
    parts = [part / 255 for part in QColor(colour).getRgb()[:3]]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definition of contrast ratio; public)."""
    darker, lighter = sorted((brightness(one), brightness(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("tokens", BOTH, ids=lambda each: each.name)
def test_every_text_is_readable_on_every_ground_that_it_stands_on(tokens: theme.Tokens) -> None:
    pairs = [(ink, ground) for ink in (tokens.ink, tokens.ink2, tokens.ink3, tokens.accent)
             for ground in (tokens.ground, tokens.surface)]  # fmt: skip
    pairs += [(tokens.ink, ground) for ground in (tokens.sunk, tokens.hover, tokens.accent_soft)]
    pairs += [(tokens.ink2, ground) for ground in (tokens.hover, tokens.accent_soft)]
    pairs += [(tokens.on_accent, tokens.accent)]
    for tone in (getattr(tokens, name) for name in TONES):
        pairs += [(tone.text, ground) for ground in (tokens.ground, tokens.surface, tone.soft)]
        pairs += [(tokens.ink, tone.soft), (tokens.ink2, tone.soft)]
    pairs += list(zip(tokens.work_ink, tokens.work, strict=True))
    pairs += list(zip(tokens.overdue_ramp_ink, tokens.overdue_ramp, strict=True))
    weak = {pair: round(contrast(*pair), 2) for pair in pairs if contrast(*pair) < 4.5}
    assert weak == {}


def test_check_boxes_are_drawn_with_the_tokens() -> None:
    """The style's own box is nearly unseen in the dark: whoever needs one takes `Tick`."""
    top = Path(__file__).parents[2]
    bare = {
        name
        for name, tree in sources(top, ["ui"])
        for node in ast.walk(tree)
        if isinstance(node, ast.alias) and node.name == "QCheckBox"
    }
    assert bare == {"ui/look/tick.py"}


@pytest.mark.parametrize("tokens", BOTH, ids=lambda each: each.name)
def test_every_glyph_and_border_is_seen(tokens: theme.Tokens) -> None:
    fills = [getattr(tokens, name).fill for name in TONES] + [tokens.line, tokens.accent]
    weak = {
        pair: round(contrast(*pair), 2)
        for pair in ((fill, ground) for fill in fills for ground in (tokens.ground, tokens.surface))
        if contrast(*pair) < 3
    }
    assert weak == {}


@pytest.fixture
def scale() -> Iterator[None]:
    yield
    typeface.set_scale(1)


@pytest.mark.parametrize("factor", [1.0, 1.5, 2.0])
def test_a_button_that_opens_a_menu_has_room_for_its_word_and_its_mark(
    qtbot: QtBot, scale: None, factor: float
) -> None:
    typeface.set_scale(factor)
    assert scale is None
    more = button("More", drop=True)
    qtbot.addWidget(more)
    menu = QMenu(more)
    menu.addAction("One")
    more.setMenu(menu)
    more.setFixedSize(more.sizeHint())
    picture = more.grab().toImage()
    ground, middle = QColor(colours().surface), picture.height() // 2
    rows = range(middle - 8, middle + 8)
    inked = [x for x in range(2, picture.width() - 2) if any(picture.pixelColor(x, y) != ground for y in rows)]
    gaps = [right - left for left, right in pairwise(inked)]
    assert max(gaps) >= 6, "the mark stands apart from the word"
    assert inked[-1] < picture.width() - 8


def stops(page: QWidget) -> list[QWidget]:
    """What takes the cursor by Tab and is in sight."""
    return [
        each for each in page.findChildren(QWidget)
        if each.isVisibleTo(page) and each.focusPolicy() & Qt.FocusPolicy.TabFocus and each.focusProxy() is None
    ]  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
def test_everything_that_takes_the_cursor_has_a_name(
    program: Program, settled: Callable[[], None], desk: Desk, page: str
) -> None:
    program.frame.go(page, desk.id("RR-1") if page in {"bench", "register"} else None)
    settled()
    nameless = []
    for each in stops(program.frame):
        interface = QAccessible.queryAccessibleInterface(each)
        if interface is None or not interface.text(QAccessible.Text.Name):
            nameless.append(each)
    assert nameless == []


def outside(frame: QWidget, page: QWidget) -> list[str]:
    """The buttons of a page that are cut off or beyond the window's edge, by their names."""
    found = []
    for each in page.findChildren(QAbstractButton):
        if not each.isVisible() or each.visibleRegion().isEmpty():
            continue
        corner = each.mapTo(frame, QPoint(0, 0))
        inside = corner.x() >= 0 and corner.x() + each.width() <= frame.width()
        if not inside or each.width() < each.minimumSizeHint().width():
            found.append(f"{each.accessibleName() or each.text()}: {corner.x()} + {each.width()}")
    return found


@pytest.mark.parametrize("size", [SMALL, LARGE])
@pytest.mark.parametrize("page", PAGES)
def test_no_button_is_cut_off_or_outside_the_window(
    program: Program, settled: Callable[[], None], desk: Desk, page: str, size: tuple[int, int]
) -> None:
    program.frame.resize(*size)
    program.frame.go(page, desk.id("RR-1") if page in {"bench", "register"} else None)
    settled()
    assert (program.frame.width(), program.frame.height()) == size
    assert outside(program.frame, program.frame) == []


@pytest.mark.parametrize("factor", [1.0, 1.5])
@pytest.mark.parametrize("across", [1024, 1280, 1920])
def test_the_bar_leaves_out_what_has_no_room_and_cuts_nothing(
    qtbot: QtBot, scale: None, factor: float, across: int
) -> None:
    typeface.set_scale(factor)
    assert scale is None
    frame = Frame(MAKERS, TODAY)
    qtbot.addWidget(frame)
    frame.resize(across, 600)
    frame.show()
    frame.count_on("withdrawn", 1234)
    QApplication.processEvents()
    assert frame.width() == across
    cut = [
        each.text() for each in frame.findChildren(Words) if each.isVisible() and each.width() < each.sizeHint().width()
    ]
    assert cut == []
    assert outside(frame, frame) == []


@pytest.mark.parametrize("factor", [1.0, 1.5])
def test_the_first_window_and_its_questions_have_room_in_a_small_window(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, messages: RecordedMessages, scale: None, factor: float
) -> None:
    typeface.set_scale(factor)
    assert scale is None
    keys = Keys(qtbot, qapp, tmp_path / "memory.toml", messages)
    keys.start()
    first = keys.opening.first
    assert first is not None
    first.resize(*SMALL)
    keys.settle()
    assert outside(first, first) == []
    keys.press("New register")
    assert (first.width(), first.height()) == SMALL
    for each in stops(first):
        interface = QAccessible.queryAccessibleInterface(each)
        assert interface is not None
        assert interface.text(QAccessible.Text.Name), each
    keys.reach("Make the register")
    assert not keys.focus.visibleRegion().isEmpty()
    keys.opening.close()


def test_the_ring_goes_along_when_what_its_widget_lies_in_moves(qtbot: QtBot) -> None:
    host = QWidget()
    qtbot.addWidget(host)
    host.resize(400, 300)
    inside = QWidget(host)
    inside.setGeometry(20, 20, 200, 100)
    pressed = QPushButton("Press", inside)
    pressed.setGeometry(10, 10, 80, 30)
    ring = FocusRing(host)
    host.show()
    host.activateWindow()
    pressed.setFocus()
    qtbot.waitUntil(ring.isVisible)
    assert ring.pos() == QPoint(30 - RING, 30 - RING)
    inside.move(20, 120)
    qtbot.waitUntil(lambda: ring.pos() == QPoint(30 - RING, 130 - RING))
    inside.hide()
    qtbot.waitUntil(ring.isHidden)


def test_a_tip_shows_markup_as_it_is_written_and_opens_no_picture(qtbot: QtBot) -> None:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    theme.wear(app, theme.LIGHT)

    def tips() -> list[QLabel]:
        return [each for each in app.topLevelWidgets() if isinstance(each, QLabel) and each.inherits("QTipLabel")]

    QToolTip.showText(QPoint(10, 10), '<b>Drill</b> <img src="/etc/hostname">')
    qtbot.waitUntil(lambda: bool(tips()))
    (tip,) = tips()
    assert tip.textFormat() is Qt.TextFormat.PlainText
    QToolTip.hideText()

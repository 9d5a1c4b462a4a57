"""The window: the bar with the pages' names above, the page in front, the status line below."""

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QCloseEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QHBoxLayout,
    QMainWindow,
    QMenu,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from ui.actions import Deeds, action
from ui.banner import Banner
from ui.dates import shown_long
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px, width
from ui.look.widgets import FocusRing, Painted, Words, button
from ui.offer import Offer
from ui.pages import Maker

if TYPE_CHECKING:  # the frame stands before a page can be made
    from ui.page import Page

NARROW: Final = 1200
NAME: Final = "Retest Register"
SMALLEST: Final = QSize(1024, 600)


class Tab(QAbstractButton):
    """The name of a page in the bar; the one in front is underlined."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setText(title)
        self.setCheckable(True)
        self.setAutoExclusive(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName(title)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setProperty("ring", False)  # noqa: FBT003 - Qt's own; there is no room around a tab, it draws one inside
        self._count = ""
        theme.changed.connect(self.update)

    def set_count(self, count: int) -> None:
        """Show how many things wait on the page; none shows nothing."""
        self._count = f"{count:,}" if count else ""
        self.setAccessibleName(f"{self.text()}, {count}" if count else self.text())
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        count = width(self._count, 11, 500) + 6 if self._count else 0
        return QSize(int(width(self.text(), 13, 600) + count) + px(28), px(52))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        on, height, inset = self.isChecked(), self.height(), px(14)
        place = QRectF(inset, 0, self.width(), height)
        colour = tokens.ink if on or self.underMouse() else tokens.ink2
        colour = colour if self.isEnabled() else tokens.ink3
        end = draw.text(painter, place, self.text(), 13, 600 if on else 500, colour, elide=False)
        if on:
            draw.box(painter, QRectF(inset, height - 3, end - inset, 3), tokens.accent, None, 1)
        if self.hasFocus():
            draw.box(painter, QRectF(3, 5, self.width() - 6, height - 12), None, tokens.accent, 7, 2)
        if self._count:
            draw.text(painter, QRectF(end + 6, 0, 60, height), self._count, 11, 500, tokens.ink3, elide=False)
        painter.end()


class Bar(QWidget):
    """The bar above: the program's name, the pages, the search, the day, the menu of every action."""

    def __init__(self, pages: Sequence[Maker], deeds: Deeds, today: date) -> None:
        super().__init__()
        self._deeds = deeds
        self._mark = Painted(self._draw_mark, size=QSize(px(28), px(24)))
        self._name = Words(NAME, 14, 600)
        self.tabs = {page.key: Tab(page.title) for page in pages}
        self._find = FindButton(deeds)
        self._week = Words(f"Week {today.isocalendar().week}", 13, 400, "ink3")
        self._day = Words(shown_long(today), 13, 500)
        self._menu = MenuButton(deeds)
        row = self._row = QHBoxLayout(self)
        row.setContentsMargins(24, 0, 16, 0)
        row.setSpacing(0)
        row.addWidget(self._mark)
        row.addWidget(self._name)
        row.addSpacing(18)
        for tab in self.tabs.values():
            row.addWidget(tab)
        row.addStretch(1)
        for widget, gap in ((self._find, 18), (self._week, 12), (self._day, 12), (self._menu, 0)):
            row.addWidget(widget)
            row.addSpacing(gap)
        self.setFixedHeight(px(52))
        theme.changed.connect(self.update)

    def fit(self, across: int) -> None:
        """Leave out what a narrow window has no room for."""
        narrow = across < px(NARROW)
        self._name.setVisible(not narrow)
        self._week.setVisible(not narrow)
        self._find.show_short(short=narrow)
        self.setFixedHeight(px(44 if narrow else 52))
        self._day.show()
        self._day.setVisible(self._row.totalMinimumSize().width() <= across)

    def _draw_mark(self, painter: QPainter, place: QRectF) -> None:
        glyph(painter, "sun", 0, (place.height() - px(18)) / 2 - 1, px(18), colours().accent)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        draw.box(painter, QRectF(self.rect()), tokens.surface, None, 0)
        draw.across(painter, 0, self.width(), self.height() - 1, tokens.hair)
        painter.end()


class FindButton(QAbstractButton):
    """Opens the command search; looks like the field that it opens."""

    def __init__(self, deeds: Deeds) -> None:
        super().__init__()
        self.setAccessibleName("Find or do")
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.clicked.connect(lambda: deeds.do("find"))
        self._short = False
        theme.changed.connect(self.update)

    def show_short(self, *, short: bool) -> None:
        """Show the glyph alone."""
        self._short = short
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        return QSize(px(36 if self._short else 196), px(32))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, height = QPainter(self), colours(), self.height()
        draw.box(painter, QRectF(self.rect()), tokens.ground, tokens.line, 6)
        side = px(14)
        left = (self.width() - side) / 2 if self._short else 10
        glyph(painter, "search", left, (height - side) / 2, side, tokens.ink2)
        if not self._short:
            draw.text(painter, QRectF(18 + side, 0, px(100), height), "Find or do", 13, 400, tokens.ink3)
            key = "Ctrl K"
            draw.key(painter, self.width() - draw.key_width(key) - 8, (height - 18) / 2, key)
        painter.end()


class MenuButton(QPushButton):
    """Opens the menu that holds every action."""

    def __init__(self, deeds: Deeds) -> None:
        super().__init__()
        self.setProperty("kind", "quiet")
        self.setAccessibleName("Menu of all actions")
        self.setFixedSize(px(40), px(36))
        menu = QMenu(self)
        deeds.fill(menu)
        self.setMenu(menu)
        theme.changed.connect(self.update)

    def minimumSizeHint(self) -> QSize:
        return QSize(px(40), px(36))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        if self.underMouse() or self.isDown():
            draw.box(painter, QRectF(self.rect()), tokens.hover, None, 6)
        glyph(painter, "menu", (self.width() - 18) / 2, (self.height() - 18) / 2, 18, tokens.ink2)
        painter.end()


class StatusLine(QWidget):
    """The line below: what was done last at the left, which register this is at the right.

    Longer work that no dialog waits for stands before what was done last, with the button that cancels it.
    """

    def __init__(self) -> None:
        super().__init__()
        self._work = Words("", 11, 500, "ink")
        self.cancel = button("Cancel   Esc", "line", name="Cancel what is under way")
        self._done = Words("", 11, 500, "ink2", elide=True)
        self._about = Words("", 11, 400, "ink3")
        self._safety = Words("", 11, 500, "ink3")
        row = QHBoxLayout(self)
        row.setContentsMargins(24, 0, 24, 0)
        row.setSpacing(18)
        row.addWidget(self._work)
        row.addWidget(self.cancel)
        row.addWidget(self._done, 1)
        row.addWidget(self._safety)
        row.addWidget(self._about)
        self.setFixedHeight(px(28))
        self.show_work("")
        theme.changed.connect(self.update)

    def tell(self, said: str) -> None:
        """Say what was done."""
        self._done.say(said)

    def show_work(self, said: str) -> None:
        """Name the work that is under way; none takes it away."""
        self._work.say(f"{said}…" if said else "")
        self._work.setVisible(bool(said))
        self.cancel.setVisible(bool(said))

    def safe(self, said: str, more: str, *, calm: bool) -> None:
        """Say how safe the register is: in a few words, and in its tip in full."""
        self._safety.say(said, "ink3" if calm else "soon")
        self._safety.setToolTip(more)

    def about(self, said: str) -> None:
        """Say which register is open."""
        self._about.say(said)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        draw.across(painter, 0, self.width(), 0)
        painter.end()


class Frame(QMainWindow):
    """The window with its pages, shown by their key. It stands empty until `furnish` says how pages are made."""

    def __init__(self, makers: Sequence[Maker], today: date) -> None:
        super().__init__()
        self.setWindowTitle(NAME)
        self.setMinimumSize(SMALLEST)
        self.deeds = Deeds(self)
        self.may_close: Callable[[], bool] = _always
        self.banner, self.offer, self.status = Banner(), Offer(), StatusLine()
        self._makers = {maker.key: maker for maker in makers}
        self._make: Callable[[Maker], Page] | None = None
        self._pages: dict[str, Page] = {}
        self._front: Page | None = None
        self._stack = QStackedWidget()
        self._bar = Bar(makers, self.deeds, today)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._bar)
        column.addWidget(self.banner)
        column.addWidget(self.offer)
        column.addWidget(self._stack, 1)
        column.addWidget(self.status)
        self.setCentralWidget(body)
        self._ring = FocusRing(body)
        self.resize(1440, 900)

    def furnish(self, make: "Callable[[Maker], Page]") -> None:
        """Let pages be shown; each is made when it first comes to the front."""
        self._make = make
        for key, maker in self._makers.items():
            self._bar.tabs[key].clicked.connect(partial(self.deeds.do, f"go.{key}"))
            self.deeds.offer(f"go.{key}", partial(self.go, key))
            for name in maker.everywhere:
                self.deeds.offer(name, partial(self._make_and_do, key, name))

    def look_only(self, why: str) -> None:
        """Say that the register can only be looked at, and let nothing be done that changes it."""
        self.banner.say(f"To look at only: {why}")
        self.deeds.look_only(why)
        for key, tab in self._bar.tabs.items():
            tab.setEnabled(not action(f"go.{key}").writes)
            tab.setToolTip("" if tab.isEnabled() else why)

    def go(self, key: str, wanted: object = None) -> None:
        """Bring a page to the front, with what it should show."""
        before, page = self._front, self._page(key)
        if before is not None:
            for name in before.offers():
                self.deeds.enable(name, enabled=False)
        self._front = page
        self._stack.setCurrentWidget(page)
        self._bar.tabs[key].setChecked(True)
        for name, taker in page.offers().items():
            self.deeds.offer(name, taker)
        page.shown(wanted)

    def prepare(self, key: str) -> None:
        """Make a page without bringing it to the front."""
        self._page(key)

    def _make_and_do(self, key: str, name: str) -> None:
        """Do what a page does from anywhere; once it is made, it has said itself how."""
        self._page(key)
        self.deeds.do(name)

    def _page(self, key: str) -> "Page":
        page = self._pages.get(key)
        if page is None:
            assert self._make is not None, "the window has no pages yet"
            page = self._pages[key] = self._make(self._makers[key])
            self._stack.addWidget(page)
        return page

    @property
    def front(self) -> "Page":
        """The page in front."""
        assert self._front is not None, "no page was shown yet"
        return self._front

    def count_on(self, key: str, count: int) -> None:
        """Show beside a page's name how many things wait there."""
        self._bar.tabs[key].set_count(count)
        self._bar.fit(self.width())

    @property
    def pages(self) -> "Sequence[Page]":
        """The pages that were shown so far."""
        return list(self._pages.values())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Esc cancel what is under way, where nothing in front has a use for it."""
        if event.key() == Qt.Key.Key_Escape and self.deeds.possible("work.cancel"):
            self.deeds.do("work.cancel")
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.may_close():
            super().closeEvent(event)
        else:
            event.ignore()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._bar.fit(event.size().width())
        super().resizeEvent(event)


def _always() -> bool:
    return True

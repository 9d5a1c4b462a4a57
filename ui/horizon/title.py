"""The title line of the horizon: what is overdue, how much work lies ahead, and what the colours mean."""

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from register.domain.words import counted
from register.planning.workload import SOURCE, time_words
from register.services.horizon import WEEKS, Horizon
from ui.horizon.model import work_words
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import font, px, width
from ui.look.widgets import Painted, Words, button


class Title(QWidget):
    """The line. In a small window it says less, leaves the legend out, and has the way to the owner's workbook."""

    def __init__(self) -> None:
        super().__init__()
        self._name = Words("Horizon", 24, 600)
        self._mark = Painted(_sunk, size=QSize(px(16), px(16)))
        self._overdue = Words("", 13, 600, "overdue")
        self._never = Words("", 13, 500, "unknown")
        self._said = Fitting()
        self.year = button("A year ahead…", "quiet", hint="Ctrl+H")
        self.owner = button("Owner workbook…", "quiet", name="Write the owner workbook", hint="Ctrl+E")
        self._legend = Legend()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self._name)
        row.addSpacing(24)
        row.addWidget(self._mark)
        row.addSpacing(8)
        for widget in (self._overdue, self._never):
            row.addWidget(widget)
            row.addSpacing(16)
        row.addWidget(self._said, 1)
        for way_on in (self.owner, self.year):
            row.addSpacing(12)
            row.addWidget(way_on)
        row.addSpacing(12)
        row.addWidget(self._legend)
        self.setFixedHeight(px(60))

    def fit(self, *, narrow: bool) -> None:
        """Take less room in a small window."""
        self.setFixedHeight(px(44 if narrow else 60))
        self._name.setFont(font(20 if narrow else 24, 600))
        self._legend.setVisible(not narrow)
        self.owner.setVisible(narrow)

    def show_horizon(self, horizon: Horizon) -> None:
        """Say what is on the horizon."""
        total = horizon.total
        self._mark.setVisible(total.overdue > 0)
        self._overdue.say(f"{total.overdue:,} overdue" if total.overdue else "")
        self._never.say(f"{total.never_done:,} never done" if total.never_done else "")
        for widget in (self._overdue, self._never):
            widget.setVisible(bool(widget.text()))
        self._said.offer(_ahead_words(horizon))
        self._legend.show_source(own=horizon.own_minutes)


def _ahead_words(horizon: Horizon) -> list[str]:
    """Return how the work ahead may be told, the fullest first."""
    ahead, hours = horizon.total.ahead, f"{horizon.crew_hours.normalize():f} h"
    if not ahead.duties:
        return [f"Nothing falls due in the next {WEEKS} weeks"]
    duties, whole_hours = work_words(ahead.duties), (ahead.minutes / 60).to_integral_value()
    work = time_words(whole_hours * 60 if whole_hours else ahead.minutes)
    weeks = _weeks_rise(horizon.above)
    return [
        f"{duties} and {work} of work in {WEEKS} weeks; {weeks} above the crew's {hours}",
        f"{duties}, {work} of work in {WEEKS} weeks; {weeks} above the crew's {hours}",
        f"{duties}, {work} of work in {WEEKS} weeks; {horizon.above or 'none'} above crew hours",
        f"{duties} and {work} of work in {WEEKS} weeks",
        f"{duties} in {WEEKS} weeks",
    ]


def _weeks_rise(count: int) -> str:
    if not count:
        return "no week rises"
    return counted(count, "week rises", "weeks rise")


class Fitting(Words):
    """One line that says as much as there is room for; all of it is its tip."""

    def __init__(self) -> None:
        super().__init__("", 13, 400, "ink2", elide=True)
        self._ways: list[str] = []

    def offer(self, ways: list[str]) -> None:
        """Give the ways to say it, the fullest first."""
        self._ways = ways
        self.setToolTip(ways[0])
        self._choose()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._choose()

    def _choose(self) -> None:
        if self._ways:
            self.say(next((way for way in self._ways if width(way, 13) <= self.width()), self._ways[-1]))


def _sunk(painter: QPainter, place: QRectF) -> None:
    glyph(painter, "sunk", 0, 0, place.height(), colours().overdue.fill)


class Legend(Painted):
    """What the line and the colours of the grid mean. `show_source` says where the minutes come from."""

    def __init__(self) -> None:
        super().__init__(self._draw)
        self._minutes = "minutes"
        self.show_source(own=True)

    def show_source(self, *, own: bool) -> None:
        """Mark the program's own minutes as what they are."""
        self._minutes = "minutes" if own else "minutes (default)"
        source = "the firm's own figures" if own else SOURCE
        self.setToolTip(f"Minutes of work by kind of item and check: {source}.")
        self.setAccessibleName(f"A line marks today. Darker cells are more minutes of work: {source}.")
        words = sum(width(said, 11) for said in ("today", self._minutes, "3 h +"))
        across = words + px(6) + px(18) + px(6) + px(5 * 20) + px(4)
        self.setFixedSize(int(across), px(24))
        self.update()

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        tokens, high = colours(), place.height()
        draw.upright(painter, 0, high / 2 - px(8), high / 2 + px(8), tokens.accent)
        end = draw.text(painter, QRectF(px(6), 0, px(80), high), "today", 11, 400, tokens.ink2, elide=False)
        words = QRectF(end + px(18), 0, place.width(), high)
        x = draw.text(painter, words, self._minutes, 11, 400, tokens.ink2, elide=False) + px(6)
        for colour in tokens.work:
            draw.box(painter, QRectF(x, high / 2 - px(6), px(18), px(12)), colour, None, 3)
            x += px(20)
        draw.text(painter, QRectF(x + px(4), 0, px(60), high), "3 h +", 11, 400, tokens.ink2, elide=False)

"""The verdict as it stands at this moment: its word, its sentence, the checks, what comes next, the keys."""

from collections.abc import Iterator
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QHBoxLayout,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from register.domain.words import Result
from register.services.bench.on_bench import next_due_if_passed
from ui.bench.session import Session
from ui.bench.words import CheckLine, Said, check_lines, said
from ui.dates import shown
from ui.look import draw
from ui.look.glyphs import VERDICT_GLYPHS, glyph
from ui.look.theme import colours, theme, verdict_tone
from ui.look.typeface import font, px, width
from ui.look.widgets import Painted, Sheet, Words

_INK: Final = {Result.PASS: "service", Result.FAIL: "overdue", Result.INCOMPLETE: "unknown"}
KEYS: Final = ("Enter", "Ctrl Enter", "Esc")
TEXT: Final = 13
LARGE: Final = 44
SMALLEST: Final = 15
"""The type of the verdict is no larger, and no smaller."""
LOW: Final = 640
"""Below this height, grown with the type, the panel leaves out where things stand."""


class KeyRow(QAbstractButton):
    """A key and what it does; pressing the row does it too. Enter presses it as Space does."""

    def __init__(self, key: str) -> None:
        super().__init__()
        self._key, self._strong = key, False
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFixedHeight(px(32))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.update)

    def say(self, does: str, *, strong: bool = False) -> None:
        """Say what the key does at present; nothing hides the row."""
        self.setText(does)
        self._strong = strong
        self.setAccessibleName(f"{does}, key {self._key}")
        self.setVisible(bool(does))
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and not event.modifiers():
            self.click()
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        return QSize(px(200), px(32))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        wide = max(width(key, 12, 600) for key in KEYS) + px(22)
        cap = QRectF(0, 1, wide, self.height() - 2)
        ground = tokens.accent if self._strong else tokens.hover if self.underMouse() else None
        draw.box(painter, cap, ground, tokens.accent if self._strong else tokens.line, 6)
        draw.text(painter, cap, self._key, 12, 600, tokens.on_accent if self._strong else tokens.ink, draw.CENTRE)
        words = QRectF(wide + px(12), 0, self.width() - wide - px(12), self.height())
        ink, weight = tokens.ink if self._strong else tokens.ink2, 600 if self._strong else 400
        if width(self.text(), 13, weight) <= words.width():
            draw.text(painter, words, self.text(), 13, weight, ink)
        else:
            painter.setPen(QColor(ink))
            painter.setFont(font(12, weight))
            painter.drawText(words, draw.LEFT | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap, self.text())
        painter.end()


class _BigWord(Words):
    """One word as large as it may be, or smaller where it is too long for its room."""

    def __init__(self) -> None:
        super().__init__("", LARGE, 600)
        self._largest = LARGE
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def show_size(self, size: int) -> None:
        """Take another size, at most; the height stays that of this size whatever the word."""
        self._largest = size
        self.setMinimumHeight(QFontMetrics(font(size, 600)).height())
        self._fit()

    def say(self, said: str, ink: str | None = None) -> None:
        super().say(said, ink)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        sizes = range(self._largest, SMALLEST, -1)
        size = next((each for each in sizes if width(self.text(), each, 600) <= self.width()), SMALLEST)
        self.setFont(font(size, 600))


class _Block(QWidget):
    """The upper part: of the same height unless its sentences need more, so that nothing jumps while one types."""

    def __init__(self) -> None:
        super().__init__()
        self._result = Result.INCOMPLETE
        self._narrow: bool | None = None
        self._mark = Painted(self._draw_mark)
        self._word = _BigWord()
        self.sentence = Words("", 17, 600, wrap=True)
        self.meaning = Words("", 13, 400, "ink2", wrap=True)
        row = QHBoxLayout()
        row.addWidget(self._mark)
        row.addWidget(self._word, 1)
        self._row = row
        self._column = QVBoxLayout(self)
        self._column.setSpacing(px(8))
        self._column.addLayout(row)
        self._column.addWidget(self.sentence)
        self._column.addWidget(self.meaning)
        self._column.addStretch(1)
        self.show_narrow(narrow=False)
        theme.changed.connect(self.update)

    def show_narrow(self, *, narrow: bool) -> None:
        """Take less room in a small window."""
        if narrow is self._narrow:
            return
        self._narrow = narrow
        inset, size = px(16 if narrow else 24), px(30 if narrow else 44)
        self._column.setContentsMargins(inset, px(10 if narrow else 16), inset, px(10))
        self._row.setSpacing(px(12 if narrow else 16))
        self._mark.setFixedSize(size, size)
        self._word.show_size(28 if narrow else 44)
        self.sentence.setFont(font(15 if narrow else 17, 600))
        self.meaning.setFont(font(12 if narrow else 13, 400))
        self.setMinimumHeight(px(168 if narrow else 264))

    def show_verdict(self, result: Result, words: Said) -> None:
        """Show a verdict with its sentences."""
        self._result = result
        self._word.say(result.value.capitalize(), _INK[result])
        self.sentence.say(words.sentence)
        self.meaning.say(words.meaning)
        self.update()

    def _draw_mark(self, painter: QPainter, place: QRectF) -> None:
        glyph(painter, VERDICT_GLYPHS[self._result], 0, 0, place.width(), verdict_tone(self._result).fill)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, place = QPainter(self), QRectF(self.rect()).adjusted(1, 1, -1, 0)
        soft = verdict_tone(self._result).soft
        draw.box(painter, place, soft, None, 7)
        draw.box(painter, place.adjusted(0, 12, 0, 0), soft, None, 0)
        painter.end()


class _Checks(QWidget):
    """The checks that are asked for, each with its mark and its count."""

    def __init__(self) -> None:
        super().__init__()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(px(2))
        self._lines: list[tuple[Painted, Words, Words]] = []
        self._shown: tuple[CheckLine, ...] = ()
        self._size = TEXT

    def show_narrow(self, *, narrow: bool) -> None:
        """Write smaller in a small window."""
        self._size = 12 if narrow else TEXT
        for _mark, _title, value in self._lines:
            value.setMinimumHeight(self._high)
        self.show_lines(self._shown)

    def show_lines(self, lines: tuple[CheckLine, ...]) -> None:
        """Show these lines."""
        self._shown = lines
        while len(self._lines) < len(lines):
            self._add(len(self._lines))
        for number, (mark, title, value) in enumerate(self._lines):
            visible = number < len(lines)
            for widget in (mark, title, value):
                widget.setVisible(visible)
            if visible:
                line = lines[number]
                failed = line.result is Result.FAIL
                title.say(line.title)
                title.setFont(font(self._size, 600 if failed else 400))
                open_yet = line.result is Result.INCOMPLETE
                value.say(line.value, "overdue" if failed else "unknown" if open_yet else "ink2")
                value.setFont(font(self._size, 600 if failed else 400))
                mark.setAccessibleName("not judged" if line.result is None else line.result.value)
                mark.update()

    def _add(self, number: int) -> None:
        def drawn(painter: QPainter, place: QRectF) -> None:
            if number < len(self._shown):
                result = self._shown[number].result
                if result is not None:
                    glyph(painter, VERDICT_GLYPHS[result], 0, 0, place.width(), verdict_tone(result).fill)

        made = (Painted(drawn, size=QSize(px(14), px(14))), Words("", 13, elide=True), Words("", 13))
        made[2].setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        made[2].setMinimumHeight(self._high)
        row = QHBoxLayout()
        row.setSpacing(px(10))
        for widget in made:
            row.addWidget(widget)
        row.setStretch(1, 1)
        self._column.addLayout(row)
        self._lines.append(made)

    @property
    def _high(self) -> int:
        return px(22 if self._size < TEXT else 26)


class VerdictPanel(Sheet):
    """The panel at the right. `entered`, `saved` and `left` are its keys."""

    entered = Signal()
    saved = Signal()
    left = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._block, self._checks = _Block(), _Checks()
        self._source = Words("", 11, 400, "ink3", wrap=True)
        self._line = Painted(_across)
        self._line.setFixedHeight(px(9))
        self._when = Words("", 12, 400, "ink2", wrap=True)
        self._next = Words("", 17, 600, wrap=True)
        self._why = Words("", 12, 400, "ink2", wrap=True)
        self.enter, self.save, self.leave = (KeyRow(key) for key in KEYS)
        self.enter.clicked.connect(self.entered)
        self.save.clicked.connect(self.saved)
        self.leave.clicked.connect(self.left)
        self._narrow = False
        inside = QWidget()
        self._body, self._keys = QVBoxLayout(inside), QVBoxLayout()
        for widget in (self._checks, self._source, self._line, self._when, self._next, self._why):
            self._body.addWidget(widget)
        self._body.addStretch(1)
        for row in (self.enter, self.save, self.leave):
            self._keys.addWidget(row)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(inside)
        inside.setAutoFillBackground(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 0, 1, 0)
        column.setSpacing(0)
        column.addWidget(self._block)
        column.addWidget(area, 1)
        column.addLayout(self._keys)
        self._fit()

    def show_narrow(self, *, narrow: bool) -> None:
        """Take less room in a small window: the checks and the keys stay, where things stand goes."""
        self._narrow = narrow
        self.setFixedWidth(px(272 if narrow else 336))
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Leave out what a narrow or low panel has no room for."""
        small, before = self._narrow or self.height() < px(LOW), self._when.isHidden()
        inset = px(15 if small else 23)
        self._body.setContentsMargins(inset, px(10 if small else 18), inset, px(4))
        self._body.setSpacing(px(4 if small else 8))
        self._keys.setContentsMargins(inset, px(4), inset, px(12 if small else 18))
        self._keys.setSpacing(px(4 if small else 8))
        self._block.show_narrow(narrow=small)
        self._checks.show_narrow(narrow=small)
        for widget in (self._source, self._line, self._when, self._why):
            widget.setVisible(not small)
        if small is not before and self._session.item is not None:
            self._show_next()  # says itself what stood above it

    def refresh(self) -> None:
        """Show the verdict of this moment."""
        if self._session.item is None:
            return
        live, sheet = self._session.live, self._session.sheet
        words = said(sheet, live)
        self._block.show_verdict(live.judgement.verdict, words)
        self._checks.show_lines(check_lines(sheet, live))
        rules = f"Limits: {sheet.rulebook.title} {sheet.rulebook.version}"
        self._source.say(f"{rules}. {words.source}" if words.source else rules)
        self._show_next()
        self._show_keys()

    def _show_next(self) -> None:
        session = self._session
        assert session.item is not None
        if session.verdict is Result.FAIL:
            self._when.say("When it is saved")
            self._next.say("Out of service")
            self._why.say("It asks for the number of its out-of-service tag. The owner decides: repair or dispose.")
            return
        due = next_due_if_passed(session.item, session.sheet, session.on)
        passes = session.verdict is Result.PASS
        self._when.say("When it is saved" if passes else "If it passes")
        next_due = f"Next due {shown(due.due)}" if due else "No date is asked of it"
        self._next.say(
            next_due if passes or not self._when.isHidden() else f"If it passes: {next_due[:1].lower()}{next_due[1:]}"
        )
        self._why.say(due.why[0] if due else "")

    def _show_keys(self) -> None:
        live, verdict = self._session.live, self._session.verdict
        whole = not live.to_go
        following = "next missing reading" if live.missing else "to the look"
        corrects = self._session.item is not None and self._session.item.corrects is not None
        done = "save the correction" if corrects else "save, scan the next"
        self.enter.say(done if whole else following, strong=True)
        as_it_is = "save as it is, incomplete" if verdict is Result.INCOMPLETE else "save now"
        self.save.say(as_it_is)
        self.leave.say("put aside, go on later" if self._session.begun else "take it off the bench")

    def widgets(self) -> Iterator[QWidget]:
        """Yield the keys in reading order."""
        yield from (self.enter, self.save, self.leave)


def _across(painter: QPainter, place: QRectF) -> None:
    draw.across(painter, 0, place.width(), place.height() / 2)

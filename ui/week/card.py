"""What stands on the sheet of a week: a stop as a card as tall as it takes long, and the head of a van's day."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QWidget

from register.domain.words import counted
from register.planning.week_rows import PlannedDay, PlannedStop
from register.services.week.text import Card
from ui.dates import shown_with_weekday
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px, width
from ui.week.look import clock, day_name, day_short, span, stroke
from ui.week.places import NARROWEST

INSET = 12
ENTER = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space})


class _Shown(QAbstractButton):
    """A button that leaves the mouse and most keys to the sheet it stands on."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        theme.changed.connect(self.update)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER and not event.isAutoRepeat():
            self.click()
        else:
            event.ignore()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.ignore()


class StopCard(_Shown):
    """A stop. What it has no room for is in its tooltip and in what a screen reader says."""

    def __init__(self, stop: PlannedStop, words: Card, parent: QWidget) -> None:
        super().__init__(parent)
        self.stop, self.words = stop, words
        self.lifted = False
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        self.setText(stop.name)
        first = f"{stop.name}, {day_name(stop.day)}, {clock(stop.arrive)} to {clock(stop.leave)}"
        self.setAccessibleName(", ".join([first, words.work, *words.marks]))
        self.setAccessibleDescription(" ".join([words.why, *words.early[:3]]))
        self.setToolTip("\n".join([stop.name, words.times, words.work, words.why, *words.early[:4], *words.marks]))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, place = QPainter(self), colours(), QRectF(self.rect())
        edge = tokens.accent if self.lifted else tokens.ink if self.stop.pinned else tokens.rule
        draw.box(painter, place, tokens.surface, edge, 6, 2 if self.lifted else 1)
        y, step, room = float(px(4)), px(19), place.width() - 2 * INSET
        if place.height() < px(24):
            self._one_line(painter, place)
        else:
            y = min(y, max(0.0, (place.height() - 2 * step) / 2))
            self._first_line(painter, QRectF(INSET, y, room, step))
            if place.height() >= px(40):
                draw.text(painter, QRectF(INSET, y + step, room, step), self.stop.name, 13, 600)
            self._more(painter, y + 2 * step + px(2), room)
        painter.end()

    def _one_line(self, painter: QPainter, place: QRectF) -> None:
        line = QRectF(INSET, 0, place.width() - 2 * INSET, place.height())
        draw.text(painter, line, f"{clock(self.stop.arrive)}  {self.stop.name}", 11, 500)

    def _first_line(self, painter: QPainter, line: QRectF) -> None:
        tokens, right = colours(), line.right()
        if self.stop.pinned:
            glyph(painter, "pin", right - px(14), line.y() + 2, px(14), tokens.ink)
            right -= px(20)
        long = span(self.stop.leave - self.stop.arrive)
        wide = width(long, 12, 500)
        draw.text(painter, QRectF(right - wide, line.y(), wide + 1, line.height()), long, 12, 500, tokens.ink2)
        room = right - wide - 8 - line.x()
        times = f"{clock(self.stop.arrive)} to {clock(self.stop.leave)}"
        if self.height() < px(40):
            times = f"{clock(self.stop.arrive)}  {self.stop.name}"
        draw.text(painter, QRectF(line.x(), line.y(), room, line.height()), times, 12, 500)

    def _more(self, painter: QPainter, y: float, room: float) -> None:
        """Draw the rest as far as there is height: counts, marks, then the areas."""
        tokens, step = colours(), px(18)
        lines = []
        overdue = sum(task.due is None or task.due < self.stop.day for task in self.stop.must)
        if overdue or self.stop.early:
            lines.append("marks")
        whole = (*self.words.marks, f"{len(self.stop.must)} due in all" if self.stop.must else "", *self._areas())
        lines += [said for said in whole if said and said not in {"Pinned", "After its due date"}]
        for said in lines:
            if y + step > self.height() - 2:
                return
            line = QRectF(INSET, y, room, step)
            if said == "marks":
                self._marks(painter, line, overdue)
            else:
                draw.text(painter, line, said, 12, 400, tokens.ink2)
            y += step

    def _marks(self, painter: QPainter, line: QRectF, overdue: int) -> None:
        tokens, x, size = colours(), line.x(), px(13)
        marks = [("sunk", overdue, "overdue", tokens.overdue), ("forward", len(self.stop.early), "forward", None)]
        for name, count, said, tone in marks:
            if count:
                glyph(painter, name, x, line.y() + 2, size, tone.fill if tone else tokens.accent)
                words = QRectF(x + size + 5, line.y(), line.right() - x - size - 5, line.height())
                whole = f"{count} {said}"
                if width(whole, 12, 600) > words.width():
                    whole = str(count)
                ink = tone.text if tone else tokens.accent
                x = draw.text(painter, words, whole, 12, 600 if tone else 500, ink, elide=False) + 12

    def _areas(self) -> list[str]:
        tasks = [*self.stop.must, *(each.task for each in self.stop.early)]
        return list(dict.fromkeys(task.area for task in tasks))


class DayHead(_Shown):
    """The head of a van's day: its name and line, its load against its hours. Pressed, it locks the day or opens it."""

    def __init__(self, day: PlannedDay, parent: QWidget) -> None:
        super().__init__(parent)
        self.day = day
        self.after: PlannedDay | None = None
        self.setCheckable(True)
        self.setChecked(day.locked)
        self.setText(day_name(day.day))
        stands = ", locked" if day.locked else ""
        self.setAccessibleName(
            f"{day_name(day.day)}, {day.van_name}: {counted(len(day.stops), 'stop')}, {self._load()},"
            f" {self._way()}{stands}"
        )
        self.setToolTip(f"{shown_with_weekday(day.day)}, {day.van_name}\nL locks the day as it is, or opens it again")

    def _load(self) -> str:
        day = self.after or self.day
        return f"{span(day.at_work)} of {span(day.room)}"

    def _way(self) -> str:
        day = self.after or self.day
        return f"{day.drive_km:.0f} km, back {clock(day.back)}" if day.stops else "No visits"

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, wide, step = QPainter(self), colours(), float(self.width()), px(20)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(tokens.ground))
        painter.translate(0, px(4))
        day = self.after or self.day
        slim = wide < px(NARROWEST)
        line = px(18 if slim else 28)
        self._title(painter, wide - line - 8, step)
        stroke(painter, day.day, QPointF(wide - line, step / 2), QPointF(wide, step / 2), 3)
        said = "Locked" if self.day.locked else day.van_name
        over = day.at_work > day.room or day.late
        ink = tokens.overdue.text if over else tokens.accent if self.after else tokens.ink2
        end = -8.0
        if day.stops or not slim:
            end = draw.text(painter, QRectF(0, step + 2, wide, step), self._load(), 12, 600 if self.after else 500, ink)
        rest, side = QRectF(end + 8, step + 2, wide - end - 8, step), draw.LEFT if end < 0 else draw.RIGHT
        draw.text(painter, rest, said, 12, 600 if self.day.locked else 400, tokens.ink2, side)
        self._meter(painter, QRectF(0, 2 * step + 4, wide, px(8)))
        draw.text(painter, QRectF(0, 2 * step + px(14), wide, step), self._way(), 12, 400, tokens.ink2)
        painter.end()

    def _title(self, painter: QPainter, room: float, high: float) -> None:
        """Draw the day's name and date, as much of them as there is room for."""
        day = self.day.day
        long, short, date = day_name(day), day_short(day), shown_with_weekday(day).partition(" ")[2]
        ways = [(long, date), (short, date), (short, str(day.day))]
        name, beside = next((way for way in ways if _title_width(*way) <= room), (short, ""))
        x = draw.text(painter, QRectF(0, 0, room, high), name, 15, 600)
        draw.text(painter, QRectF(x + 8, 0, max(0.0, room - x - 8), high), beside, 13, 400, colours().ink2)

    def _meter(self, painter: QPainter, bar: QRectF) -> None:
        """Draw work and drives against the hours; what a stop held over the day would add is dashed."""
        tokens, day = colours(), self.day
        most = max(day.room, day.at_work, self.after.at_work if self.after else 0, 1) * 1.06
        per = bar.width() / most
        site, limit = max(0, day.at_work - day.drive_minutes) * per, day.room * per
        draw.box(painter, QRectF(bar.x(), bar.y(), limit, bar.height()), tokens.sunk, None, 0)
        draw.box(painter, QRectF(bar.x(), bar.y(), site, bar.height()), tokens.work[4], None, 0)
        drive = QRectF(bar.x() + site, bar.y(), day.at_work * per - site, bar.height())
        draw.box(painter, drive, tokens.work[2], None, 0)
        if self.after is not None and self.after.at_work > day.at_work:
            more = QRectF(bar.x() + day.at_work * per, bar.y(), (self.after.at_work - day.at_work) * per, bar.height())
            draw.box(painter, more, tokens.accent_soft, tokens.accent, 2, 1.5, [3, 2])
        draw.upright(painter, bar.x() + limit, bar.y() - 4, bar.bottom() + 4, tokens.ink, 2)


def _title_width(name: str, date: str) -> float:
    return width(name, 15, 600) + 8 + width(date, 13, 400)

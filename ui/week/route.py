"""The routes of a week, to scale and without a map: each day in its colour and dash, its stops numbered in order."""

from itertools import pairwise
from math import cos, radians
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from register.domain.words import counted
from register.planning.travel import Place
from register.planning.week_rows import PlannedDay, PlannedWeek
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px, width
from ui.week.look import day_name, day_short, line_of, stroke

HIGH, LOW, LOW_WINDOW = 196, 104, 700
KM_PER_DEGREE: Final = 111.2
SCALES: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500)


class RoutePicture(QWidget):
    """The picture with its scale and, below it, what each line means."""

    def __init__(self) -> None:
        super().__init__()
        self._week: PlannedWeek | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(px(260), self._high() + px(54) + px(22) * len(self._used()))

    def _high(self) -> int:
        """Return how tall the picture is: less in a low window, so that what its lines mean has room."""
        return px(HIGH if self.window().height() > px(LOW_WINDOW) else LOW)

    def show_week(self, week: PlannedWeek) -> None:
        """Show the routes of a week."""
        self._week = week
        said = [f"{_name(day, week)}: {counted(len(day.stops), 'stop')}, {day.drive_km:.0f} km" for day in self._used()]
        self.setAccessibleName("Routes")
        self.setAccessibleDescription("; ".join(said))
        self.updateGeometry()
        self.update()

    def _used(self) -> list[PlannedDay]:
        return [day for day in self._week.days if day.stops] if self._week else []

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._week is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        room = QRectF(px(12), px(8), self.width() - px(24), self._high())
        known = {site.key: site.place for site in self._week.draft.asked.sites if site.place is not None}
        used = self._used()
        places = [known[stop.code] for day in used for stop in day.stops if stop.code in known]
        base = self._week.draft.asked.base
        spots = _Spots([*places, *([base] if base else [])], room)
        for day in used:
            self._route(painter, day, known, spots)
        if base is not None:
            at = spots.at(base)
            draw.box(painter, QRectF(at.x() - 6, at.y() - 6, 12, 12), colours().ink, None, 2)
            draw.text(painter, QRectF(at.x() - 30, at.y() + 7, 60, 16), "Base", 11, 600, None, draw.CENTRE)
        self._scale(painter, spots, room.bottom() + px(20))
        self._legend(painter, used, room.bottom() + px(40))
        painter.end()

    def _route(self, painter: QPainter, day: PlannedDay, known: dict[str, Place], spots: "_Spots") -> None:
        assert self._week is not None
        asked = self._week.draft.asked
        van = asked.vans[day.van]
        start, end = van.start_place or asked.base, van.end_place or asked.base
        stops = [known[stop.code] for stop in day.stops if stop.code in known]
        line = [spots.at(each) for each in (start, *stops, end) if each is not None]
        for one, other in pairwise(line):
            stroke(painter, day.day, one, other)
        for order, stop in enumerate(day.stops, 1):
            place = known.get(stop.code)
            if place is not None:
                at, round_ = spots.at(place), px(9)
                ring = QRectF(at.x() - round_, at.y() - round_, 2 * round_, 2 * round_)
                draw.box(painter, ring, colours().surface, line_of(day.day).colour, round_, 1.8)
                draw.text(painter, ring, str(order), 11, 600, None, draw.CENTRE, elide=False)

    def _scale(self, painter: QPainter, spots: "_Spots", y: float) -> None:
        tokens = colours()
        km = max((each for each in SCALES if each * spots.per_km <= px(80)), default=SCALES[0])
        wide = km * spots.per_km
        draw.across(painter, 0, wide, y, tokens.ink2, 2)
        for x in (1.0, wide):
            draw.upright(painter, x, y - 4, y + 4, tokens.ink2, 2)
        draw.text(painter, QRectF(wide + 8, y - 9, 60, 18), f"{km} km", 11, 400, tokens.ink2)
        right = QRectF(0, y - 9, self.width(), 18)
        draw.text(painter, right, "straight lines, to scale", 11, 400, tokens.ink3, draw.RIGHT)

    def _legend(self, painter: QPainter, used: list[PlannedDay], y: float) -> None:
        assert self._week is not None
        tokens, wide, step = colours(), self.width(), px(22)
        for day in used:
            stroke(painter, day.day, QPointF(0, y + step / 2), QPointF(px(36), y + step / 2), 3)
            name = QRectF(px(46), y, wide - px(46) - px(106), step)
            whole = _name(day, self._week)
            if width(whole, 12, 600) > name.width() - px(8):
                whole = whole.replace(day_name(day.day), day_short(day.day))
            draw.text(painter, name, whole, 12, 600)
            said = counted(len(day.stops), "stop")
            draw.text(painter, QRectF(wide - px(102), y, px(52), step), said, 12, 400, tokens.ink2)
            draw.text(painter, QRectF(0, y, wide, step), f"{day.drive_km:.0f} km", 12, 600, None, draw.RIGHT)
            y += step


class _Spots:
    """Where places are drawn: all to one scale, north up, as large as there is room for."""

    def __init__(self, places: list[Place], room: QRectF) -> None:
        self._places = places or [Place(0, 0)]
        self._middle = cos(radians(sum(place.lat for place in self._places) / len(self._places)))
        xs, ys = [self._east(each) for each in self._places], [each.lat for each in self._places]
        across, along = max(max(xs) - min(xs), 0.005), max(max(ys) - min(ys), 0.005)
        self._per_degree = min(room.width() / across, room.height() / along)
        self._x = room.center().x() - (max(xs) + min(xs)) / 2 * self._per_degree
        self._y = room.center().y() + (max(ys) + min(ys)) / 2 * self._per_degree
        self.per_km = self._per_degree / KM_PER_DEGREE

    def at(self, place: Place) -> QPointF:
        """Return where a place is drawn."""
        return QPointF(self._x + self._east(place) * self._per_degree, self._y - place.lat * self._per_degree)

    def _east(self, place: Place) -> float:
        return place.lon * self._middle


def _name(day: PlannedDay, week: PlannedWeek) -> str:
    return day_name(day.day) if len(week.draft.asked.vans) == 1 else f"{day_name(day.day)}, {day.van_name}"

"""One tag as it is drawn, in millimetres from the corner of its label. Paper is always light."""

from collections.abc import Iterator
from datetime import date
from typing import Final, NamedTuple

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from register.domain.tag_face import Face, FaceLine
from register.domain.tag_words import TagColour, TagField, TagKind
from register.errors import Refused
from ui.dates import shown
from ui.look.glyphs import glyph
from ui.tags.code import DOT, QUIET, Code, code_of
from ui.tags.lettering import LEAD, LEAST, Fitted, fitted, letter, shortened, width_of

INK: Final = "#000000"
PAPER: Final = "#FFFFFF"
COLOURS: Final = {
    TagColour.RED: "#D3202A",
    TagColour.GREEN: "#0B8A44",
    TagColour.BLUE: "#1F5FBF",
    TagColour.YELLOW: "#F6C700",
    TagColour.ORANGE: "#F08000",
    TagColour.WHITE: "#FFFFFF",
    TagColour.BLACK: "#000000",
    TagColour.GREY: "#8A8A8A",
}
HEADS: Final = (TagField.RETEST, TagField.REASON)
"""What is read first stands first, and largest."""

ROWS: Final = (
    TagField.TESTED, TagField.IN_SERVICE, TagField.WITHDRAWN, TagField.TESTER, TagField.LICENCE, TagField.OUT_NUMBER,
    TagField.ACTION, TagField.FIRM,
)  # fmt: skip
UNNAMED: Final = (TagField.FIRM, TagField.ACTION)
"""What needs no label beside it."""

SHARES: Final = {TagField.RETEST: 2.4, TagField.REASON: 2.4, TagField.ACTION: 1.5}
"""How much higher than others some rows are."""

_HIGHEST_ROW: Final = 4.2
_GLYPHS: Final = {TagKind.PASS: "tick", TagKind.OUT_OF_SERVICE: "cross", TagKind.NEW_TO_SERVICE: "broken-ring"}


_BANDS: Final = {
    TagKind.PASS: (0.17, 8.0),
    TagKind.OUT_OF_SERVICE: (0.26, 12.0),
    TagKind.NEW_TO_SERVICE: (0.22, 10.0),
}
"""How much of the height what the tag is takes, and how many mm at most."""


class Places(NamedTuple):
    """Where the parts of a tag are on its label: rectangles in mm."""

    stripe: QRectF | None
    band: QRectF
    rows: QRectF
    code: QRectF
    number: QRectF
    module: float


def draw_face(painter: QPainter, face: Face, place: QRectF) -> None:
    """Draw a tag on its label; the painter's unit is a mm. Refused where the label is too small for what it says."""
    code = code_of(face.number)
    places, number = _laid_out(face, code, place)
    if face.colour is not None and places.stripe is not None:
        _stripe(painter, places.stripe, face.colour.colour)
    _band(painter, places.band, face)
    _rows(painter, places.rows, face)
    _code(painter, places.code, code, places.module)
    letter(painter, places.number, number, 600, code=True, align=Qt.AlignmentFlag.AlignHCenter)


def check_face(face: Face, place: QRectF) -> None:
    """Refuse a label that is too small for a tag, without drawing it: a date may wrap but is never cut."""
    places, _number = _laid_out(face, code_of(face.number), place)
    high, wide = _row_height(places.rows, face), places.rows.width() - 0.8
    if high < LEAST * LEAD:
        raise _too_small(face, place)
    for line in _lines(face):
        head = line.field in HEADS
        room = QRectF(0, 0, wide, high * SHARES[line.field] * 0.62) if head else QRectF(0, 0, wide * 0.55, high)
        if isinstance(line.value, date) and fitted(_said(line), room, 2.6, 700 if head else 500) is None:
            raise _too_small(face, place)


def _laid_out(face: Face, code: Code, place: QRectF) -> tuple[Places, Fitted]:
    """Return where everything stands; the number takes as much room as it needs to be read whole."""
    for share, foot, least in _TRIES:
        places = _places(face, code, place, share, foot=foot)
        number = fitted(face.number, places.number, 4.2, 600, code=True, lines=2 if foot else 1)
        if places.module and number is not None and number.size >= least:
            return places, number
    raise _too_small(face, place)


_TRIES: Final = (
    *((share, False, 1.8) for share in (0.13, 0.18)), *((share, True, 1.8) for share in (0.1, 0.18)),
    *((share, True, LEAST) for share in (0.1, 0.15, 0.2, 0.25)),
)  # fmt: skip
"""How much of the height the number takes, whether it has a line of its own at the foot, and its least size in mm."""


def _places(face: Face, code: Code, place: QRectF, share: float, *, foot: bool) -> Places:
    """Return where everything stands where the number takes this share of the height."""
    edge = min(max(0.04 * min(place.width(), place.height()), 1.0), 2.2)
    inside = place.adjusted(edge, edge, -edge, -edge)
    stripe = None
    if face.colour is not None:
        wide = min(max(0.06 * place.width(), 2.2), 5.0)
        stripe = QRectF(inside.x(), inside.y(), wide, inside.height())
        inside = inside.adjusted(wide + edge * 0.8, 0, 0, 0)
    share_of_band, most = _BANDS[face.kind]
    high = min(max(share_of_band * place.height(), 3.6), most)
    band = QRectF(inside.x(), inside.y(), inside.width(), high)
    below = inside.adjusted(0, high + edge * 0.6, 0, 0)
    upright = place.height() > 1.2 * place.width()
    number_high = max(share * place.height(), LEAST * LEAD)
    if upright:
        return _upright(stripe, band, below, code, number_high)
    if foot:
        above = below.adjusted(0, 0, 0, -number_high)
        number = QRectF(below.x(), above.bottom(), below.width(), number_high)
        return _lying(stripe, band, above, code, 0.0)._replace(number=number)
    return _lying(stripe, band, below, code, number_high)


def _lying(stripe: QRectF | None, band: QRectF, below: QRectF, code: Code, number_high: float) -> Places:
    """Put the code at the right, its number under it, the rows at the left."""
    number_high = min(number_high, below.height())
    module = code.module_in(min(below.height() - number_high, below.width() * 0.44))
    side = code.across * module
    spot = _on_dots(QRectF(below.right() - side, below.y(), side, side))
    number = QRectF(spot.x(), spot.bottom(), side, min(number_high, below.bottom() - spot.bottom()))
    rows = QRectF(below.x(), below.y(), max(0.0, spot.x() - below.x()), below.height())
    return Places(stripe, band, rows, spot, number, module)


def _upright(stripe: QRectF | None, band: QRectF, below: QRectF, code: Code, number_high: float) -> Places:
    """Put the code at the foot, its number under it, the rows above."""
    module = code.module_in(min(below.height() * 0.5 - number_high, below.width()))
    side = code.across * module
    top = below.bottom() - number_high - side
    spot = _on_dots(QRectF(below.center().x() - side / 2, top, side, side))
    number = QRectF(below.x(), spot.bottom(), below.width(), below.bottom() - spot.bottom())
    rows = QRectF(below.x(), below.y(), below.width(), max(0.0, spot.y() - below.y()))
    return Places(stripe, band, rows, spot, number, module)


def _on_dots(spot: QRectF) -> QRectF:
    """Move a code to the nearest dot up and to the left, so that each of its modules is a whole number of dots."""
    return QRectF(int(spot.x() / DOT) * DOT, int(spot.y() / DOT) * DOT, spot.width(), spot.height())


def _too_small(face: Face, place: QRectF) -> Refused:
    return Refused(
        f"A label of {place.width():g} × {place.height():g} mm is too small for all that stands on the tag"
        f" {face.number}. Choose larger labels."
    )


# --- the parts ---


def _stripe(painter: QPainter, place: QRectF, colour: TagColour) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(INK), 0.2))
    painter.setBrush(QColor(COLOURS[colour]))
    painter.drawRoundedRect(place, 0.6, 0.6)


def _band(painter: QPainter, place: QRectF, face: Face) -> None:
    """Draw what the tag is: black where the item must not be used, white with a rule below otherwise."""
    out = face.kind is TagKind.OUT_OF_SERVICE
    ink = PAPER if out else INK
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if out:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(INK))
        painter.drawRoundedRect(place, 0.6, 0.6)
    else:
        painter.setPen(QPen(QColor(INK), 0.3))
        painter.drawLine(place.bottomLeft(), place.bottomRight())
    inside = place.adjusted(1.2, 0, -1.2, 0) if out else place.adjusted(0, 0, 0, -0.5)
    side = min(inside.height() * 0.82, 6.5)
    glyph(painter, _GLYPHS[face.kind], inside.x(), inside.center().y() - side / 2, side, ink)
    words = inside.adjusted(side + 0.9, 0, 0, 0)
    first = str(face.value(TagField.WARNING) or face.title).upper()
    second = face.title if out else _beside(face)
    if out or face.kind is TagKind.NEW_TO_SERVICE or not _one_line(painter, words, first, second):
        _two_lines(painter, words, first, second, ink)


def _beside(face: Face) -> str:
    """Return what stands beside the title: the standard, or that there was no test; and the name of the colour."""
    said = str(face.value(TagField.UNTESTED) or face.value(TagField.STANDARD) or "")
    return f"{face.colour.colour.upper()} · {said}" if face.colour is not None else said


def _two_lines(painter: QPainter, place: QRectF, first: str, second: str, ink: str) -> None:
    upper = QRectF(place.x(), place.y(), place.width(), place.height() * 0.58)
    lower = QRectF(place.x(), upper.bottom(), place.width(), place.height() * 0.38)
    for room, said, size, weight in ((upper, first, 6.0, 700), (lower, second, 3.0, 500)):
        letter(painter, room, fitted(said, room, size, weight, lines=1) or shortened(said, room, weight), weight,
               colour=ink)  # fmt: skip


def _one_line(painter: QPainter, place: QRectF, first: str, second: str) -> bool:
    """Draw the title and what stands beside it in one line; False where there is no room for all of it."""
    title = fitted(first, QRectF(place.x(), place.y(), place.width() * 0.5, place.height()), 6.0, 700, lines=1)
    end = place.x() + (width_of(first, title.size, 700) if title is not None else 0.0) + 1.4
    room = QRectF(end, place.y(), max(0.0, place.right() - end), place.height())
    said = fitted(second, room, 2.8, 500, lines=1)
    if title is None or said is None:
        return False
    letter(painter, place, title, 700)
    letter(painter, room, said, 500, align=Qt.AlignmentFlag.AlignRight)
    return True


def _rows(painter: QPainter, place: QRectF, face: Face) -> None:
    """Draw what is known of the item, the date of the next test first and largest."""
    high, y = _row_height(place, face), place.y()
    names = max((width_of(line.label, 1.0, 400) for line in _lines(face) if line.field not in UNNAMED), default=0.0)
    size = min(high / LEAD, 2.6)
    for line in _lines(face):
        share = SHARES.get(line.field, 1.0)
        room = QRectF(place.x(), y, place.width() - 0.8, high * share)
        if line.field in HEADS:
            _head(painter, room, line, size)
        else:
            _row(painter, room, line, size, 0.0 if line.field in UNNAMED else names * size + 0.8)
        y += high * share


def _lines(face: Face) -> Iterator[FaceLine]:
    by_field = {line.field: line for line in face.lines}
    return (by_field[field] for field in (*HEADS, *ROWS) if field in by_field)


def _row_height(place: QRectF, face: Face) -> float:
    shares = sum(SHARES.get(line.field, 1.0) for line in _lines(face))
    return min(place.height() / shares, _HIGHEST_ROW)


def _head(painter: QPainter, room: QRectF, line: FaceLine, size: float) -> None:
    label = QRectF(room.x(), room.y() + room.height() * 0.04, room.width(), room.height() * 0.32)
    value = QRectF(room.x(), label.bottom(), room.width(), room.height() * 0.62)
    _put(painter, label, line.label, min(size, 2.2), 500)
    _put(painter, value, _said(line), 6.5, 700)


def _row(painter: QPainter, room: QRectF, line: FaceLine, size: float, name: float) -> None:
    if name:
        wide = min(name, room.width() * 0.45)
        _put(painter, QRectF(room.x(), room.y(), wide - 0.6, room.height()), line.label, size, 400)
        room = room.adjusted(wide, 0, 0, 0)
    _put(painter, room, _said(line), size, 600 if line.field in {TagField.FIRM, TagField.TESTER} else 500)


def _put(painter: QPainter, room: QRectF, said: str, size: float, weight: int) -> None:
    letter(painter, room, fitted(said, room, size, weight) or shortened(said, room, weight), weight)


def _said(line: FaceLine) -> str:
    return shown(line.value) if isinstance(line.value, date) else line.value


def _code(painter: QPainter, spot: QRectF, code: Code, module: float) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    painter.fillRect(spot, QColor(PAPER))
    painter.translate(spot.topLeft() + QPointF(QUIET * module, QUIET * module))
    painter.scale(module, module)
    painter.fillPath(code.outline, QColor(INK))
    painter.restore()

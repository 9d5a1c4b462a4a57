"""The notice for an owner, on the day an item is taken out of service: one sheet, drawn the same for paper and PDF."""

from datetime import date
from pathlib import Path
from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from register.services.withdrawals.listed import OutRow
from ui.asking.photo import draw_picture, image_of
from ui.dates import shown
from ui.look import draw, theme
from ui.paper.pdf import Pdf
from ui.paper.printing import full_page

PAGE: Final = QRectF(0, 0, 595, 842)
"""A4 in points, the unit in which the sheet is drawn."""

MARGIN: Final = 56.0
PHOTO_WIDE, PHOTO_HIGH = 180.0, 135.0
CAUTIONS: Final = (
    "Do not use it, and do not open it yourself. Keep it where nobody plugs it in by mistake.",
    "Repair is licensed work in many places; local codes decide. After a repair it must be tested before it is used.",
    "It returns to service only by a complete pass dated after this day, or leaves for good when you dispose of it.",
)


def draw_notice(painter: QPainter, row: OutRow, firm: str, today: date, photo: bytes = b"") -> None:
    """Draw the sheet in points on an A4 page, with a photo if there is one. Paper is always light."""
    kept = theme.theme.tokens
    theme.theme.tokens = theme.LIGHT
    try:
        _draw(painter, row, firm, today, photo)
    finally:
        theme.theme.tokens = kept


def _draw(painter: QPainter, row: OutRow, firm: str, today: date, photo: bytes) -> None:
    tokens, across, y = theme.LIGHT, PAGE.width() - 2 * MARGIN, MARGIN
    draw.text(painter, QRectF(MARGIN, y, across, 18), firm or "The contractor", 12, 500, tokens.ink2)
    draw.text(painter, QRectF(MARGIN, y, across, 18), shown(today), 12, 400, tokens.ink2, draw.RIGHT)
    y += 44
    draw.text(painter, QRectF(MARGIN, y, across, 32), "Out of service: do not use", 24, 600)
    y += 48
    wide = draw.tag(painter, MARGIN, y, row.tag, 28, 15, 600, tokens.ink2)
    draw.text(painter, QRectF(MARGIN + wide + 12, y, across - wide - 12, 28), row.description, 15, 600)
    y += 44
    beside = PHOTO_WIDE + 20 if photo else 0.0
    if photo:
        draw_picture(painter, QRectF(MARGIN + across - PHOTO_WIDE, y, PHOTO_WIDE, PHOTO_HIGH), image_of(photo))
    below = y + PHOTO_HIGH if photo else y
    for head, said in _facts(row):
        draw.text(painter, QRectF(MARGIN, y, 110, 20), head, 12, 500, tokens.ink3)
        wide = across - 120 - beside
        y = max(y + 20, draw.paragraph(painter, QPointF(MARGIN + 120, y + 1), wide, said, 13, 400)) + 6
    y = max(y, below) + 12
    draw.across(painter, MARGIN, MARGIN + across, y, tokens.rule)
    y += 18
    draw.text(painter, QRectF(MARGIN, y, across, 20), "What to do now", 15, 600)
    y += 30
    for number, said in enumerate(CAUTIONS, start=1):
        draw.text(painter, QRectF(MARGIN, y, 20, 20), f"{number}", 13, 600)
        y = draw.paragraph(painter, QPointF(MARGIN + 24, y), across - 24, said, 13) + 8
    y += 20
    draw.text(painter, QRectF(MARGIN, y, across, 20), "Your decision", 15, 600)
    y += 32
    for said in ("Repair it and have it tested", "Dispose of it", "Ask us back"):
        draw.box(painter, QRectF(MARGIN, y, 14, 14), None, tokens.ink2, 2)
        draw.text(painter, QRectF(MARGIN + 24, y - 3, across, 20), said, 13)
        y += 26
    y += 34
    draw.across(painter, MARGIN, MARGIN + 220, y, tokens.ink2)
    draw.across(painter, MARGIN + across - 160, MARGIN + across, y, tokens.ink2)
    draw.text(painter, QRectF(MARGIN, y + 4, 220, 16), "Name and signature", 11, 400, tokens.ink3)
    draw.text(painter, QRectF(MARGIN + across - 160, y + 4, 160, 16), "Date", 11, 400, tokens.ink3)


def _facts(row: OutRow) -> list[tuple[str, str]]:
    found = [
        ("Where", f"{row.site}, {row.area}"),
        ("Responsible", row.owner),
        ("Since", shown(row.since)),
        ("Why", row.detail or row.short),
    ]
    if row.tag_number:
        found.append(("Out-of-service tag", row.tag_number))
    return found


def write_notice(path: Path, row: OutRow, firm: str, today: date, photo: bytes = b"") -> None:
    """Write the sheet as a PDF, with a photo if there is one; Refused or Unavailable where that can't be done."""
    pdf = Pdf(path, f"Out of service: {row.tag}")
    full_page(pdf.writer)
    painter = QPainter(pdf.writer)
    painter.scale(pdf.writer.width() / PAGE.width(), pdf.writer.height() / PAGE.height())
    draw_notice(painter, row, firm, today, photo)
    painter.end()
    pdf.put()

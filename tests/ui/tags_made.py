"""Tags for tests, and two readers that know nothing of the program: of codes, and of PDF files."""

from datetime import date
from pathlib import Path
from typing import Any

import pypdfium2
import zxingcpp
from PySide6.QtGui import QImage

from register.domain.tag_face import Face, TagFacts, face_of
from register.domain.tag_words import TagField, TagKind
from register.services.rulebooks import rulebook

MM = 1 / 72 * 25.4
"""The unit of a PDF in mm."""

LONG = "RR-EXTRA-LONG-NUMBER/2026-000000123456789-ABCDEFGHIJKLMNOPQRSTUV"


def passed(number: str, environment: str = "workshop") -> Face:
    values = {
        TagField.TESTED: date(2026, 11, 24), TagField.RETEST: date(2027, 2, 24), TagField.TESTER: "Asha Pell",
        TagField.LICENCE: "L 4417-A", TagField.FIRM: "Corran Bay Test & Tag",
    }  # fmt: skip
    return face_of(TagFacts(TagKind.PASS, number, environment, values), rulebook("au-in-service"))


def out(number: str, reason: str = "512 ms, at most 300 ms") -> Face:
    values = {TagField.WITHDRAWN: date(2026, 11, 24), TagField.REASON: reason, TagField.OUT_NUMBER: "OUT-000017"}
    return face_of(TagFacts(TagKind.OUT_OF_SERVICE, number, "workshop", values), rulebook("au-in-service"))


def new(number: str) -> Face:
    values = {TagField.IN_SERVICE: date(2026, 11, 24), TagField.RETEST: date(2027, 11, 24)}
    return face_of(TagFacts(TagKind.NEW_TO_SERVICE, number, "workshop", values), rulebook("au-in-service"))


def grey(image: QImage) -> memoryview:
    """Return a picture as rows of grey bytes."""
    plain = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = [bytes(plain.constScanLine(y))[: plain.width()] for y in range(plain.height())]
    return memoryview(b"".join(rows)).cast("B", (plain.height(), plain.width()))


def read_in(image: QImage) -> list[Any]:
    """Return all codes that an independent reader finds in a picture, each with its text and corners."""
    return list(zxingcpp.read_barcodes(grey(image), formats=zxingcpp.BarcodeFormat.QRCode))


def codes_in(image: QImage) -> list[str]:
    """Return the texts of all codes that an independent reader finds in a picture."""
    return [found.text for found in read_in(image)]


def pages_of(path: Path, dots: float) -> list[QImage]:
    """Return the pages of a PDF as another program draws them, with so many dots to the mm."""
    document = pypdfium2.PdfDocument(path)
    images = []
    for page in document:
        bitmap = page.render(scale=dots * MM, grayscale=True)
        raw = bytes(bitmap.buffer)
        image = QImage(raw, bitmap.width, bitmap.height, bitmap.stride, QImage.Format.Format_Grayscale8)
        images.append(image.copy())
    document.close()
    return images


def sizes_of(path: Path) -> list[tuple[float, float]]:
    """Return the sizes of a PDF's pages in mm."""
    document = pypdfium2.PdfDocument(path)
    sizes = [tuple(side * MM for side in page.get_size()) for page in document]
    document.close()
    return [(wide, high) for wide, high in sizes]


def words_of_pdf(path: Path) -> str:
    """Return the text of a PDF's first page."""
    document = pypdfium2.PdfDocument(path)
    text = document[0].get_textpage().get_text_bounded()
    document.close()
    return str(text)


def dark_bounds(image: QImage, dots: float) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of all that is dark, in mm."""
    rows = grey(image)
    high, wide = rows.shape
    data = rows.tobytes()
    dark_rows = [y for y in range(high) if min(data[y * wide : (y + 1) * wide]) < 128]
    dark_columns = [x for x in range(wide) if min(data[x::wide]) < 128]
    return dark_columns[0] / dots, dark_rows[0] / dots, (dark_columns[-1] + 1) / dots, (dark_rows[-1] + 1) / dots

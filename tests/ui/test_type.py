"""The type: what is drawn can be searched for in a PDF, and figures have one width."""

from pathlib import Path

import pypdfium2
import pytest
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter, QPdfWriter

from ui.look.typeface import font, width

LINES = (
    "0123456789 .,:; (A)-[B] l I O 08:30 – 10:45",  # noqa: RUF001 - dashes are a part of what is printed
    "RCD-000123 l1I0O ß -37.9 28.4 ms 19 MΩ",
    "fi fl ffi → × ≤ ≥ Ω Über naïve ‘x’ … Łódź",  # noqa: RUF001 - as it is typed
    "!\"#$%&'()*+,-./:;<=>?@[]^_`{|}~ABCXYZabcxyz",
)  # fmt: skip


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("code", [False, True], ids=["text", "code"])
@pytest.mark.parametrize("size", [11, 24])
@pytest.mark.parametrize("weight", [400, 500, 600])
def test_every_letter_can_be_found_in_a_pdf(tmp_path: Path, size: int, weight: int, code: bool) -> None:  # noqa: FBT001 - a case
    writer = QPdfWriter(str(tmp_path / "type.pdf"))
    writer.setResolution(72)
    painter = QPainter(writer)
    painter.setFont(font(size, weight, code=code))
    for number, line in enumerate(LINES):
        painter.drawText(QPointF(10, 40 * (number + 1)), line)
    painter.end()
    document = pypdfium2.PdfDocument(tmp_path / "type.pdf")
    assert document[0].get_textpage().get_text_bounded().splitlines() == list(LINES)
    document.close()


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("code", [False, True], ids=["text", "code"])
def test_figures_of_tables_have_one_width(code: bool) -> None:  # noqa: FBT001 - a case
    assert len({round(width(figure * 9, code=code)) for figure in "0123456789"}) == 1

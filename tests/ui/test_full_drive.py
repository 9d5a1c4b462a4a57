"""Pages that are written as a PDF to a drive that is full: an earlier one is as it was, and nothing is beside it."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtGui import QFont, QPainter

from register.errors import Unavailable
from register.services.tag_stock import stock
from tests.ui.tags_made import passed
from ui.paper.printing import write_pdf
from ui.tags import printing
from ui.tags.sheet import laid_out

EARLIER = b"what was written last week"
SHEET = stock("sheet-62x38")


class Lines:
    """Pages full of words."""

    count = 40

    def draw(self, painter: QPainter, number: int) -> None:
        painter.setFont(QFont("DejaVu Sans", 9))
        for line in range(60):
            painter.drawText(40, 40 + 12 * line, f"{number}.{line} {'%05d ' * 8 % tuple(range(line, line + 8))}")


def tags(path: Path) -> None:
    printing.write_pdf(path, laid_out([passed(f"RR-{number:06}") for number in range(400)], SHEET), "Tags")


def pages(path: Path) -> None:
    write_pdf(path, Lines(), "Lines")


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("write", [tags, pages])
@pytest.mark.parametrize("room", [0, 20_000])
def test_an_earlier_pdf_is_as_it_was_and_nothing_is_left(stick: Path, write: Callable[[Path], None], room: int) -> None:
    file, rest = stick / "pages.pdf", stick / "rest"
    file.write_bytes(EARLIER)
    rest.write_bytes(bytes(shutil.disk_usage(stick).free - room))
    said = rf"^The drive {stick} is full, so pages\.pdf was not written; an earlier one is as it was\. Free [\d.,]+ MB"
    with pytest.raises(Unavailable, match=said):
        write(file)
    assert file.read_bytes() == EARLIER
    assert sorted(each.name for each in stick.iterdir()) == ["pages.pdf", "rest"]
    rest.unlink()
    write(file)
    assert file.read_bytes().startswith(b"%PDF")

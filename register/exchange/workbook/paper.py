"""How a sheet prints: A4, one page wide, its heading row on every page, site and day above, page number below."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from register.domain.explain import day_words
from register.exchange.workbook.cells import clean

LONGEST_PART: Final = 70
"""Characters of one third of a header; all thirds together may hold 255 (ECMA-376 part 1, oddHeader)."""


@dataclass(frozen=True, slots=True)
class PageText:
    """What stands at the head and foot of every page; of what is still to come no day is said."""

    site: str
    firm: str
    as_at: date | None


def set_up_page(sheet: Worksheet, text: PageText, *, landscape: bool = True, named: bool = True) -> None:
    """Set a sheet up for print; `named` puts the sheet's name at the head of each page."""
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    margins = sheet.page_margins
    margins.left = margins.right = 0.45
    margins.top = margins.bottom = 0.75
    margins.header = margins.footer = 0.35
    head, foot = sheet.oddHeader, sheet.oddFooter
    assert head is not None, "a new sheet has a header"
    assert foot is not None, "a new sheet has a footer"
    head.left.text = _literal(text.site)
    head.center.text = "&A" if named else None
    head.right.text = None if text.as_at is None else f"As at {day_words(text.as_at)}"
    foot.left.text = _literal(text.firm)
    foot.right.text = "Page &P of &N"


def _literal(text: str) -> str:
    """Return text for a header, where an ampersand starts a code unless doubled."""
    return shortened(text, LONGEST_PART).replace("&", "&&")


def shortened(text: str, most: int) -> str:
    """Return text on one line of at most so many characters, its end replaced by … where it is longer."""
    line = " ".join(clean(text).split())
    return line if len(line) <= most else line[: most - 1] + "…"

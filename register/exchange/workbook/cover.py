"""The cover: whose register this is, as at which day, how things stand, what is in the book and by which rules."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from openpyxl.styles import Font, PatternFill
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from register.domain.explain import day_words
from register.exchange.workbook.book import BookWriter
from register.exchange.workbook.cells import Value, cell_at, put
from register.exchange.workbook.columns import Sheet
from register.exchange.workbook.heights import line_count, row_height
from register.exchange.workbook.looks import ACCENT, FIGURE, FONT, LABEL, LINK, LONG_DAY, PROSE, SECTION, TITLE, TONES
from register.exchange.workbook.paper import PageText, set_up_page, shortened
from register.exchange.workbook.wording import MEANING, standing_word
from register.services.owners.rows import OwnerReport

COVER: Final = "Cover"
IN_BOOK: Final = "In this book"
"""Over the list of sheets."""

HEAD_LETTERS: Final = 8
"""So many letters of the chain's head are printed: enough to tell two registers apart, short enough to copy."""

OWNER_CAUTIONS: Final = (
    # for rulebooks that bring none of their own;
    # Model WHS Regulations r 149; common practice of the trade for the other three, no source
    "A failed or damaged item is unplugged, tagged and kept out of use until it is repaired and has passed a test.",
    "A test button that works is not a passed test: the operating time still has to be measured.",
    "A safety switch that trips often has found a fault. Have the cause found, and never bypass the switch.",
    "A safety switch does not protect someone who touches both conductors, active and neutral.",
)
NOT_A_CERTIFICATE: Final = (
    "This book reminds and keeps records. It does not certify that anything is safe: local codes and licensed practice "
    "decide."
)

_TITLE_LETTERS: Final = 52
_SECTION_POINTS: Final = 26
_ONE_PAGE_POINTS: Final = 1100
"""A cover up to so high is printed smaller to stay on one page; a longer one goes on."""

_WIDTHS: Final = {"A": 22.0, "B": 88.0, "C": 8.0}


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the cover: a label, what there is to say, and a figure. `style` is that of the text."""

    label: str = ""
    text: Value = None
    figure: Value = None
    style: str = PROSE
    link: str = ""
    standing: bool = False


def write_cover(book: BookWriter, report: OwnerReport, sheets: Iterable[Sheet[Any]], page: PageText) -> None:
    """Write the first sheet of the book, when the others are there to be counted."""
    target = book.new_sheet(COVER, place=0)
    target.sheet_properties.tabColor = ACCENT
    target.sheet_view.showGridLines = False
    set_up_page(target, page, landscape=False, named=False)
    for letter, width in _WIDTHS.items():
        target.column_dimensions[letter].width = width
    put(cell_at(target, 1, 1), shortened(page.site, _TITLE_LETTERS), TITLE)
    target.row_dimensions[1].height = _SECTION_POINTS
    number = 2
    for heading, lines in sections(report, sheets, book.rows):
        _write_heading(target, number, heading)
        for offset, line in enumerate(lines, start=1):
            _write_line(target, number + offset, line)
        number += 1 + len(lines)
    target.print_area = f"A1:C{number - 1}"
    if sum(target.row_dimensions[row].height for row in range(1, number)) <= _ONE_PAGE_POINTS:
        target.page_setup.fitToHeight = 1


def _write_heading(target: Worksheet, number: int, heading: str) -> None:
    target.row_dimensions[number].height = _SECTION_POINTS
    for column in (1, 2, 3):
        put(cell_at(target, number, column), heading if column == 1 else None, SECTION)


def _write_line(target: Worksheet, number: int, line: Line) -> None:
    label = cell_at(target, number, 1)
    put(label, line.label, LINK if line.link else LABEL)
    if line.link:
        label.hyperlink = Hyperlink(ref=label.coordinate, location=f"'{line.link}'!A1")
    if line.standing:
        tone = TONES[line.label]
        label.font = Font(name=FONT, size=10, bold=tone.strong, color=tone.text)
        if not tone.quiet:
            label.fill = PatternFill("solid", fgColor=tone.soft)
    put(cell_at(target, number, 2), line.text, line.style)
    lines = line_count(line.text, _WIDTHS["B"]) if isinstance(line.text, str) else 1
    target.row_dimensions[number].height = row_height(max(lines, line_count(line.label, _WIDTHS["A"])))
    put(cell_at(target, number, 3), line.figure, FIGURE)


def sections(
    report: OwnerReport, sheets: Iterable[Sheet[Any]], rows: Mapping[str, int]
) -> Iterable[tuple[str, list[Line]]]:
    """Yield the sections of the cover with their lines; `rows` tells how many each sheet has, by its title."""
    yield "Register of safety switches and appliances", list(_heads(report))
    yield "How the items stand", list(_standings(report))
    yield IN_BOOK, [Line(sheet.title, sheet.about, rows[sheet.title], link=sheet.title) for sheet in sheets]
    yield "Cautions", [Line(text=each) for each in cautions_of(report)]
    yield "Proof", list(_proof(report))


def _heads(report: OwnerReport) -> Iterable[Line]:
    site = report.site
    yield Line("As at", report.as_at, style=LONG_DAY)
    facts = {
        "Owner": report.owner,
        "Site": ", ".join(part for part in (site.code, site.name, site.address) if part),
        "Environment class": site.environment and f"{site.environment}, unless an area or an item has its own.",
        "Rulebook": site.rulebook,
        "Kept by": ", ".join(part for part in (report.firm, report.firm_contact) if part),
    }
    yield from (Line(label, text) for label, text in facts.items() if text)


def _standings(report: OwnerReport) -> Iterable[Line]:
    counts = report.figures.standings
    for standing, meaning in MEANING.items():
        yield Line(standing_word(standing), meaning, counts.get(standing, 0), standing=True)
    yield Line("All items", "", sum(counts.values()))


def cautions_of(report: OwnerReport) -> Iterable[str]:
    """Yield what the owner must not overlook, the rulebook's own cautions where it has any."""
    yield from dict.fromkeys(report.cautions or OWNER_CAUTIONS)
    if not any("certif" in each for each in report.cautions):
        yield NOT_A_CERTIFICATE


def _proof(report: OwnerReport) -> Iterable[Line]:
    yield Line("Recorded events", f"{report.events:,}")
    yield Line("Check mark of the last", report.chain_head[:HEAD_LETTERS])
    before = report.last_sent
    if before is not None:
        said = f"{day_words(before.on)}: {before.events:,} events, check mark {before.chain_head[:HEAD_LETTERS]}"
        yield Line("The book before", said)
    yield Line(
        text="Everything that changes the register is recorded as an event, each bound to the one before. With these "
        "two figures a later check shows whether anything recorded up to this day has been altered since."
    )

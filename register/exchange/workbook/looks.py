"""How the workbook looks: the product's light tokens as cell styles, and the rules that colour a standing.

The fonts are named: without a name a heading comes out in a serif face in some programs.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from openpyxl.formatting.rule import Rule
from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.workbook import Workbook

from register.domain.words import Result, Standing
from register.exchange.workbook.wording import IN_TIME, LATE, standing_word, verdict_word

FONT: Final = "Calibri"
INK: Final = "1B1D1F"
INK2: Final = "4C4F52"
INK3: Final = "65676A"
ACCENT: Final = "0B587F"
GROUND: Final = "F5F3EE"
HAIR: Final = "E2DED5"
RULE: Final = "BFBAAE"
ANSWER_GROUND: Final = "FFFDF5"


@dataclass(frozen=True, slots=True)
class Tone:
    """The colours of one standing: its word, its mark, and the ground of a cell that holds it.

    `strong` words are bold; `quiet` ones stand on no ground, so that only what asks for something stands out.
    """

    text: str
    fill: str
    soft: str
    strong: bool = False
    quiet: bool = False


_ALARM: Final = Tone("A63A00", "C44A00", "FBE9DE", strong=True)
_SOON: Final = Tone("7A5300", "B77B00", "FBF1DA")
_GOOD: Final = Tone("00664A", "00855F", "DFF1EA", quiet=True)
_OUT: Final = Tone("86306A", "B2558F", "F6E7F0", strong=True)
_OPEN: Final = Tone("495867", "6A7986", "E9EDF0")
_GONE: Final = Tone("65676A", "6A7986", "E9EDF0", quiet=True)

_ALARM_DOTS: Final = "EFB08A"

TONES: Final[dict[str, Tone]] = {
    standing_word(Standing.OVERDUE): _ALARM,
    standing_word(Standing.WITHDRAWN): _OUT,
    standing_word(Standing.DUE_SOON): _SOON,
    standing_word(Standing.UNTESTED): _OPEN,
    standing_word(Standing.IN_SERVICE): _GOOD,
    standing_word(Standing.REMOVED): _GONE,
    verdict_word(Result.FAIL): _ALARM,
    verdict_word(Result.INCOMPLETE): _OPEN,
    verdict_word(Result.PASS): _GOOD,
    LATE: _ALARM,
    IN_TIME: _GOOD,
}
"""The tone of each word that says where something stands. The word is always written; the colour only helps."""


class CellKind(StrEnum):
    """What a cell holds, and so how it is written, aligned and formatted."""

    TEXT = "text"
    PROSE = "prose"
    LONG = "long text"
    CODE = "code"
    STANDING = "standing"
    DATE = "date"
    COUNT = "count"
    DAYS_LEFT = "days left"
    BOUND = "bound"
    MEASURED = "measured"
    HALF_CYCLE = "half-cycle"
    MULTIPLE = "multiple"
    ANSWER = "answer"
    ANSWER_DAY = "answered day"
    BOX = "box to tick"
    MARK = "row mark"


RIGHT: Final = frozenset(
    {
        CellKind.DATE,
        CellKind.COUNT,
        CellKind.DAYS_LEFT,
        CellKind.BOUND,
        CellKind.MEASURED,
        CellKind.HALF_CYCLE,
        CellKind.MULTIPLE,
        CellKind.ANSWER_DAY,
    }
)
"""Kinds aligned at the right, as figures and dates are."""

ANSWERS: Final = frozenset({CellKind.ANSWER, CellKind.ANSWER_DAY})
"""Kinds that the owner fills in: framed and on a ground of their own."""

WRAPPED: Final = frozenset({CellKind.TEXT, CellKind.PROSE, CellKind.LONG, CellKind.CODE, CellKind.ANSWER})
"""Kinds whose text goes on in a further line."""

DAY_FORMAT: Final = "yyyy-mm-dd"
LONG_DAY_FORMAT: Final = "dddd d mmmm yyyy"

_FORMATS: Final = {
    CellKind.CODE: "@",
    CellKind.DATE: DAY_FORMAT,
    CellKind.ANSWER_DAY: DAY_FORMAT,
    CellKind.MARK: "@",
    CellKind.COUNT: "0",
    CellKind.DAYS_LEFT: '0" left";0" over";"today"',
    CellKind.HALF_CYCLE: '0"°"',
    CellKind.MULTIPLE: '[<1]0.0"×";0"×"',
}

HEADING: Final = "register heading"
HEADING_RIGHT: Final = "register heading right"
NOTICE: Final = "register notice"
TITLE: Final = "register title"
SECTION: Final = "register section"
LABEL: Final = "register label"
LINK: Final = "register link"
PROSE: Final = "register cover text"
FIGURE: Final = "register figure"
LONG_DAY: Final = "register long day"


def cell_style(kind: CellKind) -> str:
    """Return the name of the style in which cells of a kind are written."""
    return f"register {kind.value}"


def register_styles(book: Workbook) -> None:
    """Give the book every named style, so that a reviewer's own sheets can use them too."""
    body = Font(name=FONT, size=10, color=INK)
    line = Border(bottom=Side("thin", color=HAIR))
    for kind in CellKind:
        right = kind in RIGHT
        alignment = Alignment(
            horizontal="right" if right else "left",
            vertical="top" if kind is CellKind.LONG else "center",
            indent=1,
            wrap_text=kind in WRAPPED,
        )
        edges = _box() if kind in ANSWERS or kind is CellKind.BOX else line
        fill = PatternFill("solid", fgColor=ANSWER_GROUND) if kind in ANSWERS else None
        _add(
            book, cell_style(kind), body, alignment, border=edges, fill=fill,
            number_format=_FORMATS.get(kind, "General"),
        )  # fmt: skip
    head = Font(name=FONT, size=10, bold=True, color=INK2)
    under = Border(bottom=Side("medium", color=ACCENT))
    ground = PatternFill("solid", fgColor=GROUND)
    for name, side, indent in ((HEADING, "left", 1), (HEADING_RIGHT, "right", 2)):
        alignment = Alignment(horizontal=side, vertical="bottom", indent=indent, wrap_text=True)
        _add(book, name, head, alignment, border=under, fill=ground)
    _add(book, NOTICE, Font(name=FONT, size=12, color=INK2), Alignment(vertical="center"))
    _cover_styles(book, body)


def _box() -> Border:
    edge = Side("thin", color=RULE)
    return Border(left=edge, right=edge, top=edge, bottom=edge)


def _cover_styles(book: Workbook, body: Font) -> None:
    top = Alignment(vertical="center", wrap_text=True)
    right = Alignment(horizontal="right", vertical="center")
    line = Border(bottom=Side("thin", color=HAIR))
    under = Border(bottom=Side("medium", color=ACCENT))
    _add(book, TITLE, Font(name=FONT, size=20, bold=True, color=INK), Alignment(vertical="center"))
    section = Font(name=FONT, size=12, bold=True, color=ACCENT)
    _add(book, SECTION, section, Alignment(vertical="bottom"), border=under)
    _add(book, LABEL, Font(name=FONT, size=10, color=INK2), top, border=line)
    _add(book, LINK, Font(name=FONT, size=10, color=ACCENT, underline="single"), top, border=line)
    _add(book, PROSE, body, top, border=line)
    _add(book, FIGURE, Font(name=FONT, size=10, bold=True, color=INK), right, border=line, number_format="0")
    day = Alignment(horizontal="left", vertical="center")
    _add(
        book, LONG_DAY, Font(name=FONT, size=10, bold=True, color=INK), day, border=line, number_format=LONG_DAY_FORMAT
    )


def _add(
    book: Workbook,
    name: str,
    font: Font,
    alignment: Alignment,
    *,
    border: Border | None = None,
    fill: PatternFill | None = None,
    number_format: str = "General",
) -> None:
    style = NamedStyle(name=name, number_format=number_format)
    style.font = font
    style.alignment = alignment
    style.border = border or Border()
    style.fill = fill or PatternFill()
    book.add_named_style(style)


def row_rule(formula: str, *, bold: bool) -> Rule:
    """Return the rule that marks the cells of the rows a formula picks out: framed and patterned, perhaps bold.

    Grey print shows it too. A rule and not a fixed format, because borders stay behind when the reader sorts.
    """
    look = DifferentialStyle(font=Font(bold=True, color=INK) if bold else None)
    look.border, look.fill = _marked_border(), _marked_fill()
    return Rule(type="expression", dxf=look, formula=[formula])


def word_rules(cell: str, mark: str) -> list[Rule]:
    """Return the rules that give each word in a column its tone; `cell` is the column's first one.

    No two of them fit one cell: some programs let only the first apply. So the word that marks a row is framed and
    patterned by its own rule.
    """
    return [
        Rule(type="expression", dxf=_word_look(tone, marked=word == mark), formula=[f'{cell}="{word}"'])
        for word, tone in TONES.items()
    ]


def _word_look(tone: Tone, *, marked: bool) -> DifferentialStyle:
    look = DifferentialStyle(font=Font(bold=tone.strong, color=tone.text))
    if marked:
        look.border, look.fill = _marked_border(), _marked_fill()
    elif not tone.quiet:
        look.fill = PatternFill("solid", bgColor=tone.soft)
    return look


def _marked_border() -> Border:
    edge = Side("thin", color=_ALARM.text)
    return Border(top=edge, bottom=edge)


def _marked_fill() -> PatternFill:
    return PatternFill("gray125", fgColor=_ALARM_DOTS, bgColor=_ALARM.soft)

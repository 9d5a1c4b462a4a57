"""The sheet of figures, and charts over them that can be told apart in a grey print, too."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from openpyxl.chart import BarChart, Reference, Series
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties
from openpyxl.worksheet.worksheet import Worksheet

from register.domain.explain import month_words, short_day
from register.exchange.workbook.columns import Column, Sheet
from register.exchange.workbook.looks import ACCENT, INK2, CellKind
from register.exchange.workbook.wording import MEANING, standing_word
from register.services.owners.rows import Figures, OwnerReport, Streamed

FIGURES: Final = "In figures"
NUMBER: Final = "Number"
"""The column of what is counted, for which bars are drawn."""

STANDINGS: Final = "Items by standing"
WEEKS: Final = "Duties due by week"
MONTHS: Final = "Tests by month"

_LIGHT: Final = "A9C6D6"
_Pattern: TypeAlias = Literal["wdUpDiag", "pct20"]
_PARTS: Final[tuple[tuple[int, str, _Pattern | None], ...]] = (
    (3, "All", None), (4, "Failed", "wdUpDiag"), (5, "Incomplete", "pct20"),
)  # fmt: skip
"""The columns that bars are drawn for, with the pattern that fills them."""

_WIDE, _HIGH, _APART = 17.0, 6.6, 12
"""Size of a chart in cm, and the rows from one to the next."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: what is counted, in which group, how many; of tests also how many failed or were incomplete."""

    what: str
    group: str
    number: int
    failed: int | None = None
    incomplete: int | None = None


def figures_sheet(report: OwnerReport) -> Sheet[Figure]:
    """Return the sheet of figures that the charts are drawn from."""
    return Sheet(
        title=FIGURES,
        table="Figures",
        about="How the items stand, what falls due week by week, and the tests month by month, as charts.",
        empty="There is nothing to count yet.",
        colour=ACCENT,
        columns=(
            Column("What is counted", 21, CellKind.TEXT, lambda row: row.what),
            Column("Group", 17, CellKind.TEXT, lambda row: row.group),
            Column(NUMBER, 10, CellKind.COUNT, lambda row: row.number),
            Column("Of these failed", 10, CellKind.COUNT, lambda row: row.failed),
            Column("Of these incomplete", 14.5, CellKind.COUNT, lambda row: row.incomplete),
        ),
        rows=Streamed(lambda: figures_of(report.figures)),
        marked="",
        held=2,
        one_page=True,
    )


def figures_of(counted: Figures) -> Iterator[Figure]:
    """Yield the figures, in the order in which the charts take them; none where nothing was counted."""
    if not counted.standings:
        return
    for standing in MEANING:
        yield Figure(STANDINGS, standing_word(standing), counted.standings.get(standing, 0))
    for week in counted.weeks:
        yield Figure(WEEKS, short_day(week.monday), week.duties)
    for month in counted.months:
        every = month.passed + month.failed + month.incomplete
        yield Figure(MONTHS, month_words(month.first), every, month.failed, month.incomplete)


def draw_charts(target: Worksheet, counted: Figures) -> None:
    """Draw a chart for each kind of figure beside the table."""
    rows = list(figures_of(counted))
    place = 1
    for what in (STANDINGS, WEEKS, MONTHS):
        numbers = [number for number, row in enumerate(rows, start=2) if row.what == what]
        if numbers:
            chart = _chart(target, what, numbers[0], numbers[-1])
            target.add_chart(chart, f"G{place}")
            place += _APART


def _chart(target: Worksheet, what: str, first: int, last: int) -> BarChart:
    chart = BarChart()
    chart.type = "bar" if what == STANDINGS else "col"
    chart.title, chart.width, chart.height = what, _WIDE, _HIGH  # type: ignore[assignment]  # cm, and not whole ones
    chart.gapWidth = 45
    for column, title, pattern in _PARTS if what == MONTHS else _PARTS[:1]:
        series = Series(Reference(target, min_col=column, min_row=first, max_row=last), title=title)
        series.graphicalProperties = _look(pattern)
        series.dLbls = _labels()
        chart.series.append(series)
    chart.set_categories(Reference(target, min_col=2, min_row=first, max_row=last))
    if what != MONTHS:
        chart.legend = None
    else:
        chart.legend.position = "b"
        chart.overlap = 0
    chart.layout = Layout(manualLayout=ManualLayout(x=0.02, y=0.16, w=0.94, h=0.66 if what == MONTHS else 0.76))
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.majorGridlines = None
    chart.y_axis.number_format = "0"
    chart.y_axis.scaling.min = 0
    if what == STANDINGS:
        chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.txPr = chart.y_axis.txPr = _letters(800)
    return chart


def _look(pattern: _Pattern | None) -> GraphicalProperties:
    """Return a bar's look: an outline, and a light ground or a pattern, so that grey print tells the bars apart."""
    look = GraphicalProperties(ln=LineProperties(solidFill=INK2, w=9_525))
    if pattern is None:
        look.solidFill = _LIGHT
    else:
        ink, paper = ColorChoice(srgbClr="1B1D1F"), ColorChoice(srgbClr="FFFFFF")  # type: ignore[arg-type]
        look.pattFill = PatternFillProperties(prst=pattern, fgClr=ink, bgClr=paper)
    return look


def _labels() -> DataLabelList:
    labels = DataLabelList()
    labels.showVal = True
    labels.showSerName = labels.showCatName = labels.showLegendKey = labels.showPercent = False
    labels.txPr = _letters(800)
    return labels


def _letters(size: int) -> RichText:
    looks = CharacterProperties(sz=size)
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=looks), endParaRPr=looks)])

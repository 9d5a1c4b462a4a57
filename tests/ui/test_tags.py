"""Tags on paper: every code is read by another program, every label is in its place, nothing is cut."""

import re
from collections import Counter
from dataclasses import replace
from itertools import groupby
from pathlib import Path

import pytest
import segno
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from register.domain.tag_face import Face
from register.domain.tag_stock import Stock, stock_of
from register.errors import Refused, Unavailable
from register.services.tag_stock import stock, stocks_known
from tests.ui.tags_made import LONG, codes_in, dark_bounds, new, out, pages_of, passed, read_in, sizes_of, words_of_pdf
from ui.look import theme
from ui.tags.code import QUIET, code_of
from ui.tags.face import COLOURS, draw_face
from ui.tags.lettering import LEAST, Fitted, fitted, shortened
from ui.tags.masking import modules_of
from ui.tags.printing import write_pdf, write_test_page
from ui.tags.sheet import laid_out, picture

SHEET = stock("sheet-62x38")
ROLL = stock("roll-50x25")


def on_one(face: Face, labels: Stock, dots: float = 8) -> QImage:
    """Return a tag alone on the first label of its page."""
    return picture(laid_out([face], labels), 0, dots)


def test_every_code_of_240_tags_is_read_at_203_dpi_as_its_number() -> None:
    numbers = [f"RR-{number:06d}" for number in range(240)]
    sheets = laid_out([passed(number) for number in numbers], SHEET)
    read = [text for page in range(len(sheets.pages)) for text in codes_in(picture(sheets, page))]
    assert sorted(read) == numbers


@pytest.mark.parametrize("labels", stocks_known(), ids=lambda each: each.id)
@pytest.mark.parametrize(
    "face",
    [passed("RR-000123"), passed("RR-000123", "construction"), out("RR-000124"), new("RR-000125"), passed(LONG),
     passed("7"), passed("ÄÖ_7 X")],
    ids=["pass", "colour", "out", "new", "long", "short", "foreign"],
)  # fmt: skip
def test_each_sort_of_tag_is_read_from_each_format(labels: Stock, face: Face) -> None:
    assert codes_in(on_one(face, labels)) == [face.number]


@pytest.mark.parametrize("text", ["1", "RR-000123", LONG, "ÄÖ_7 X", "A" * 64])
def test_the_outline_of_a_code_covers_exactly_its_dark_modules(text: str) -> None:
    code = code_of(text)
    image = QImage(code.modules, code.modules, QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    painter.fillPath(code.outline, QColor("black"))
    painter.end()
    drawn = [[image.pixelColor(x, y).red() < 128 for x in range(code.modules)] for y in range(code.modules)]
    assert drawn == modules_of(text)


def made_with(text: str, mask: int) -> list[list[bool]]:
    other = {} if text.isascii() else {"encoding": "utf-8", "eci": True}
    made = segno.make_qr(text, error="q", boost_error=False, mask=mask, **other)
    assert made.error == "Q"
    return [[bool(module) for module in row] for row in made.matrix]


def counted_faults(modules: list[list[bool]]) -> int:
    """The points against a symbol, counted one by one along its lines."""
    size = len(modules)
    lines = ["".join("01"[dark] for dark in row) for row in [*modules, *map(list, zip(*modules, strict=True))]]
    runs = sum(len(run) - 2 for line in lines for run in re.findall("0{5,}|1{5,}", line))
    blocks = sum(
        len({modules[y][x], modules[y][x + 1], modules[y + 1][x], modules[y + 1][x + 1]}) == 1
        for y in range(size - 1)
        for x in range(size - 1)
    )
    wide = [f"0000{line}0000" for line in lines]
    like = sum(
        line[at : at + 7] == "1011101" and "0000" in {line[at - 4 : at], line[at + 7 : at + 11]}
        for line in wide
        for at in range(4, size + 4)
    )
    share = sum(map(sum, modules)) / size**2
    return runs + 3 * blocks + 40 * like + 10 * int(abs(share * 100 - 50) / 5)


@pytest.mark.parametrize("text", ["1", "RR-000123", LONG, "ÄÖ_7 X", *(f"BW-{number:06d}" for number in range(40))])
def test_the_mask_is_the_one_with_the_fewest_faults(text: str) -> None:
    every = [made_with(text, mask) for mask in range(8)]
    chosen = modules_of(text)
    assert chosen in every
    assert counted_faults(chosen) == min(map(counted_faults, every))


def test_a_usual_number_is_held_in_capitals_and_figures_alone() -> None:
    assert segno.make_qr("RR-000123", error="q", boost_error=False).mode == "alphanumeric"
    assert code_of("RR-000123").modules == 21


@pytest.mark.parametrize("labels", stocks_known(), ids=lambda each: each.id)
def test_each_module_is_a_whole_number_of_dots_at_203_dpi(labels: Stock) -> None:
    """Along its first row and first column every dark and light run is a whole number of modules."""
    image = on_one(passed("RR-000123"), labels)
    (found,) = read_in(image)
    corner, modules = found.position.top_left, code_of("RR-000123").modules
    row = [image.pixelColor(x, corner.y + 1).red() for x in range(corner.x, found.position.top_right.x)]
    column = [image.pixelColor(corner.x + 1, y).red() for y in range(corner.y, found.position.bottom_left.y)]
    for line in (row, column):
        runs = [len(list(run)) for _shade, run in groupby(line)]
        dots = runs[0] // 7  # a corner mark is seven modules wide
        assert set(line) == {0, 255}
        assert sum(runs) == modules * dots
        assert all(run % dots == 0 for run in runs)


def test_four_modules_around_a_code_stay_white() -> None:
    image = on_one(passed("RR-000123", "construction"), ROLL)
    (found,) = read_in(image)
    corner, far = found.position.top_left, found.position.bottom_right
    wide = (far.x - corner.x + 1) // code_of("RR-000123").modules * QUIET
    around = [
        image.pixelColor(x, y).red()
        for x in range(corner.x - wide, far.x + 1 + wide)
        for y in range(corner.y - wide, far.y + 1 + wide)
        if not (corner.x <= x <= far.x and corner.y <= y <= far.y)
    ]
    assert set(around) == {255}


def test_the_pdf_has_the_page_of_the_stock_and_says_what_the_preview_says(tmp_path: Path) -> None:
    sheets = laid_out([passed(f"RR-{number:06d}", "construction") for number in range(30)], SHEET)
    write_pdf(tmp_path / "tags.pdf", sheets, "Tags")
    assert sizes_of(tmp_path / "tags.pdf") == [(pytest.approx(210, abs=0.2), pytest.approx(297, abs=0.2))] * 2
    printed = pages_of(tmp_path / "tags.pdf", 8)
    assert [Counter(codes_in(page)) for page in printed] == [
        Counter(codes_in(picture(sheets, number))) for number in range(2)
    ]
    said = words_of_pdf(tmp_path / "tags.pdf")
    for part in ("PASS", "YELLOW", "RR-000007", "Next test by", "Feb", "Tested", "Asha", "Licence", "Corran Bay"):
        assert part in said


def test_preview_and_pdf_agree_dot_by_dot(tmp_path: Path) -> None:
    sheets = laid_out([passed("RR-000123", "construction"), out("RR-000124"), new("RR-000125")], SHEET, start=5)
    write_pdf(tmp_path / "tags.pdf", sheets, "Tags")
    (printed,) = pages_of(tmp_path / "tags.pdf", 4)
    seen = picture(sheets, 0, 4).convertToFormat(QImage.Format.Format_Grayscale8)
    assert abs(printed.width() - seen.width()) <= 1
    assert abs(printed.height() - seen.height()) <= 2
    small = (printed.width() // 8, printed.height() // 8)
    one, other = (each.scaled(*small, mode=Qt.TransformationMode.SmoothTransformation) for each in (printed, seen))
    far = [
        abs(one.pixelColor(x, y).red() - other.pixelColor(x, y).red()) for x in range(small[0]) for y in range(small[1])
    ]
    assert max(far) < 96
    assert sum(far) / len(far) < 2


@pytest.mark.parametrize("labels", [each for each in stocks_known() if not each.a_roll], ids=lambda each: each.id)
@pytest.mark.parametrize("nudge", [(0.0, 0.0), (1.5, -0.5)])
def test_labels_are_where_the_stock_has_them_within_half_a_millimetre(
    labels: Stock, nudge: tuple[float, float], tmp_path: Path
) -> None:
    """The outlines of the first, a middle and the last label, measured on the PDF that another program draws."""
    dots = 20.0
    for place in (1, labels.on_a_sheet // 2 + 1, labels.on_a_sheet):
        sheets = laid_out([out("RR-1", "Plug cracked")], labels, start=place, nudge=nudge)
        write_pdf(tmp_path / "one.pdf", sheets, "Tags")
        (page,) = pages_of(tmp_path / "one.pdf", dots)
        left, top, right, _bottom = dark_bounds(page, dots)
        (spot,) = labels.spots(1, start=place, nudge=nudge)
        edge = min(max(0.04 * min(labels.width, labels.height), 1.0), 2.2)
        assert left == pytest.approx(spot.x + edge, abs=0.5)
        assert top == pytest.approx(spot.y + edge, abs=0.5)
        assert right == pytest.approx(spot.x + labels.width - edge, abs=0.5)


def test_a_roll_has_a_page_of_its_own_size_for_each_tag(tmp_path: Path) -> None:
    write_pdf(tmp_path / "roll.pdf", laid_out([passed("RR-1"), passed("RR-2")], ROLL), "Tags")
    assert sizes_of(tmp_path / "roll.pdf") == [(pytest.approx(50, abs=0.2), pytest.approx(25, abs=0.2))] * 2


def test_the_ruler_of_the_test_page_is_fifty_millimetres(tmp_path: Path) -> None:
    labels = replace(stock("sheet-96x55"), across=1, down=1)
    labels = replace(labels, page_width=210, page_height=297)
    write_test_page(tmp_path / "test.pdf", labels, (0.0, 0.0))
    (page,) = pages_of(tmp_path / "test.pdf", 20)
    y = round((labels.top + labels.height - 6) * 20)
    start, end = round((labels.left + 1.6) * 20), round((labels.left + labels.width - 1) * 20)
    dark = [x for x in range(start, end) if min(page.pixelColor(x, y + way).red() for way in (-1, 0, 1)) < 128]
    assert (dark[-1] - dark[0] + 1) / 20 == pytest.approx(50, abs=0.3)
    assert "never fitted to the page" in words_of_pdf(tmp_path / "test.pdf").replace("\r\n", " ")


def test_a_label_too_small_is_refused_with_a_sentence() -> None:
    tiny = stock_of("t", "Tiny", {"width": 14, "height": 12})
    with pytest.raises(Refused, match=r"A label of 14 × 12 mm is too small for all that stands on the tag RR-000123"):
        laid_out([passed("RR-000123")], tiny)


@pytest.mark.parametrize("wide", [*range(14, 60, 2)])
@pytest.mark.parametrize("high", [12, 16, 20, 25, 30, 40])
def test_no_date_is_ever_cut(wide: int, high: int, monkeypatch: pytest.MonkeyPatch) -> None:
    cut: list[str] = []

    def note(said: str, room: QRectF, weight: int) -> Fitted:
        cut.append(said)
        return shortened(said, room, weight)

    monkeypatch.setattr("ui.tags.face.shortened", note)
    labels = stock_of("t", "Some", {"width": wide, "height": high})
    try:
        on_one(passed("RR-1", "construction"), labels)
    except Refused:
        return
    assert not [said for said in cut if "2026" in said or "2027" in said]


@pytest.mark.parametrize(("wide", "high"), [(25, 50), (30, 60), (40, 90), (24, 44)])
def test_an_upright_label_is_read_too(wide: float, high: float) -> None:
    labels = stock_of("u", "Upright", {"width": wide, "height": high})
    assert codes_in(on_one(passed("RR-000123", "construction"), labels)) == ["RR-000123"]


@pytest.mark.parametrize("labels", stocks_known(), ids=lambda each: each.id)
@pytest.mark.parametrize("number", ["RR-000123", LONG, "W" * 64, "1" * 40])
def test_nothing_is_drawn_outside_the_label(labels: Stock, number: str) -> None:
    place = QRectF(10, 10, labels.width, labels.height)
    image = QImage(round((labels.width + 20) * 8), round((labels.height + 20) * 8), QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.scale(8, 8)
    draw_face(painter, passed(number, "construction"), place)
    painter.end()
    left, top, right, bottom = dark_bounds(image, 8)
    assert left >= 10
    assert top >= 10
    assert right <= 10 + labels.width
    assert bottom <= 10 + labels.height


def test_a_long_number_is_wrapped_or_shrunk_but_never_cut() -> None:
    room = QRectF(0, 0, 30, 8)
    whole = fitted(LONG, room, 4.2, 600, code=True)
    assert whole is not None
    assert "".join(whole.lines).replace(" ", "") == LONG
    assert whole.size >= LEAST
    assert fitted(LONG, QRectF(0, 0, 10, 2), 4.2, 600, code=True) is None


def test_a_long_reason_is_shortened_where_it_can_be_seen() -> None:
    said = "The sheath is cut through at the plug and coloured cores show along the whole length of the lead. " * 4
    short = shortened(said, QRectF(0, 0, 20, 4), 500)
    assert short.cut
    assert short.lines[-1].endswith("…")
    assert codes_in(on_one(out("RR-1", said), ROLL)) == ["RR-1"]


def test_the_colour_is_there_and_its_name_too(tmp_path: Path) -> None:
    image = on_one(passed("RR-1", "construction"), SHEET)
    assert image.pixelColor(round((SHEET.left + 3) * 8), round((SHEET.top + 19) * 8)).name().upper() in COLOURS.values()
    write_pdf(tmp_path / "tag.pdf", laid_out([passed("RR-1", "construction")], SHEET), "Tags")
    assert "YELLOW" in words_of_pdf(tmp_path / "tag.pdf")


def test_paper_is_light_whatever_the_window_wears() -> None:
    light = on_one(passed("RR-1"), SHEET)
    kept = theme.theme.tokens
    theme.theme.tokens = theme.DARK
    try:
        dark = on_one(passed("RR-1"), SHEET)
    finally:
        theme.theme.tokens = kept
    assert light == dark


def test_a_pdf_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    sheets = laid_out([passed("RR-1")], SHEET)
    with pytest.raises(Refused, match="does not exist"):
        write_pdf(tmp_path / "nowhere" / "x.pdf", sheets, "Tags")
    (tmp_path / "x.pdf").mkdir()
    with pytest.raises(Unavailable, match=r"x\.pdf can't be written"):
        write_pdf(tmp_path / "x.pdf", sheets, "Tags")

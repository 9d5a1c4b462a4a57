"""The cover: whose register it is, how things stand, what is in the book, and how far its rules are to be trusted."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from openpyxl import load_workbook
from openpyxl.workbook import Workbook

from register.exchange.workbook import write_owner_workbook
from tests.exchange.workbook.made_up import TITLES
from tests.held_report import HeldReport


def cover_lines(book: Workbook) -> list[tuple[Any, ...]]:
    return [tuple(row) for row in book["Cover"].iter_rows(values_only=True)]


def test_the_cover_says_whose_register_as_at_which_day_and_from_which_events(
    book: Workbook, report: HeldReport
) -> None:
    told = {label: text for label, text, _ in cover_lines(book) if label}

    assert told["As at"] == datetime(2026, 11, 24)  # noqa: DTZ001 - a day in a cell has no zone
    assert told["Owner"] == "Brackwater Boatyard Cooperative"
    assert told["Site"] == "BRACK, Brackwater Boatyard, 2 Slipway Road, Corran Bay"
    assert told["Kept by"] == "Tidewater Electrical Testing, 14 Ferry Lane, Corran Bay, 08 5550 0199"
    assert told["Recorded events"] == "12,345"
    assert told["Check mark of the last"] == report.chain_head[:8]


def test_the_cover_counts_what_is_in_each_sheet_and_leads_there(book: Workbook) -> None:
    counts = {label: figure for label, _, figure in cover_lines(book)}
    links = {cell.value: cell.hyperlink.location for (cell,) in book["Cover"].iter_rows(max_col=1) if cell.hyperlink}

    assert {title: counts[title] for title in TITLES} == {title: book[title].max_row - 1 for title in TITLES}
    assert links == {title: f"'{title}'!A1" for title in TITLES}


def test_the_cover_counts_items_by_where_they_stand(book: Workbook, report: HeldReport) -> None:
    lines = cover_lines(book)
    counts = {label: figure for label, _, figure in lines[: [label for label, *_ in lines].index("In this book")]}

    standings = ("Overdue", "Withdrawn", "Untested", "Due soon", "In service", "Removed")
    assert sum(counts[each] for each in standings) == counts["All items"] == len(report.items)
    assert counts["Withdrawn"] == 2


def test_each_rule_is_named_on_its_sheet_with_how_far_it_can_be_trusted(book: Workbook) -> None:
    _, *rows = book["Rules used"].iter_rows(values_only=True)
    told = {row[0]: row[1:4] for row in rows}

    assert told["AS/NZS 3760:2010, Table 4"] == (
        "Superseded", "Restated second-hand", "intervals of the operating-time test",
    )  # fmt: skip
    assert told["AS/NZS 3190, Types III and IV"][1] == "From memory"
    assert told["AS/NZS 3012:2019, Construction and demolition sites"][1] == "Sources disagree"


def test_the_cover_tells_where_the_history_stood_in_the_book_before(book: Workbook, report: HeldReport) -> None:
    told = {label: text for label, text, _ in cover_lines(book) if label}

    assert report.last_sent is not None
    assert told["The book before"] == "3 Aug 2026: 11,020 events, check mark 9be2c01b"


def test_a_first_book_tells_of_none_before(report: HeldReport, tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, last_sent=None), path)

    assert "The book before" not in {label for label, *_ in cover_lines(load_workbook(path))}


def test_the_cautions_say_that_the_book_certifies_nothing_and_say_nothing_twice(
    report: HeldReport, tmp_path: Path
) -> None:
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, cautions=report.cautions * 2), path)

    said = [text for _, text, _ in cover_lines(load_workbook(path)) if isinstance(text, str)]
    assert len([text for text in said if "does not certify" in text]) == 1
    assert said.count(report.cautions[0]) == 1


def test_a_rulebook_without_cautions_still_gives_a_book_with_the_usual_ones(report: HeldReport, tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, cautions=()), path)

    said = [text for _, text, _ in cover_lines(load_workbook(path)) if isinstance(text, str)]
    assert any(text.startswith("A failed or damaged item is unplugged") for text in said)
    assert any("does not certify" in text for text in said)


def test_a_rulebook_that_says_itself_that_nothing_is_certified_is_not_repeated(
    report: HeldReport, tmp_path: Path
) -> None:
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, cautions=("The register does not certify safety.",)), path)

    said = [text for _, text, _ in cover_lines(load_workbook(path)) if isinstance(text, str)]
    assert [text for text in said if "certif" in text] == ["The register does not certify safety."]


def test_a_cover_with_very_many_cautions_goes_on_over_the_page_and_stays_readable(
    report: HeldReport, tmp_path: Path
) -> None:
    many = tuple(f"Caution number {number}." for number in range(80))
    short, long = tmp_path / "short.xlsx", tmp_path / "long.xlsx"

    write_owner_workbook(report, short)
    write_owner_workbook(replace(report, cautions=many), long)

    assert load_workbook(short)["Cover"].page_setup.fitToHeight == 1
    assert load_workbook(long)["Cover"].page_setup.fitToHeight == 0


def test_a_long_name_of_a_site_does_not_widen_the_cover(report: HeldReport, tmp_path: Path) -> None:
    name = "A site whose name goes on and on, with a quay, two sheds and a loft over the old ropewalk"
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, site=replace(report.site, name=name)), path)

    cover = load_workbook(path)["Cover"]
    assert cover["A1"].value == "A site whose name goes on and on, with a quay, two …"
    assert any(name in str(text) for _, text, _ in cover_lines(load_workbook(path)))
    assert cover.print_area == f"'Cover'!$A$1:$C${cover.max_row}"

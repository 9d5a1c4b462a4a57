"""Reading an owner workbook that came back: his answers, and whatever else reads otherwise than it was sent."""

import re
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Final

from register.domain.words import counted
from register.errors import Refused
from register.exchange.returned_sheet import Returned, SentSheet, SheetBack, marked_heads
from register.exchange.sheets.book import open_book
from register.exchange.sheets.cells import Book, SheetSource, text_of
from register.exchange.workbook.answers import AS_SENT, FORMAT, ROW_SENT
from register.services.owners.review import Answer, Sent
from register.stopping import go_on

_FACTS: Final = 3
"""What the hidden sheet says of a sheet before its headings."""

_COUNT: Final = re.compile(r"[0-9]{1,15}")
"""A number that a database can look for, whatever somebody wrote over it."""


@dataclass(slots=True)
class _AsSent:
    """The hidden sheet: facts by name, and the sheets whose rows are marked."""

    facts: dict[str, list[str]] = field(default_factory=dict)
    sheets: dict[str, SentSheet] = field(default_factory=dict)
    """By their titles: each is read once, however often the hidden sheet names it."""


def read_returned(path: Path) -> Returned:
    """Return what came back in a workbook. Nothing of it is kept yet.

    Unavailable where the file can't be read; Refused, with the cause, where it is damaged, goes beyond a limit, or is
    no owner workbook of this program.
    """
    with open_book(path) as book:
        return returned_in(path.name, book)


def returned_in(name: str, book: Book) -> Returned:
    """Return what came back in an open workbook of this name; refused as `read_returned`."""
    as_sent = _as_sent(name, book)
    returned = Returned(_sent(name, as_sent))
    found: dict[str, Answer] = {}
    sheets = {sheet.name: sheet for sheet in book.sheets}
    others = _others(book, as_sent)
    for sent in as_sent.sheets.values():
        go_on()
        sheet = sheets.get(sent.title) or _renamed(returned, others, sent)
        if sheet is not None:
            SheetBack(returned, sheet, sent, found).read()
        else:
            lost = ", and with it whatever was answered in it" if sent.answered else ""
            returned.note(f"The sheet “{sent.title}” is gone{lost}.")
    for copy in others:
        returned.note(f"The sheet “{copy}” is a copy of one that was sent. Nothing was read from it.")
    if book.has_comments:
        returned.note(
            "Comments are pinned to cells of this workbook and were not read. Open it and see whether one is an answer."
        )
    returned.answers = list(found.values())
    if returned.more_notes:
        returned.notes.append(
            f"{counted(returned.more_notes, 'further note')} of this sort: look through the workbook."
        )
    return returned


def _others(book: Book, as_sent: _AsSent) -> dict[str, tuple[SheetSource, frozenset[str]]]:
    """Return the sheets of other names than those sent whose rows have marks, with their headings."""
    known = {AS_SENT, *as_sent.sheets}
    others = {sheet.name: (sheet, marked_heads(sheet.rows())) for sheet in book.sheets if sheet.name not in known}
    return {name: (sheet, frozenset(heads)) for name, (sheet, heads) in others.items() if heads}


def _renamed(
    returned: Returned, others: dict[str, tuple[SheetSource, frozenset[str]]], sent: SentSheet
) -> SheetSource | None:
    """Take from `others` the sheet that has all headings of one that is gone, and note its name of now."""
    wanted = {*sent.wanted, ROW_SENT}
    name = next((name for name, (_, heads) in others.items() if wanted <= heads), None)
    if name is None:
        return None
    returned.renamed[sent.title] = name
    returned.note(f"The sheet “{sent.title}” is called “{name}” now.")
    return others.pop(name)[0]


def _as_sent(name: str, book: Book) -> _AsSent:
    hidden = next((sheet for sheet in book.sheets if sheet.name == AS_SENT), None)
    if hidden is None:
        raise Refused(
            f"“{name}” is no owner workbook, or its hidden part was lost. Ask the owner for the .xlsx file itself, "
            "saved in a spreadsheet program, not a copy of single sheets and not a CSV."
        )
    found = _AsSent()
    for _, values in hidden.rows():
        kind, *rest = (text_of(value) for value in values)
        if kind == "sheet" and len(rest) > _FACTS and _COUNT.fullmatch(rest[1]):
            sheet = SentSheet(rest[0], int(rest[1]), bool(rest[2]), tuple(rest[_FACTS:]))
            found.sheets.setdefault(sheet.title, sheet)
        else:
            found.facts[kind] = rest
    return found


def _sent(name: str, found: _AsSent) -> Sent:
    facts = found.facts
    if facts.get("format") != [FORMAT]:
        raise Refused(f"“{name}” was written by another version of this program. Write a new workbook and send that.")
    try:
        return Sent(
            _count(facts["events"][0]), facts["head"][0], facts["owner"][0], tuple(facts["site"]),
            date.fromisoformat(facts["as at"][0]),
        )  # fmt: skip
    except (KeyError, IndexError, ValueError):
        raise Refused(
            f"The hidden part of “{name}” was altered, so nothing tells what it was written from. "
            "Write a new workbook and send that."
        ) from None


def _count(text: str) -> int:
    if not _COUNT.fullmatch(text):
        raise ValueError(text)
    return int(text)

"""Reading an owner workbook that came back: his answers, and whatever else reads otherwise than it was sent.

Rows are known by their hidden marks, so that they may have been sorted, filtered, deleted, copied or added to.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import Final

from register.domain.words import counted
from register.errors import Refused
from register.exchange.sheets.book import open_book
from register.exchange.sheets.cells import Book, Row, SheetSource, Value, text_of
from register.exchange.workbook.answers import (
    ANSWER,
    AS_SENT,
    BETWEEN,
    COMMENT,
    FORMAT,
    MOVED_TO,
    PRESSED_ON,
    ROW_MARK,
    ROW_SENT,
)
from register.services.review import Answer, Sent, Word
from register.stopping import go_on, step_by_step

MOST_CHANGES: Final = 1_000
"""So many changes are listed one by one; further ones are counted."""

MOST_NOTES: Final = 100
"""So many notes are told, one beside each row that needs it; further ones are counted."""

_ANSWERS: Final = (ANSWER, MOVED_TO, PRESSED_ON, COMMENT)
_HEADS_WITHIN: Final = 30
_FACTS: Final = 3
"""What the hidden sheet says of a sheet before its headings."""

_COUNT: Final = re.compile(r"[0-9]{1,15}")
"""A number that a database can look for, whatever somebody wrote over it."""


@dataclass(frozen=True, slots=True)
class Changed:
    """One cell that reads otherwise than it was sent. It is listed and never taken."""

    sheet: str
    row: int
    column: str
    before: str
    after: str


@dataclass(slots=True)
class Returned:
    """A workbook that came back: what it was written from, the answers in it, changes beside them, and notes."""

    sent: Sent
    answers: list[Answer] = field(default_factory=list)
    changes: list[Changed] = field(default_factory=list)
    more_changes: int = 0
    notes: list[str] = field(default_factory=list)
    more_notes: int = 0

    def changed(self, change: Changed) -> None:
        """List one change, or count it where there are too many."""
        if len(self.changes) < MOST_CHANGES:
            self.changes.append(change)
        else:
            self.more_changes += 1

    def note(self, said: str) -> None:
        """Keep a note, or count it where there are too many."""
        if len(self.notes) < MOST_NOTES:
            self.notes.append(said)
        else:
            self.more_notes += 1


@dataclass(frozen=True, slots=True)
class _SentSheet:
    """One sheet as it was sent: its name, how many rows it had, whether it asks for answers, and its headings."""

    title: str
    rows: int
    answered: bool
    heads: tuple[str, ...]


@dataclass(slots=True)
class _AsSent:
    """The hidden sheet: facts by name, and the sheets whose rows are marked."""

    facts: dict[str, list[str]] = field(default_factory=dict)
    sheets: list[_SentSheet] = field(default_factory=list)


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
    for sent in as_sent.sheets:
        if sent.title in sheets:
            go_on()
            _read_sheet(returned, sheets[sent.title], sent, found)
        else:
            lost = ", and with it whatever was answered in it" if sent.answered else ""
            returned.note(f"The sheet “{sent.title}” is gone{lost}.")
    returned.answers = list(found.values())
    if returned.more_notes:
        returned.notes.append(
            f"{counted(returned.more_notes, 'further note')} of this sort: look through the workbook."
        )
    return returned


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
            found.sheets.append(_SentSheet(rest[0], int(rest[1]), bool(rest[2]), tuple(rest[_FACTS:])))
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


def _read_sheet(returned: Returned, sheet: SheetSource, sent: _SentSheet, found: dict[str, Answer]) -> None:
    """List what reads otherwise than it was sent and, where answers are asked for, take those."""
    rows = sheet.rows()
    heads = marked_heads(rows)
    if heads is None or ROW_SENT not in heads:
        lost = ROW_MARK if heads is None else ROW_SENT
        returned.note(
            f"The sheet “{sheet.name}” has lost its heading row or its hidden column “{lost}”. Nothing was read from "
            "it."
        )
        return
    missing = [title for title in (*sent.heads, *(_ANSWERS if sent.answered else ())) if title not in heads]
    if missing:
        returned.note(f"The sheet “{sheet.name}” has no column {', '.join(f'“{each}”' for each in missing)}.")
    seen: set[str] = set()
    for count, (number, values) in enumerate(step_by_step(rows)):
        cells = {title: values[place] if place < len(values) else None for title, place in heads.items()}
        mark, before = text_of(cells[ROW_MARK]), text_of(cells[ROW_SENT])
        if not mark:
            _added(returned, sheet.name, number, cells)
            continue
        if before and not (sent.answered and mark in seen):
            texts = _padded(before.split(BETWEEN), sent.heads)
            _compare(returned, (sheet.name, number), dict(zip(sent.heads, texts, strict=True)), cells)
        seen.add(mark if sent.answered else str(count))
        if sent.answered:
            _take(returned, found, mark, cells, f"{sheet.name}, row {number}")
    gone = sent.rows - len(seen)
    if gone > 0:
        returned.note(f"{gone} of {sent.rows} rows of “{sheet.name}” are gone. A deleted row says nothing.")


def marked_heads(rows: Iterator[Row]) -> dict[str, int] | None:
    """Return the place of each heading, leaving the rows at the first one below; None where rows have no marks."""
    for count, (_, values) in enumerate(rows):
        heads = {text_of(value): place for place, value in reversed(list(enumerate(values))) if text_of(value)}
        if ROW_MARK in heads:
            return dict(sorted(heads.items(), key=lambda head: head[1]))
        if count >= _HEADS_WITHIN:
            break
    return None


def _padded(texts: list[str], heads: tuple[str, ...]) -> list[str]:
    return [*texts, *[""] * (len(heads) - len(texts))][: len(heads)]


def _added(returned: Returned, sheet: str, number: int, cells: dict[str, Value]) -> None:
    told = ((title, text_of(value)) for title, value in cells.items())
    said = "; ".join(text for title, text in told if text and title not in {ROW_MARK, ROW_SENT})
    returned.changed(Changed(sheet, number, "the whole row", "", said))


def _compare(returned: Returned, place: tuple[str, int], before: dict[str, str], cells: dict[str, Value]) -> None:
    for title, text in before.items():
        if title in cells and text_of(cells[title]) != text:
            returned.changed(Changed(*place, title, text, text_of(cells[title])))


def _take(returned: Returned, found: dict[str, Answer], mark: str, cells: dict[str, Value], place: str) -> None:
    """Take the answer of one row; the same item may be answered in both sheets, but not in two ways."""
    answer = _answer(returned, mark, cells, place)
    if answer is None:
        return
    earlier = found.get(mark)
    if earlier is None:
        found[mark] = answer
        return
    clash = [name for name in ("word", "moved_to", "comment", "pressed_on") if _clashes(earlier, answer, name)]
    if clash:
        returned.note(f"{place} answers otherwise than {earlier.place} about the same item: the latter is taken.")
        return
    found[mark] = replace(
        earlier, word=earlier.word or answer.word, moved_to=earlier.moved_to or answer.moved_to,
        comment=earlier.comment or answer.comment, pressed_on=earlier.pressed_on or answer.pressed_on,
    )  # fmt: skip


def _clashes(one: Answer, other: Answer, name: str) -> bool:
    first, second = getattr(one, name), getattr(other, name)
    return bool(first and second and first != second)


def _answer(returned: Returned, mark: str, cells: dict[str, Value], place: str) -> Answer | None:
    said, moved_to, comment = (text_of(cells.get(title)) for title in (ANSWER, MOVED_TO, COMMENT))
    word = next((each for each in Word if each.value.casefold() == said.casefold()), None)
    if said and word is None:
        returned.note(f"{place}: “{said}” is none of the answers to choose from, so it is taken as a query.")
        word, comment = Word.QUERY, ": ".join(filter(None, [said, comment]))
    if moved_to and word is None:
        word = Word.MOVED
    elif moved_to and word is not Word.MOVED:
        comment = "; ".join(filter(None, [f"moved to {moved_to}", comment]))
        moved_to = ""
    pressed = _day(returned, cells.get(PRESSED_ON), place)
    if word is None and not comment and pressed is None:
        return None
    return Answer(mark, word, moved_to, comment, pressed, place)


def _day(returned: Returned, value: Value, place: str) -> date | None:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    text = text_of(value)
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        returned.note(f"{place}: “{text}” in “{PRESSED_ON}” is not a date. Ask the owner for the day.")
        return None

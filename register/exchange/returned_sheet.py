"""One sheet of a returned workbook: which item each row is about, its answers, and what reads otherwise than sent.

Rows are known by their hidden marks, so that they may have been sorted, filtered, deleted, copied or added to. Where
the cells beside a mark are not those that it was sent with, the row goes by its cells, if they are all those of
another row that was sent; else nothing tells which item is meant, and its answer is not taken.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final

from register.errors import Refused
from register.exchange.sheets.cells import LONGEST_CELL, Broken, Row, SheetSource, Value, text_of
from register.exchange.sheets.dates import DateRules, detect, read_date
from register.exchange.sheets.headings import letters
from register.exchange.sheets.merged import spread_down
from register.exchange.sheets.row import short
from register.exchange.workbook.answers import (
    ANSWER,
    ANSWER_TITLES,
    BETWEEN,
    COMMENT,
    MOVED_TO,
    PRESSED_ON,
    ROW_MARK,
    ROW_SENT,
    apart,
)
from register.exchange.workbook.columns import TAG
from register.services.owners.review import Answer, Sent, Word
from register.stopping import step_by_step

MOST_CHANGES: Final = 1_000
"""So many changes are listed one by one; further ones are counted."""

MOST_NOTES: Final = 100
"""So many notes are told, one beside each row that needs it; further ones are counted."""

_BETWEEN_COMMENTS: Final = "; "
_HEADS_WITHIN: Final = 30
_ANY_DAY: Final = DateRules(date.max, allow_old=True)
"""Whether a day can be right is said of each press, where it is tried."""


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
    """A workbook that came back: what it was written from, the answers in it, changes beside them, and notes.

    `renamed` gives the name that a sheet has now, `astray` the sheets whose rows were parted from their marks.
    """

    sent: Sent
    answers: list[Answer] = field(default_factory=list)
    changes: list[Changed] = field(default_factory=list)
    more_changes: int = 0
    notes: list[str] = field(default_factory=list)
    more_notes: int = 0
    renamed: dict[str, str] = field(default_factory=dict)
    astray: list[str] = field(default_factory=list)

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
class SentSheet:
    """One sheet as it was sent: its name, how many rows it had, whether it asks for answers, and its headings."""

    title: str
    rows: int
    answered: bool
    heads: tuple[str, ...]

    @property
    def wanted(self) -> tuple[str, ...]:
        """All headings that it must still have, but for the hidden ones."""
        return (*self.heads, *(ANSWER_TITLES if self.answered else ()))


def marked_heads(rows: Iterator[Row]) -> dict[str, int] | None:
    """Return the place of each heading, leaving the rows at the first one below; None where rows have no marks."""
    for count, (_, values) in enumerate(rows):
        heads = {text_of(value): place for place, value in reversed(list(enumerate(values))) if text_of(value)}
        if ROW_MARK in heads:
            return dict(sorted(heads.items(), key=lambda head: head[1]))
        if count >= _HEADS_WITHIN:
            break
    return None


class SheetBack:
    """One sheet while it is read; `found` are the answers of all sheets by the items that they are about."""

    def __init__(self, returned: Returned, sheet: SheetSource, sent: SentSheet, found: dict[str, Answer]) -> None:
        self._returned, self._sheet, self._sent, self._found = returned, sheet, sent, found
        self._seen: set[str] = set()
        self._sent_rows: dict[tuple[str, ...], str] | None = None
        self._astray = False
        self._known = {*sent.wanted, ROW_MARK, ROW_SENT}

    def read(self) -> None:
        """List what reads otherwise than it was sent and, where answers are asked for, take those."""
        name, sent, rows = self._sheet.name, self._sent, self._sheet.rows()
        heads = marked_heads(rows)
        if heads is None or ROW_SENT not in heads:
            lost = ROW_MARK if heads is None else ROW_SENT
            self._returned.note(
                f"The sheet “{name}” has lost its heading row or its hidden column “{lost}”. Nothing was read from it."
            )
            return
        missing = [title for title in sent.wanted if title not in heads]
        if missing:
            self._returned.note(f"The sheet “{name}” has no column {', '.join(f'“{each}”' for each in missing)}.")
        rows = spread_down(rows, self._sheet.spans)
        for count, (number, values) in enumerate(step_by_step(rows)):
            self._take_row(count, number, _cells(heads, values))
        gone = sent.rows - len(self._seen)
        if gone > 0:
            self._returned.note(f"Gone from “{name}”: {gone} of {sent.rows} rows. A deleted row says nothing.")
        if self._astray:
            self._returned.astray.append(name)
            told = "Each row was taken for the item whose cells stand in it. " if sent.answered else ""
            self._returned.note(f"Rows of “{name}” were sorted or copied without their hidden columns. {told}".strip())

    def _take_row(self, count: int, number: int, cells: dict[str, Value]) -> None:
        mark, before = text_of(cells[ROW_MARK]), _split(text_of(cells[ROW_SENT]), self._sent.heads)
        if not mark:
            self._added(number, cells)
            return
        if before and not self._is_of_its_mark(cells, before):
            own = self._mark_of(cells)
            if not own:
                self._stray(count, number, cells, before)
                return
            mark, before = own, {}
        if not (self._sent.answered and mark in self._seen):
            self._compare(number, before, cells)
        self._seen.add(mark if self._sent.answered else str(count))
        if self._sent.answered:
            place = f"{self._sheet.name}, row {number}"
            answer = _answer(self._returned, mark, cells, place)
            if answer is not None:
                _keep(self._returned, self._found, answer)

    def _is_of_its_mark(self, cells: Mapping[str, Value], before: Mapping[str, str]) -> bool:
        """Whether a row still shows the tag that its mark was sent with; or else all that it shows."""
        by_tag = self._sent.answered and TAG in before and TAG in cells
        looked_at = [TAG] if by_tag else [title for title in before if title in cells]
        return all(apart(text_of(cells[title])) == before[title] for title in looked_at)

    def _mark_of(self, cells: Mapping[str, Value]) -> str:
        """Return the mark of the row that was sent with all these cells; empty where there is none."""
        if self._sent_rows is None:
            self._sent_rows = {}
            rows = self._sheet.rows()
            heads = marked_heads(rows) or {}
            for _, values in rows:
                at = _cells(heads, values)
                before = _split(text_of(at[ROW_SENT]), self._sent.heads)
                told = tuple(before.values())
                self._sent_rows[told] = "" if told in self._sent_rows else text_of(at[ROW_MARK])
        mark = self._sent_rows.get(tuple(apart(text_of(cells.get(title))) for title in self._sent.heads), "")
        self._astray = self._astray or bool(mark)
        return mark

    def _stray(self, count: int, number: int, cells: dict[str, Value], before: Mapping[str, str]) -> None:
        """List a row whose cells are neither those of its mark nor of any other; of whom it speaks nobody knows."""
        mark = text_of(cells[ROW_MARK])
        if not self._sent.answered:
            self._seen.add(str(count))
            self._compare(number, before, cells)
            return
        if mark in self._seen:
            self._added(number, cells)
        else:
            self._compare(number, before, cells)
        self._seen.add(mark)
        place = f"{self._sheet.name}, row {number}"
        if _answer(self._returned, mark, cells, place) is not None:
            shown, sent = text_of(cells.get(TAG)) or "no tag", before.get(TAG) or "another item"
            self._returned.note(
                f"{place} shows {shown} but carries the hidden mark of {sent}, so what it answers was not taken. Ask "
                "the owner which item he means."
            )

    def _added(self, number: int, cells: Mapping[str, Value]) -> None:
        told = ((title, text_of(value)) for title, value in cells.items())
        said = "; ".join(text for title, text in told if text and title not in {ROW_MARK, ROW_SENT})
        self._returned.changed(Changed(self._sheet.name, number, "the whole row", "", said))

    def _compare(self, number: int, before: Mapping[str, str], cells: Mapping[str, Value]) -> None:
        for title, text in before.items():
            if title in cells and apart(text_of(cells[title])) != text:
                self._returned.changed(Changed(self._sheet.name, number, title, text, text_of(cells[title])))
        self._list_more(number, cells)

    def _list_more(self, number: int, cells: Mapping[str, Value]) -> None:
        """List what stands in columns that were not sent."""
        for title, value in cells.items():
            if title not in self._known and text_of(value):
                self._returned.changed(Changed(self._sheet.name, number, title, "", text_of(value)))


def _cells(heads: Mapping[str, int], values: tuple[Value, ...]) -> dict[str, Value]:
    """Return what stands under each heading, and under none as `column F`."""
    cells = {title: values[place] if place < len(values) else None for title, place in heads.items()}
    places = set(heads.values())
    beside = ((f"column {letters(place)}", value) for place, value in enumerate(values) if place not in places)
    return cells | {title: value for title, value in beside if value is not None}


def _split(before: str, heads: tuple[str, ...]) -> dict[str, str]:
    """Return how the cells of a row read when it was sent, by their headings; nothing where that was not kept."""
    texts = before.split(BETWEEN) if before else []
    return dict(zip(heads, [*texts, *[""] * (len(heads) - len(texts))], strict=False)) if texts else {}


def _keep(returned: Returned, found: dict[str, Answer], answer: Answer) -> None:
    """Keep the answer of one row; the same item may be answered in both sheets, but not in two ways."""
    earlier = found.get(answer.item_id)
    if earlier is None:
        found[answer.item_id] = answer
        return
    if earlier.tag and answer.tag and earlier.tag != answer.tag:
        returned.note(
            f"{answer.place} shows {answer.tag}, but its hidden mark is that of {earlier.place}, so what it answers "
            "was not taken. Ask the owner which item he means."
        )
        return
    if _differ(earlier.word, answer.word) or _differ(earlier.moved_to, answer.moved_to):
        _note_clash(returned, earlier, answer, f"{answer.word or ''} {answer.moved_to}".strip())
    if _differ(earlier.pressed_on, answer.pressed_on):
        _note_clash(returned, earlier, answer, f"pressed on {answer.pressed_on}")
    first = earlier if earlier.word else answer
    moved_to = earlier.moved_to or answer.moved_to if earlier.word is answer.word else first.moved_to
    comment = _joined(earlier.comment, answer.comment)
    if len(comment) > LONGEST_CELL:  # rows can be copied a thousand times
        _note_clash(returned, earlier, answer, short(answer.comment))
        comment = earlier.comment
    found[answer.item_id] = replace(
        earlier, word=first.word, moved_to=moved_to, comment=comment,
        pressed_on=earlier.pressed_on or answer.pressed_on,
    )  # fmt: skip


def _joined(one: str, other: str) -> str:
    """Return two comments as one; those of copied rows say the same."""
    if not one or not other:
        return one or other
    return one if other in one.split(_BETWEEN_COMMENTS) else f"{one}{_BETWEEN_COMMENTS}{other}"


def _differ(one: object, other: object) -> bool:
    return bool(one and other and one != other)


def _note_clash(returned: Returned, earlier: Answer, answer: Answer, said: str) -> None:
    returned.note(
        f"{answer.place} says “{said}”, {earlier.place} something else about the same item: that was taken. Ask the "
        "owner which is right."
    )


def _answer(returned: Returned, mark: str, cells: Mapping[str, Value], place: str) -> Answer | None:
    said, moved_to, comment = (_said(returned, cells, title, place) for title in (ANSWER, MOVED_TO, COMMENT))
    word = next((each for each in Word if each.value.casefold() == said.casefold()), None)
    if said and word is None:
        returned.note(f"{place}: “{said}” is none of the answers to choose from, so it is taken as a query.")
        word, comment = Word.QUERY, ": ".join(filter(None, [said, comment]))
    if moved_to and word is None:
        word = Word.MOVED
    elif moved_to and word is not Word.MOVED:
        comment = "; ".join(filter(None, [f"moved to {moved_to}", comment]))
        moved_to = ""
    pressed = _day(returned, cells, place)
    if word is None and not comment and pressed is None:
        return None
    return Answer(mark, word, moved_to, comment, pressed, place, text_of(cells.get(TAG)))


def _said(returned: Returned, cells: Mapping[str, Value], title: str, place: str) -> str:
    """Return what stands in a cell of answers; where that is an error of the spreadsheet, it is noted."""
    value = cells.get(title)
    if isinstance(value, Broken):
        returned.note(f"{place}: “{title}” can't be read, as {value.why}. Ask the owner what he wrote there.")
        return ""
    return text_of(value)


def _day(returned: Returned, cells: Mapping[str, Value], place: str) -> date | None:
    """Return the day of a press: a date cell, or a text that can be one day alone."""
    text = _said(returned, cells, PRESSED_ON, place)
    if not text:
        return None
    value = cells[PRESSED_ON]
    try:
        return read_date(value, detect([value]).styles, _ANY_DAY)[0]
    except Refused:
        returned.note(f"{place}: “{text}” in “{PRESSED_ON}” is no date, or could be two. Ask the owner for the day.")
        return None

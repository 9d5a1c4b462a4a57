"""What a file's columns and words were taken for, each to be corrected on the spot."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from register.exchange.sheets.corrected import (
    use_words,
    uses,
    with_column,
    with_kind,
    with_titles,
    with_word,
)
from register.exchange.sheets.fields import ColumnUse, Field
from register.exchange.sheets.headings import ALL_ROWS, TITLES, Suggestion
from register.exchange.sheets.mapping import Mapping, find
from register.exchange.taking_in import FileTaken
from ui.asking.fields import Field as Asked
from ui.asking.fields import Picked
from ui.asking.told import Told

TALL: Final = 150
AREAS: Final = (("", "Left out (perhaps area)"), ("area", "Area of the rows below"))
NO_KIND: Final = "No column says the kind: choose it for all"
UNSAID: Final = "Choose what it means"


@dataclass(frozen=True, slots=True)
class Correctable:
    """One line that can be corrected: its texts, what there is to choose from, and what is chosen now.

    `column` is the heading where a column is meant; else `word` is what stands in cells, and `table` where it is said.
    `perhaps` tells of a column that is left out and may be something.
    """

    texts: tuple[str, ...]
    choices: tuple[tuple[object, str], ...]
    chosen: object
    sheet: str = ""
    column: str = ""
    table: str = ""
    word: str = ""
    perhaps: bool = False

    @property
    def is_tag(self) -> bool:
        """Whether this is a tag that may be that of a known item."""
        return self.table == Field.TAG.value

    @property
    def is_column(self) -> bool:
        """Whether this is one column of a sheet, and not its rows together or the titles between them."""
        return self.column not in {"", TITLES, ALL_ROWS}

    def correct(self, mapping: Mapping, chosen: object) -> Mapping:
        """Return the mapping with this line corrected."""
        if self.column == TITLES:
            return with_titles(mapping, self.sheet, str(chosen))
        if self.column == ALL_ROWS:
            return with_kind(mapping, self.sheet, str(chosen))
        if isinstance(chosen, ColumnUse):
            return with_column(mapping, self.sheet, self.column, chosen)
        return with_word(mapping, self.table, self.word, str(chosen))


class Corrections(QWidget):
    """A table of lines, and below it what the chosen line is to be taken for instead."""

    corrected = Signal(object, object)

    def __init__(self, name: str, heads: Sequence[str], widths: Sequence[int], label: str) -> None:
        super().__init__()
        self._lines: Sequence[Correctable] = ()
        self.table = Told(name, heads, widths, tall=TALL)
        self.pick = Picked()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addWidget(self.table, 1)
        self._asked = Asked(label, self.pick, "Choose a line above first.")
        column.addWidget(self._asked)
        self.table.currentCellChanged.connect(self._line)
        self.pick.activated.connect(self._picked)

    def tell(self, lines: Sequence[Correctable]) -> None:
        """Show these lines; the chosen one stays chosen by its place."""
        at = max(0, self.table.currentRow())
        self._lines = lines
        self.table.tell([each.texts for each in lines])
        self.table.setCurrentCell(min(at, len(lines) - 1), 0)
        self._line(self.table.currentRow())

    def correct(self, mapping: Mapping, line: Correctable, chosen: object) -> Mapping:
        """Return the mapping with a line corrected, and on other sheets the columns of its heading that stand alike."""
        for each in self._lines:
            if each.is_column and each.column == line.column and each.chosen == line.chosen:
                mapping = each.correct(mapping, chosen)
        return line.correct(mapping, chosen)

    def _line(self, row: int, *_rest: int) -> None:
        line = self._lines[row] if 0 <= row < len(self._lines) else None
        self.pick.setEnabled(line is not None)
        self._asked.explain(f"For {line.column or line.word}" if line else "Choose a line above first.")
        self.pick.offer(line.choices if line else ())
        if line is not None:
            self.pick.choose(line.chosen)

    def _picked(self) -> None:
        row, chosen = self.table.currentRow(), self.pick.chosen
        if chosen is not None and 0 <= row < len(self._lines) and chosen != self._lines[row].chosen:
            self.corrected.emit(self._lines[row], chosen)


def columns_of(suggestions: Sequence[Suggestion], mapping: Mapping) -> list[Correctable]:
    """Return the columns of a file with examples, what each was taken for or may be, and all that it can be."""
    offered = tuple((use, words) for words, use in uses())
    return [_column(each, mapping, offered) for each in suggestions if not each.value]


def _column(each: Suggestion, mapping: Mapping, offered: tuple[tuple[object, str], ...]) -> Correctable:
    own = mapping.sheets.get(each.sheet)
    if each.heading == ALL_ROWS:
        return _of_all_rows(each)
    if each.heading == TITLES:
        area = each.proposal if each.taken else ""
        texts = (each.sheet, TITLES, ", ".join(each.examples), dict(AREAS)[area])
        return Correctable(texts, AREAS, area, sheet=each.sheet, column=TITLES)
    use = (find(own.columns, each.heading) if own else None) or ColumnUse(Field.IGNORE)
    said = next((words for known, words in offered if known == use), "")
    plain = ColumnUse(use.field, use.test, use.reading)
    words = said or next((words for known, words in offered if known == plain), use_words(use))
    choices = offered if said else ((use, words), *offered)
    perhaps = "" if each.taken or not each.proposal else f" (perhaps {_spoken(each.proposal)})"
    texts = (each.sheet, each.heading, ", ".join(each.examples), f"{words}{perhaps}")
    return Correctable(texts, choices, use, sheet=each.sheet, column=each.heading, perhaps=bool(perhaps))


def _of_all_rows(each: Suggestion) -> Correctable:
    """Return the line that says what all items of a sheet are."""
    choices = (("", NO_KIND), *((kind, f"Kind of each: {_spoken(kind)}") for kind in each.choices))
    kind = each.proposal if each.taken else ""
    texts = (each.sheet, ALL_ROWS, ", ".join(each.examples), dict(choices)[kind])
    return Correctable(texts, choices, kind, sheet=each.sheet, column=ALL_ROWS, perhaps=not each.taken)


def words_of(suggestions: Sequence[Suggestion], taken: FileTaken | None) -> list[Correctable]:
    """Return the words that nobody knows, with what they may mean, and the tags that may be a known item's."""
    found = [_word(each) for each in suggestions if each.value]
    for each in taken.taken.problems if taken else ():
        if each.same_as:
            tag = next((item.tag for item in taken.reading.rows.items if item.place == each.place), "") if taken else ""
            texts = (each.place.sheet, "Tag", tag, f"Perhaps {each.same_as}: {each.reason.partition('.')[0]}.")
            choices = ((None, UNSAID), (each.same_as, f"It is {each.same_as}"))
            found.append(Correctable(texts, choices, None, table=Field.TAG.value, word=tag))
    return found


def _word(each: Suggestion) -> Correctable:
    texts = (each.sheet, each.heading, each.value, f"Perhaps {_spoken(each.proposal)}" if each.proposal else "")
    choices = ((None, UNSAID), *((choice, _spoken(choice)) for choice in each.choices))
    return Correctable(texts, choices, None, table=each.table, word=each.value)


def _spoken(word: str) -> str:
    return word.replace("-", " ")

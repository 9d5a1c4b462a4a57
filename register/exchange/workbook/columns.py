"""A sheet of the workbook as data: its columns, its rows, and what it says when it has none."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final, Generic, Protocol, TypeVar

from register.domain.words import Standing
from register.exchange.workbook.cells import Value
from register.exchange.workbook.looks import ANSWERS, CellKind
from register.exchange.workbook.wording import standing_word
from register.services.owners.rows import ReportedItem

STANDING: Final = "Standing"
TAG: Final = "Tag"
OVERDUE: Final = standing_word(Standing.OVERDUE)

Row = TypeVar("Row")
Row_contra = TypeVar("Row_contra", contravariant=True)


class HasItem(Protocol):
    """Any row of the report that speaks of one item."""

    @property
    def item(self) -> ReportedItem:
        """The item it speaks of."""
        ...


@dataclass(frozen=True, slots=True)
class Column(Generic[Row_contra]):
    """One column: its heading, its width in characters, what its cells hold, and where the value comes from.

    `choices` are what the owner may fill in, where he chooses from a list.
    """

    title: str
    width: float
    kind: CellKind
    value: Callable[[Row_contra], Value]
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet(Generic[Row]):
    """One sheet with one table. `about` says on the cover what is in it, `empty` stands in it when nothing is.

    `rows` can be gone through more than once, and are never held all together. The first `held` columns stay in
    view. A row is marked as a whole, so that grey print shows it, where the column `marked` holds the word `mark`
    or `also`; with an empty `marked` none is. `portrait` sheets print upright, and those of `one_page` on one.
    """

    title: str
    table: str
    about: str
    empty: str
    colour: str
    columns: tuple[Column[Row], ...]
    rows: Iterable[Row]
    marked: str = STANDING
    mark: str = OVERDUE
    also: str = ""
    prints_answers: bool = False
    held: int = 2
    portrait: bool = False
    one_page: bool = False

    @property
    def marks(self) -> tuple[str, ...]:
        """The words that mark a row."""
        return (self.mark, self.also) if self.also else (self.mark,)

    @property
    def answered(self) -> bool:
        """Whether the owner fills in answers here."""
        return any(column.kind in ANSWERS for column in self.columns)

    @property
    def compared(self) -> bool:
        """Whether its rows have marks, so that it can be told what reads otherwise when the book comes back."""
        return any(column.kind is CellKind.MARK for column in self.columns)

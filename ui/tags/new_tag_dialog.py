"""Asks for the number of an item's new tag: scanned from a tag in the hand, or the next of a range."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_text
from register.services.tag_ranges import RangeRow
from register.services.tags import Retagging
from ui.asking.dialog import Block, Dialog
from ui.asking.fields import Field, Picked
from ui.look.theme import colours
from ui.look.typeface import font


@dataclass(frozen=True, slots=True)
class TagMeant:
    """What was answered: the number on the new tag, empty for the next of the range; whose range, if any."""

    number: str
    range_id: str | None


class NewTagDialog(Dialog):
    """Asks for the new tag; `deed` gets the answer. The old number stays with the item and finds it as before."""

    def __init__(self, window: QWidget, about: Retagging, actor: str, deed: Callable[[TagMeant], None]) -> None:
        super().__init__(window, "Give this item a new tag")
        self._deed = deed
        self._ranges = {each.id: each for each in about.ranges}
        self.about(about.tag, about.description, about.place)
        self.range = Picked([("", "None: the tag comes from elsewhere"), *((key, _words(row)) for key, row in
                                                                          self._ranges.items())])  # fmt: skip
        mine = next((row.id for row in about.ranges if row.holder == actor), next(iter(self._ranges), ""))
        self.range.choose(mine)
        self.number = QLineEdit()
        self.number.setFont(font(15, 500, code=True))
        self.number_field = Field("Number on the new tag", self.number)
        self.body.addWidget(Field("Range of", self.range, "Each van or holder has its own, so that no two are alike."))
        self.body.addWidget(self.number_field)
        self.body.addWidget(
            Block(
                "again", lambda: colours().service, "service", f"{about.tag} stays in the item's history.",
                "Its records and dates stay too, and the old number still finds it.",
            )
        )  # fmt: skip
        self.answers(
            leave="Leave it", verb="Give the new tag", key="Ctrl+Return", deed=self._give,
            hint="Enter is off here: scan safely.",
        )  # fmt: skip
        self.range.currentIndexChanged.connect(self._explain)
        self._explain()
        self.number.setFocus()

    @property
    def _chosen(self) -> RangeRow | None:
        return self._ranges.get(str(self.range.chosen))

    def _explain(self) -> None:
        row = self._chosen
        self.number.setPlaceholderText(row.following or "" if row is not None else "")
        if row is None:
            self.number_field.explain("Scan or type it.")
        elif row.following is None:
            self.number_field.explain("No number is left of this range. Choose another, or add one under Firm, Tags.")
        else:
            few = f" Only {row.left} {'is' if row.left == 1 else 'are'} left." if row.few else ""
            self.number_field.explain(f"Scan or type it; empty takes the next, {row.following}.{few}")

    def _give(self) -> None:
        number, row = clean_text(self.number.text()), self._chosen
        if not number and (row is None or row.following is None):
            self.number_field.complain("Scan or type the number on the new tag.")
            self.number.setFocus()
            return
        self._deed(TagMeant(number, None if row is None else row.id))


def _words(row: RangeRow) -> str:
    return f"{row.holder}: {row.numbers.words}"

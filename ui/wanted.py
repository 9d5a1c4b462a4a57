"""What one page may ask another to show, beside a single item, which is named by its id."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class CorrectRecord:
    """A record that is to be put right at the bench, by its id."""

    record_id: str


@dataclass(frozen=True, slots=True)
class ShowItems:
    """The items of a site whose contractor's duties fall due within some days; None leaves that side open.

    `text` says in words what is shown, such as "due in week 49".
    """

    site_id: str | None = None
    due_from: date | None = None
    due_to: date | None = None
    text: str = ""

"""What stands on a tag, and why: the rulebook says what each sort of tag has to show, the register what is true."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from register.domain.rulebook import Rulebook
from register.domain.tag_words import TagColour, TagField, TagKind
from register.errors import Refused

Value = str | date

TITLES: Final = {
    TagKind.PASS: "Pass",
    TagKind.OUT_OF_SERVICE: "Out of service",
    TagKind.NEW_TO_SERVICE: "New to service",
}
"""The words across the top of each sort of tag."""

LABELS: Final = {
    TagField.NUMBER: "Tag number",
    TagField.OUTCOME: "Outcome",
    TagField.WARNING: "Warning",
    TagField.UNTESTED: "Statement",
    TagField.RETEST: "Next test by",
    TagField.TESTED: "Tested",
    TagField.IN_SERVICE: "In service",
    TagField.WITHDRAWN: "Withdrawn",
    TagField.REASON: "Reason",
    TagField.ACTION: "Action",
    TagField.OUT_NUMBER: "This tag",
    TagField.TESTER: "By",
    TagField.LICENCE: "Licence",
    TagField.FIRM: "Firm",
    TagField.STANDARD: "Standard",
}
WARNING: Final = "Do not use"
ACTION: Final = "Needs action: its owner decides on repair or disposal."


@dataclass(frozen=True, slots=True)
class TagFacts:
    """What the register knows for the tag of one item. `values` holds what is known; the words are the face's own."""

    kind: TagKind
    number: str
    environment: str
    values: Mapping[TagField, Value]


@dataclass(frozen=True, slots=True)
class FaceLine:
    """One thing that stands on a tag: what it is, what it says, and the sources that ask for it."""

    field: TagField
    label: str
    value: Value
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FaceColour:
    """The colour of the quarter or month in which the test was done, and the source of that rule."""

    colour: TagColour
    source: str


@dataclass(frozen=True, slots=True)
class Face:
    """All that stands on one tag."""

    kind: TagKind
    number: str
    lines: tuple[FaceLine, ...]
    colour: FaceColour | None = None

    @property
    def title(self) -> str:
        """The words across the top."""
        return TITLES[self.kind]

    def value(self, field: TagField) -> Value | None:
        """What a field says; None where it does not stand on the tag."""
        return next((line.value for line in self.lines if line.field is field), None)


def face_of(facts: TagFacts, rulebook: Rulebook, *, colours: bool = True) -> Face:
    """Return what stands on a tag under a rulebook; refused where something that has to stand there is not known.

    `colours` asks for the colour of the quarter, where the rulebook has one for the item's class.
    """
    asked = [line for line in rulebook.tags if facts.kind in line.tags]
    if not asked:
        raise Refused(f"{rulebook.title} does not say what stands on a tag “{TITLES[facts.kind]}”. Add it there first.")
    cites = next((line.cites for line in asked if line.cites), "")
    values = {**facts.values, **_own_words(facts, cites)}
    sources: dict[TagField, list[str]] = {}
    for line in asked:
        for field in line.shows:
            sources.setdefault(field, []).append(line.source.words)
    required = {field for line in asked if not line.optional for field in line.shows}
    _check_known(facts, required, values)
    lines = tuple(
        FaceLine(field, LABELS[field], values[field], tuple(sources[field]))
        for field in TagField
        if field in sources and values.get(field)
    )
    return Face(facts.kind, facts.number, lines, _colour(facts, rulebook) if colours else None)


def _own_words(facts: TagFacts, cites: str) -> dict[TagField, Value]:
    """Return the fields whose words are the same on every tag of a sort."""
    return {
        TagField.NUMBER: facts.number,
        TagField.OUTCOME: TITLES[facts.kind],
        TagField.WARNING: WARNING,
        TagField.ACTION: ACTION,
        TagField.STANDARD: cites,
        TagField.UNTESTED: f"Not tested to {cites}",
    }


def _check_known(facts: TagFacts, required: set[TagField], values: Mapping[TagField, Value]) -> None:
    missing = {field for field in required if not values.get(field)}
    if values.get(TagField.TESTER) or values.get(TagField.FIRM):
        missing -= {TagField.FIRM, TagField.TESTER}  # a person's name or a company's
    if missing:
        lacking = ", ".join(LABELS[field].lower() for field in TagField if field in missing)
        raise Refused(
            f"The tag “{TITLES[facts.kind]}” of {facts.number} must say more than the register knows: {lacking}."
            " Record that first."
        )


def _colour(facts: TagFacts, rulebook: Rulebook) -> FaceColour | None:
    """Return the colour of the month in which the test was done; only a pass tag has one."""
    tested = facts.values.get(TagField.TESTED)
    if facts.kind is not TagKind.PASS or not isinstance(tested, date):
        return None
    for line in rulebook.tag_colours:
        if facts.environment in line.environments and tested.month in line.months:
            return FaceColour(line.colour, line.source.words)
    return None

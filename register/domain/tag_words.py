"""The words about tags: which sorts there are, what can stand on one, and the colours of a quarter or month."""

from enum import StrEnum


class TagKind(StrEnum):
    """What a tag says of its item."""

    PASS = "pass"  # noqa: S105 - not a password
    OUT_OF_SERVICE = "out-of-service"
    NEW_TO_SERVICE = "new-to-service"


class TagField(StrEnum):
    """One thing that stands on a tag. The order is that in which they are listed."""

    NUMBER = "tag-number"
    OUTCOME = "outcome"
    WARNING = "warning"
    UNTESTED = "not-tested"
    RETEST = "retest-date"
    TESTED = "test-date"
    IN_SERVICE = "in-service-date"
    WITHDRAWN = "withdrawn-date"
    REASON = "reason"
    ACTION = "action"
    OUT_NUMBER = "out-of-service-number"
    TESTER = "tester"
    LICENCE = "licence"
    FIRM = "firm"
    STANDARD = "standard"


class TagColour(StrEnum):
    """The colours that a tag can have. The word is always printed beside the colour."""

    RED = "red"
    GREEN = "green"
    BLUE = "blue"
    YELLOW = "yellow"
    ORANGE = "orange"
    WHITE = "white"
    BLACK = "black"
    GREY = "grey"

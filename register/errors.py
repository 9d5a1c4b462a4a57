"""The ways things can go wrong, told apart by what the user can do about them.

A rule says no: `Refused`. A file, disk or server is not there: `Unavailable`. Both carry the sentence that is
shown. Anything else that is raised is a fault of the program and is reported as one.
"""

from dataclasses import dataclass


class Refused(Exception):  # noqa: N818 - it is an answer, not an error
    """A rule says no. The text says what happened, to what, and what to do."""


class Earlier(Refused):
    """A register has the layout of an earlier version of the program; whoever opens it can bring it up to date."""


class Unavailable(Exception):  # noqa: N818 - it is a state, not an error
    """A database, disk or file can't be reached or used now. The text says which, and what to do."""


class Damaged(Unavailable):
    """A register's file is not whole any more; a copy of it can be put in its place."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong at one place of a file; the rest of the file is still read.

    `where` names the place in the reader's words (a table and key, or a sheet), `line` counts from 1.
    """

    where: str
    line: int | None
    message: str

    def __str__(self) -> str:
        place = self.where if self.line is None else f"{self.where}, line {self.line}"
        return f"{place}: {self.message}"

"""What has to be asked before a file is taken in."""

from typing import Self


class Question(str):
    """A question with all that answers it in a mapping; `said` is the question alone, for whoever chooses instead."""

    __slots__ = ("said",)
    said: str

    def __new__(cls, said: str, how: str) -> Self:
        """Make a question of what is asked, and what to write into a mapping."""
        made = super().__new__(cls, f"{said} {how}")
        made.said = said
        return made

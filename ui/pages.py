"""The pages of the window, in the order of the bar."""

from typing import Final

from ui.program import PageMaker

MAKERS: Final[tuple[PageMaker, ...]] = ()

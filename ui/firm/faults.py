"""What a check found to be wrong: the first sentences of it, and how many more there are."""

from collections.abc import Sequence
from typing import Final

from ui.look.widgets import Words

SHOWN: Final = 6
SHOWN_NARROW: Final = 3


class Faults(Words):
    """A few sentences on what is wrong, fewer on a narrow window; nothing where nothing is."""

    def __init__(self) -> None:
        super().__init__("", 12, 400, "ink2", wrap=True)
        self._faults: tuple[str, ...] = ()
        self._more, self._most = 0, SHOWN
        self.hide()

    def tell(self, faults: Sequence[str] = (), more: int = 0) -> None:
        """Show what was found; `more` counts what is not among it."""
        self._faults, self._more = tuple(faults), more
        self._show()

    def fit(self, *, narrow: bool) -> None:
        """Show as many as a narrow or a wide window has room for."""
        most = SHOWN_NARROW if narrow else SHOWN
        if most != self._most:
            self._most = most
            self._show()

    def _show(self) -> None:
        rest = max(0, len(self._faults) - self._most) + self._more
        lines = [*self._faults[: self._most], *([f"And {rest:,} more."] if rest else [])]
        self.say("\n".join(("What was found:", *lines)))
        self.setVisible(bool(lines))

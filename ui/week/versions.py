"""The week that is on screen, and how it was before each change that can still be undone."""

from dataclasses import dataclass, field

from register.planning.week_rows import PlannedWeek


@dataclass(slots=True)
class Versions:
    """`week` is what is shown, None while there is none; `kept` whether the register has it so."""

    week: PlannedWeek | None = None
    kept: bool = False
    _before: list[tuple[PlannedWeek, bool]] = field(default_factory=list)

    @property
    def can_go_back(self) -> bool:
        """Whether there is anything to undo."""
        return bool(self._before)

    @property
    def unsaved(self) -> bool:
        """Whether something was changed that the register does not have."""
        return self.can_go_back and not self.kept

    def start(self, week: PlannedWeek | None = None, *, kept: bool = False) -> None:
        """Show another week, of which nothing can be undone yet."""
        self.week, self.kept = week, kept
        self._before.clear()

    def mark(self) -> None:
        """Remember the week as it is, for whatever comes next to be undone."""
        if self.week is not None:
            self._before.append((self.week, self.kept))

    def unmark(self) -> None:
        """Forget the week as it was remembered last, where nothing came of it."""
        if self._before and self._before[-1][0] is self.week:
            self._before.pop()

    def go_back(self) -> None:
        """Show the week as it was remembered last."""
        self.week, self.kept = self._before.pop()

    def keep(self, week: PlannedWeek) -> None:
        """Say that the register has a week now; what was changed while it was written is not, and can be undone."""
        if week is self.week:
            self.start(week, kept=True)
            return
        places = [place for place, (each, _kept) in enumerate(self._before) if each is week]
        if places:
            self._before = [(week, True), *self._before[places[-1] + 1 :]]

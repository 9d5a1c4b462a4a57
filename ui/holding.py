"""The register that this window has for itself, so that no other window changes it at the same time."""

from datetime import datetime
from pathlib import Path

from register.store.address import Place
from register.store.engine import Register
from register.store.lock import Hold, InUse, hold

Held = tuple[Path, Hold]


class Holding:
    """Holds one register at a time, from opening it until another takes its place."""

    def __init__(self) -> None:
        self._held: Held | None = None

    def take(self, opened: Register, place: Place, who: str, now: datetime) -> Held | None:
        """Take a register that was opened; `InUse`, and closed, where it is taken.

        None where it is only looked at, and on a server, where many work at once.
        """
        if opened.only_looking or not isinstance(place, Path):
            return None
        path = place.resolve()
        if self._held is not None and self._held[0] == path:
            return self._held
        try:
            return path, hold(path, who, now)
        except InUse:
            opened.close()
            raise

    def keep(self, held: Held | None) -> None:
        """Keep what was taken, or nothing, and let others have the register that was held before."""
        if self._held is not None and self._held is not held:
            self._held[1].release()
        self._held = held

"""What the bench of this computer remembers: its scanner, its sound, who measured last. A small TOML file."""

import logging
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

from ui.bench.scanner import Ending, Scanner
from ui.toml_file import read_down, write_down

log = logging.getLogger(__name__)
FILE = "bench.toml"


@dataclass(frozen=True, slots=True)
class Remembered:
    """What is remembered, all of it texts. `sound` is on or off."""

    ending: str = Ending.ENTER.value
    prefix: str = ""
    sound: str = "off"
    tester: str = ""
    instrument: str = ""

    @property
    def scanner(self) -> Scanner:
        """How the scanner is set."""
        return Scanner(Ending(self.ending), self.prefix)


class Memory:
    """Reads the file once and writes each change; without a folder it remembers until the window closes."""

    def __init__(self, folder: Path | None) -> None:
        self._path = None if folder is None else folder / FILE
        self.now = Remembered() if self._path is None else recall(self._path)

    def keep(self, **what: str) -> None:
        """Remember something, if it is new."""
        new = replace(self.now, **what)
        if new == self.now:
            return
        self.now = new
        if self._path is not None:
            remember(self._path, new)


def recall(path: Path) -> Remembered:
    """Return what is remembered; anything missing, unknown or unreadable falls back and is noted in the log."""
    said = read_down(path)
    known = {each.name: said[each.name] for each in fields(Remembered) if isinstance(said.get(each.name), str)}
    if known.get("ending", Ending.ENTER.value) not in {each.value for each in Ending}:
        log.warning("%s: the ending “%s” is none that a scanner sends", path, known.pop("ending"))
    return Remembered(**known)


def remember(path: Path, what: Remembered) -> None:
    """Write down what to remember."""
    write_down(path, asdict(what))

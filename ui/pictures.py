"""A picture of every page, light and dark, without anybody at the screen."""

import shutil
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from PySide6.QtCore import QCoreApplication, QElapsedTimer, QEventLoop

from register.errors import Unavailable
from register.services.finding import FoundItem, find_items
from register.store.engine import create_register
from ui.help import MANUAL, write_keys
from ui.look import theme
from ui.pages import MAKERS
from ui.program import Program
from ui.sheets.pictures import Taking
from ui.window import application, open_program

SIZE: Final = (1440, 900)
LONGEST_MS: Final = 60_000
MANUAL_DAY: Final = date(2026, 11, 24)


def write_pictures(
    path: Path, folder: Path, today: date, now: Callable[[], datetime],
    both: Sequence[theme.Tokens] = (theme.LIGHT, theme.DARK), tag: str = "",
) -> list[Path]:  # fmt: skip
    """Save a picture of each page of a register in each table of colours; return where they are.

    `tag` is that of an item to show where a page shows one.
    """
    app = application()
    folder.mkdir(parents=True, exist_ok=True)
    program = open_program(path, today, now)
    written = []
    try:
        program.frame.resize(*SIZE)
        program.frame.show()
        item = _item(program, tag) if tag else None
        for tokens in both:
            theme.wear(app, tokens)
            for maker in MAKERS:
                program.frame.go(maker.key, item if maker.key in _OF_AN_ITEM else None)
                settle(program)
                picture = folder / f"{maker.key}-{tokens.name}.png"
                program.frame.grab().save(str(picture))
                written.append(picture)
    finally:
        program.frame.close()
        program.jobs.close()
    return written


_OF_AN_ITEM: Final = ("register", "bench")


def _item(program: Program, tag: str) -> str | None:
    """Return the id of the item with a tag."""
    found: list[FoundItem] = []
    program.jobs.ask(lambda connection: find_items(connection, tag, 1), found.extend)
    settle(program)
    return found[0].id if found else None


def write_manual(folder: Path | None) -> list[Path]:
    """Write the parts of the manual that are made: the page of all keys, and pictures of the sample for a fixed day."""
    from register.demo import run_demo

    manual = folder or MANUAL
    pictures = manual / "pictures"
    pictures.mkdir(parents=True, exist_ok=True)
    written = [write_keys(manual)]
    with TemporaryDirectory() as made:
        report = run_demo(MANUAL_DAY, Path(made), at=_morning())
        for picture in write_pictures(
            Path(report.register), Path(made), MANUAL_DAY, _morning, [theme.LIGHT], report.tag
        ):
            target = pictures / picture.name.replace("-light", "")
            shutil.move(picture, target)
            written.append(target)
        written += _write_dialogs(Path(report.register), Path(made), pictures)
    return written


def _write_dialogs(register: Path, made: Path, pictures: Path) -> list[Path]:
    """Save pictures of the dialogs about spreadsheets, over the sample and over an empty register."""
    theme.wear(application(), theme.LIGHT)
    empty = made / "empty.register"
    create_register(empty).close()
    written = []
    for path, write in ((register, Taking.write_owners), (empty, Taking.write_intake)):
        program = open_program(path, MANUAL_DAY, _morning)
        try:
            program.frame.resize(*SIZE)
            program.frame.show()
            settle(program)
            written += write(Taking(program, settle), pictures)
        finally:
            program.frame.close()
            program.jobs.close()
    return written


def _morning() -> datetime:
    return datetime.combine(MANUAL_DAY, time(9), UTC)


def settle(program: Program) -> None:
    """Let the window finish what it asked the register."""
    clock = QElapsedTimer()
    clock.start()
    quiet = 0
    while quiet < _QUIET_ROUNDS:
        QCoreApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 20)
        quiet = quiet + 1 if program.jobs.idle else 0
        if clock.elapsed() > LONGEST_MS:
            raise Unavailable("The pages did not settle within a minute, so no picture was taken. Try again.")


_QUIET_ROUNDS: Final = 5

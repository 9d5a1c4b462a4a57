"""What the actions of field packs do: each asks for a file where it needs one, and then does its work.

Dialogs and files are loaded when they are asked for, so that the window is there sooner.
"""

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from register.services.finding import SiteChoice, site_choices
from register.services.packs.days_out import DayOut, coming_days_out
from ui.messages import ask_where
from ui.program import Program

if TYPE_CHECKING:
    from register.services.packs.work import FieldWork, Progress

PACK_ENDING: Final = ".fieldpack"
WORK_ENDING: Final = ".fieldwork"
REGISTERS: Final = "Register (*.register)"
PACKS: Final = f"Field pack (*{PACK_ENDING})"
WORKS: Final = f"Field work (*{WORK_ENDING})"


def offer(program: Program, show: Callable[[Path], None]) -> None:
    """Say what the actions of field packs do; `show` opens the file of a pack that is chosen."""
    deeds = program.frame.deeds
    for key, taker in (("make", _make), ("merge", _merge), ("back", _back)):
        deeds.offer(f"pack.{key}", partial(taker, program), enabled=False)  # until it is known whose register it is
    deeds.offer("pack.open", partial(_open, program, show))


def unpack(messages: Any, path: Path, today: date) -> Path | None:  # noqa: ANN401 - of the window or of a test
    """Ask where the register of a field pack goes and make it there; None where nobody wants it.

    A file of any other name is a register already. Refused for a pack that can't be opened.
    """
    if path.suffix != PACK_ENDING:
        return path
    from register.exchange.pack import open_pack

    target = ask_where(messages, "Where the field register goes", f"{path.stem}.register", REGISTERS, replaces=False)
    if target is not None:
        open_pack(path, target, today=today)
    return target


def _make(program: Program) -> None:
    from ui.packs.make import MakePackDialog

    chosen = program.frame.front.site_in_view()

    today = program.jobs.today

    def ask(found: tuple[list[SiteChoice], list[DayOut]]) -> None:
        MakePackDialog(program.frame, program.desk, found[0], chosen, found[1]).open()

    program.jobs.ask(lambda connection: (site_choices(connection), coming_days_out(connection, today)), ask)


def _merge(program: Program) -> None:
    from ui.packs.merge import MergeDialog

    path = program.messages.open_file("Merge field work", WORKS)
    if path is not None:
        MergeDialog(program.frame, program.desk, path).open()


def _open(program: Program, show: Callable[[Path], None]) -> None:
    path = program.messages.open_file("Open a field pack", PACKS)
    if path is not None:
        show(path)


def _back(program: Program) -> None:
    from register.exchange.files import file_word
    from register.exchange.pack import write_work

    jobs = program.jobs
    moment, today, actor = jobs.moment, jobs.today, jobs.actor
    suggested = f"{file_word(actor)}-{today.isoformat()}{WORK_ENDING}"
    path = ask_where(program.messages, "Send the field work back", suggested, WORKS)
    if path is None:
        return
    jobs.run(
        lambda register: write_work(register, path, actor=actor, at=moment(), today=today),
        lambda sent: _sent(program, path, *sent), changes=True, said="Writing the field work",
    )  # fmt: skip


def _sent(program: Program, path: Path, work: "FieldWork", done: "Progress") -> None:
    from register.services.packs.merging_words import left_out_words

    left = f" The office decides, so it was not sent: {left_out_words(work.left)}." if work.left else ""
    program.messages.tell(f"Sent {done.sent:,} / done {done.done:,} / left {done.left:,}, in {path}.{left}")

"""Puts the program together: one register, one worker, one window with its pages."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject

from register.domain.words import counted
from register.services.care import clock_behind, place_news
from register.services.overview import Overview, overview
from register.store.engine import Register
from ui.find import Find
from ui.frame import NAME, Frame
from ui.help import Help
from ui.jobs import Clock, Jobs
from ui.messages import WindowMessages
from ui.page import Desk
from ui.pages import Maker
from ui.settings import HALF_TYPED
from ui.undo import Undoing


@dataclass(frozen=True, slots=True)
class Program:
    """The parts of the running program."""

    frame: Frame
    jobs: Jobs
    messages: Any
    desk: Desk


class Tending(QObject):
    """Keeps what stands around the pages up to date: counts in the bar, what the status line says of the register."""

    def __init__(self, program: Program, name: str) -> None:
        super().__init__(program.frame)
        self._program, self._name, self._clock_minded = program, name, False
        program.jobs.changed.connect(self.refresh)

    def refresh(self) -> None:
        """Ask the register how much there is, and whether it was written at a time that is still to come."""
        jobs = self._program.jobs
        jobs.ask(partial(overview, today=jobs.today), self._show)
        if not self._clock_minded and not jobs.only_looking:
            jobs.ask(partial(clock_behind, now=jobs.now()), self._mind_clock)

    def _mind_clock(self, said: str) -> None:
        """Warn once of a clock that is behind; work goes on."""
        self._clock_minded = bool(said)
        self._program.frame.banner.warn(said)

    def _show(self, found: Overview) -> None:
        frame = self._program.frame
        frame.count_on("withdrawn", found.withdrawn)
        for key, in_field in (("pack.make", False), ("pack.merge", False), ("pack.back", True)):
            frame.deeds.enable(key, enabled=in_field is bool(found.field_pack))
        sample = f"{found.field_pack}. " if found.field_pack else "Sample data. " if found.sample else ""
        holds = f"{counted(found.items, 'item')} at {counted(found.sites, 'site')}"
        frame.status.about(f"{sample}{self._name} · {holds}")
        firm = f"{found.firm} · " if found.firm else ""
        whose = found.field_pack or f"{firm}{NAME}{' (sample data)' if found.sample else ''}"
        frame.setWindowTitle(f"{whose} · {NAME}" if found.field_pack else whose)


def assemble(
    register: Register,
    clock: Clock,
    makers: Sequence[Maker],
    *,
    actor: str,
    messages: Any = None,  # noqa: ANN401
    frame: Frame | None = None,
    folder: Path | None = None,
) -> Program:
    """Return the program on an open register, its window not yet shown; `folder` is where it remembers things.

    `frame` is a window that stands already, still empty.
    """
    frame = frame or Frame(makers, clock.today)
    told = messages if messages is not None else WindowMessages()
    if isinstance(told, WindowMessages):
        told.window, told.line = frame, frame.status.tell
    jobs = Jobs(register, told, clock, actor)
    desk = Desk(jobs, told, frame.deeds, frame.go, folder, frame.offer.say)
    program = Program(frame, jobs, told, desk)
    if register.only_looking:
        frame.look_only(register.only_looking)
    else:
        jobs.ask(place_news, frame.banner.warn)
    frame.furnish(lambda maker: maker(desk))
    _offer(program)
    Tending(program, register.name).refresh()
    if folder is not None and (folder / HALF_TYPED).exists() and not register.only_looking:
        frame.prepare("bench")
    return program


def _offer(program: Program) -> None:
    """Say what the actions do that belong to no page."""
    frame, deeds = program.frame, program.frame.deeds
    deeds.offer("find", lambda: Find(frame, deeds, program.jobs, partial(frame.go, "register")).open())
    deeds.offer("quit", partial(_close, frame))
    deeds.offer("help.page", lambda: Help(frame, frame.front.key).show())
    deeds.offer("help.keys", lambda: Help(frame, "keys").show())
    deeds.offer("work.cancel", program.jobs.cancel, enabled=False)
    frame.status.cancel.clicked.connect(partial(deeds.do, "work.cancel"))
    program.jobs.under_way.connect(_Work(frame).tell)
    frame.may_close = partial(_may_close, program)
    Undoing(frame, deeds, program.jobs, program.messages)


class _Work(QObject):
    """Says what takes its time, and lets it be cancelled. It goes with its window: work may end later than that."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._frame = frame

    def tell(self, said: str) -> None:
        """Name the work that is under way; none takes it away."""
        self._frame.status.show_work(said)
        self._frame.deeds.enable("work.cancel", enabled=bool(said))


def _close(frame: Frame) -> None:
    frame.close()


def _may_close(program: Program) -> bool:
    """Ask before closing loses something."""
    lost = [said for page in program.frame.pages if (said := page.unsaved())]
    if program.jobs.at_risk:
        lost.append("Work is under way that changes the register; nothing of it is kept if you close now.")
    if not lost or not program.frame.isVisible():
        return True
    return bool(program.messages.confirm("Close the window?", " ".join(lost), "Close"))

"""Which register is open: the one of last time, another, a new one, or the sample. One window at a time."""

import getpass
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import Any, Final

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QWidget

from register.errors import Earlier, Refused, Unavailable
from register.services.settings import begin, set_setting
from register.store.address import Address, Place, place_of
from register.store.drive import is_share
from register.store.engine import Register, create_register
from register.store.lock import InUse
from register.store.on_share import CHANGED_ON_SHARE, open_file
from ui import at_server, on_share, settings
from ui.asking.in_use import InUseDialog, held_by
from ui.at_server import AtServer
from ui.first_run import Answers, FirstRun, Ways
from ui.frame import Frame
from ui.holding import Holding
from ui.jobs import Clock
from ui.look import theme
from ui.messages import Messages, WindowMessages, ask_where
from ui.packs import deeds as packs
from ui.pages import MAKERS
from ui.program import Program, assemble
from ui.putting_back import Moment, PuttingBack
from ui.safekeeping import Safekeeping, copy_at_last
from ui.sample import REMOVAL, Sample, is_sample
from ui.sheets import deeds as sheets
from ui.updating import Updating

KINDS: Final = "Register (*.register *.db);;All files (*)"
OPENED: Final = "Register or field pack (*.register *.db *.fieldpack);;All files (*)"


class Opening(QObject):
    """Opens registers and keeps the window that shows one. `remembered` is where this computer's memory is.

    `empty` is a window that stands already and shows the first register that is opened.
    """

    def __init__(
        self, app: QApplication, today: date, now: Callable[[], datetime], *, remembered: Path,
        messages: Messages | None = None, empty: Frame | None = None,
    ) -> None:  # fmt: skip
        super().__init__()
        self._app, self._empty, self._today, self._now, self._file = app, empty, today, now, remembered
        self._memory = settings.recall(remembered)
        self.messages: Any = messages if messages is not None else WindowMessages()
        self.program: Program | None = None
        self.first: FirstRun | None = None
        self._sample = Sample(today, now, self._say, self._enter, self._refused)
        self._holding = Holding()
        self._putting_back = PuttingBack(self._window, self._say, self._leave, self._enter, self._when)
        self._updating = Updating(self._window, self._say, self._enter, self._when)
        self._at_server = AtServer(self._window, self._show_from_server, self._say, self._updating.offer)
        self._dress()
        app.styleHints().colorSchemeChanged.connect(self._dress)

    def start(self, path: Path | None) -> None:
        """Open the register that is named, else the one of last time, else ask."""
        named = path or (place_of(self._memory.register) if self._memory.register else None)
        if named is None:
            self._ask()
            return
        self._enter(named)

    def close(self) -> None:
        """Finish what is under way and let go of the register."""
        self._sample.close()
        self._putting_back.close()
        self._updating.close()
        self._at_server.close()
        if self.program is not None:
            self._remember(window=bytes(self.program.frame.saveGeometry().data()).hex())
            self._let_go(self.program)
            self.program = None
        self._holding.keep(None)
        if self.first is not None:
            self.first.close()

    def _ask(self, why: str = "") -> None:
        """Show the first window, over that of a register where one is open."""
        if self.first is None:
            folder = partial(self.messages.choose_folder, "Where copies go")
            ways = Ways(self._new, self._open, self._server, self._make_sample, self._sample.cancel, folder)
            self.first = FirstRun(ways)
            self.first.left.connect(self._first_left)
        self.first.complain(why)
        self._speak_over(self.first)
        self.first.show()
        self.first.activateWindow()
        if self._empty is not None:  # only now: the program ends with its last window
            self._empty.close()
            self._empty.deleteLater()
            self._empty = None

    def _first_left(self) -> None:
        if self.first is not None:
            self.first.deleteLater()
            self.first = None
        if self.program is not None:
            self._speak_over(self.program.frame)

    def _speak_over(self, window: QWidget) -> None:
        if isinstance(self.messages, WindowMessages):
            self.messages.window = window

    def _enter(self, path: Place, only_looking: str = "") -> None:
        """Show a register; where that can't be done, say why, and offer what there is to do."""
        if isinstance(path, Address):
            if self.program is None:
                self._ask()
            self._at_server.enter(path)
            return
        try:
            self._show(path, only_looking)
        except (Refused, Unavailable) as reason:
            if self.program is None:
                self._ask()
            if isinstance(reason, InUse):
                self._offer_to_look(path, reason)
            elif isinstance(reason, Earlier):
                if self.first is not None:  # which says so still where the dialog is left
                    self._refused(reason)
                self._updating.offer(path)
            else:
                self._refused(reason)
                self._putting_back.offer_where_spoilt(path, reason)

    def _offer_to_look(self, path: Path, reason: InUse) -> None:
        """Say who has a register open; he who wants to can look at it all the same."""
        why = f"{held_by(reason.holder)} Close it there and open it again here to change anything."
        look, other = partial(self._enter, path, why), self._open if self.program is not None else _nothing
        InUseDialog(self._window(), path.name, reason.holder, look, other).open()

    def _window(self) -> QWidget:
        """The window that something is asked over."""
        if self.first is not None:
            return self.first
        assert self.program is not None, "no window is shown"
        return self.program.frame

    def _show(self, path: Path, only_looking: str = "") -> None:
        """Open a register's file and show it in place of what was shown, unless something there should not be lost."""
        if self.program is None or self.program.frame.may_close():
            self._put_in_front(open_file(path, only_looking), path)

    def _show_from_server(self, opened: Register, place: Address) -> None:
        """Show a register that was opened on a server in the same way, or let go of it."""
        if self.program is None or self.program.frame.may_close():
            self._put_in_front(opened, place)
        else:
            opened.close()

    def _put_in_front(self, opened: Register, path: Place) -> None:
        before = self.program
        held = self._holding.take(opened, path, _who(), self._now())
        clock = Clock(self._today, self._now)
        self.program = assemble(
            opened, clock, MAKERS, actor=_who(), messages=self.messages, folder=self._file.parent, frame=self._empty,
        )  # fmt: skip
        self._empty = None
        self._offer(self.program)
        self.program.frame.deeds.enable("register.demo-remove", enabled=is_sample(path))
        on_share.offer(self.program, path, self._when, self._enter)
        if before is not None:
            self.program.frame.setGeometry(before.frame.geometry())
        elif not self.program.frame.isVisible():
            settings.put_back(self.program.frame, self._memory.window)
        self.program.frame.show()
        self.program.frame.go(MAKERS[0].key)
        if before is not None:  # only now: the program ends with its last window
            self._let_go(before)
        self._holding.keep(held)
        Safekeeping(self.program, held, partial(self._putting_back.offer, is_open=True))
        if self.first is not None:
            self.first.close()
        self._remember(register=at_server.remembered(path))

    def _let_go(self, program: Program) -> None:
        """Close a register's window, copy the register where it changed, and let go of its file."""
        program.frame.may_close = _yes
        program.frame.close()
        program.jobs.close(partial(copy_at_last, now=self._now()))
        program.frame.deleteLater()

    def _leave(self) -> bool:
        """Let go of the register that is open, the first window in its place; False where it should not be lost."""
        if self.program is not None:
            if not self.program.frame.may_close():
                return False
            self._ask()
            self._let_go(self.program)
            self.program = None
            self._holding.keep(None)
        return True

    def _offer(self, program: Program) -> None:
        """Say what the actions do that open registers and spreadsheets."""
        deeds = program.frame.deeds
        deeds.offer("register.new", self._ask)
        deeds.offer("register.open", self._open)
        deeds.offer("register.server", self._server)
        deeds.offer("register.demo", self._sample.make)
        deeds.offer("register.demo-remove", self._remove_sample)
        deeds.offer("register.put-back", self._put_back)
        sheets.offer(program)
        packs.offer(program, self._open_file)
        for name in settings.COLOURS:
            deeds.offer(f"view.{name}", partial(self._wear, name))

    def _wear(self, name: str) -> None:
        self._remember(colours=name)
        self._dress()

    def _dress(self) -> None:
        """Put on the colours that were chosen, or those of the system."""
        chosen = {"light": theme.LIGHT, "dark": theme.DARK}.get(self._memory.colours)
        wanted = chosen or theme.system_tokens()
        if wanted is not theme.colours():
            theme.wear(self._app, wanted)

    def _remember(self, **what: str) -> None:
        self._memory = replace(self._memory, **what)
        settings.remember(self._file, self._memory)

    def _refused(self, error: Exception) -> None:
        """Say at the right place that something could not be done."""
        if self.first is not None and isinstance(error, Refused | Unavailable):
            self.first.complain(str(error))
        else:
            self.messages.failure(error)

    def _open(self) -> None:
        path = self.messages.open_file("Open a register", OPENED)
        if path is not None:
            self._open_file(path)

    def _open_file(self, path: Path) -> None:
        """Open a register, or a field pack as a register of its own."""
        try:
            found = packs.unpack(self.messages, path, self._today)
        except (Refused, Unavailable) as reason:
            self._refused(reason)
            return
        if found is not None:
            self._enter(found)

    def _server(self) -> None:
        self._at_server.ask()

    def _put_back(self) -> None:
        """Ask which copy takes the place of the register that is open."""
        at_server.put_back(place_of(self._memory.register), self._putting_back.offer, self._say)

    def _when(self) -> Moment:
        return Moment(_who(), self._now(), self._today)

    def _new(self, answers: Answers) -> None:
        suggested = "".join(letter if letter.isalnum() else "-" for letter in answers.firm.lower()).strip("-")
        name = f"{suggested or 'own'}.register"
        target = ask_where(self.messages, "Make the register", name, KINDS, replaces=False)
        if target is None:
            return
        if is_share(target.parent) and not self.messages.confirm(*on_share.ASKED):
            return
        try:
            _make(target, answers, self._when())
        except (Refused, Unavailable) as reason:
            self._refused(reason)
            return
        self._enter(target)

    def _remove_sample(self) -> None:
        """Close the sample and delete all of it, once that is confirmed; the first window shows."""
        if self.messages.confirm(*REMOVAL) and self._leave():
            self._remember(register="")
            self._sample.remove()

    def _make_sample(self) -> None:
        """Make the sample from the first window, which can cancel it."""
        self._sample.make()
        if self.first is not None:
            self.first.cancel.show()

    def _say(self, text: str) -> None:
        teller = self.first if self.first is not None else self.messages
        teller.tell(text)


def _make(path: Path, answers: Answers, when: Moment) -> None:
    """Make a register with the answers in it, whole or not at all."""
    register = create_register(path)
    try:
        with register.change(actor=when.actor, at=when.at, today=when.today) as change:
            begin(change, firm=answers.firm)
            set_setting(change, "state", answers.state)
            set_setting(change, "default_rulebook", answers.rulebook)
            set_setting(change, "copies_folder", answers.copies)
            set_setting(change, CHANGED_ON_SHARE, is_share(path.parent) or None)
    except BaseException:
        register.close()
        path.unlink(missing_ok=True)
        raise
    register.close()


def _yes() -> bool:
    return True


def _nothing() -> None:
    """Leave it at the first window, which offers other registers."""


def _who() -> str:
    """Return the name under which the user is logged in, for the history."""
    try:
        return getpass.getuser()
    except (KeyError, OSError, ImportError):
        return "user"


def tell_faults(messages: Messages) -> None:
    """Let an exception in a slot be logged and told once, and the program go on."""

    def told(kind: type[BaseException], error: BaseException, _trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            QApplication.quit()
        else:
            messages.failure(error)

    sys.excepthook = told

"""Every action of the program, as a table: menus, keys, the command search, the manual and the tests read it.

A page offers an action by giving what it does under the action's id; one without a taker is shown as not available.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QWidget


@dataclass(frozen=True, slots=True)
class Action:
    """One thing the user can do. `needs` says in words what must be selected; empty where nothing must.

    `also` are further keys for the same. One that `writes` changes the register, or leads to what does nothing else.
    """

    id: str
    title: str
    menu: str
    key: str = ""
    needs: str = ""
    also: str = ""
    writes: bool = False


PAGES: Final = ("horizon", "register", "week", "bench", "withdrawn", "firm")

ACTIONS: Final = (
    Action("go.horizon", "Go to Horizon", "Go", "Ctrl+1"),
    Action("go.register", "Go to Register", "Go", "Ctrl+2"),
    Action("go.week", "Go to Week", "Go", "Ctrl+3"),
    Action("go.bench", "Go to Bench", "Go", "Ctrl+4", writes=True),
    Action("go.withdrawn", "Go to Withdrawn", "Go", "Ctrl+5"),
    Action("go.firm", "Go to Firm", "Go", "Ctrl+6"),
    Action("find", "Find or do", "Go", "Ctrl+K"),
    Action("undo", "Undo", "Register", "Ctrl+Z", writes=True),
    Action("redo", "Redo", "Register", "Ctrl+Y", also="Ctrl+Shift+Z", writes=True),
    Action("bench.scan", "Scan or type a tag", "Go", "F4", writes=True),
    Action("register.new", "New register…", "Register"),
    Action("register.open", "Open a register…", "Register", "Ctrl+O"),
    Action("register.server", "Open a register on a server…", "Register"),
    Action("register.demo", "Open the sample register", "Register"),
    Action("register.demo-remove", "Remove the sample register…", "Register", "", "the sample register", writes=True),
    Action("sheet.take-in", "Take in a spreadsheet…", "Register", "Ctrl+I", writes=True),
    Action("sheet.owner", "Write the owner workbook…", "Register", "Ctrl+E", "a site"),
    Action("sheet.answers", "Take in the owner's answers…", "Register", writes=True),
    Action("sheet.queries", "Answer what owners asked…", "Register", writes=True),
    Action("due.list", "List what falls due…", "Register", "Ctrl+L"),
    Action("year.ahead", "A year ahead…", "Register", "Ctrl+H"),
    Action("pack.make", "Make a field pack…", "Register", writes=True),
    Action("pack.open", "Open a field pack…", "Register"),
    Action("pack.back", "Send the field work back…", "Register", "", "a field register", writes=True),
    Action("pack.merge", "Merge field work…", "Register", writes=True),
    Action("register.put-back", "Put a copy back…", "Register"),
    Action("register.share", "Change it on the network drive…", "Register", "", "a register on one"),
    Action("register.check", "Check the register", "Register"),
    Action("register.report", "Hold the history against a report…", "Register"),
    Action("work.cancel", "Cancel what is under way", "Register", "", "longer work"),
    Action("item.search", "Search the register", "Item", "Ctrl+F"),
    Action("item.add", "Add an item…", "Item", "Ctrl+N", writes=True),
    Action("item.edit", "Change the item…", "Item", "F2", "an item", writes=True),
    Action("item.move", "Move the item…", "Item", "Ctrl+M", "an item", writes=True),
    Action("item.interval", "Another interval…", "Item", "", "an item", writes=True),
    Action("item.test", "Test it now", "Item", "Ctrl+T", "an item", writes=True),
    Action("item.tag", "Print tags…", "Item", "Ctrl+Shift+P", "an item"),
    Action("item.new-tag", "Give a new tag…", "Item", "Ctrl+Shift+N", "an item", writes=True),
    Action("item.withdraw", "Take out of service…", "Item", "Alt+W", "an item", writes=True),
    Action("item.missing", "Mark as not found", "Item", "", "an item", writes=True),
    Action("item.found", "Found again", "Item", "", "an item that was not found", writes=True),
    Action("item.repaired", "It was repaired…", "Item", "Ctrl+Shift+R", "an item", writes=True),
    Action("item.replace", "Replace it by another…", "Item", "", "an item", writes=True),
    Action("item.remove", "Remove for good…", "Item", "", "an item", writes=True),
    Action("item.copy", "Copy the rows", "Item", "Ctrl+C"),
    Action("item.columns", "Choose columns…", "Item"),
    Action("week.plan", "Plan the week", "Week", "F5"),
    Action("week.keep", "Keep the week", "Week", "Ctrl+S", "a plan that is not kept", writes=True),
    Action("week.undo", "Undo the last move", "Week", "Alt+Backspace", "a move"),
    Action("week.earlier", "The week before", "Week", "Ctrl+PgUp"),
    Action("week.later", "The week after", "Week", "Ctrl+PgDown"),
    Action("week.van", "Add a van…", "Week", writes=True),
    Action("week.vans", "Vans, days off and pace", "Week"),
    Action("week.sheets", "Day sheets…", "Week", "Ctrl+D", "a plan"),
    Action("week.calendar", "Write a calendar…", "Week", "", "a week that is kept"),
    Action("week.gpx", "Write the routes as GPX…", "Week", "", "a plan"),
    Action("week.geojson", "Write the routes as GeoJSON…", "Week", "", "a plan"),
    Action("bench.save", "Save the record", "Bench", "Ctrl+Return", writes=True),
    Action("bench.look", "Tick the whole look", "Bench", "Ctrl+Space", writes=True),
    Action("bench.connect", "How to connect it…", "Bench", "F7", "a safety switch", writes=True),
    Action("bench.correct", "Correct the last record…", "Bench", "Ctrl+R", "a record saved at the bench", writes=True),
    Action("bench.place", "Choose where you work…", "Bench", "F6", writes=True),
    Action("bench.aside", "Codes set aside…", "Bench", "F8", writes=True),
    Action("bench.scanner", "Set up the scanner…", "Bench", writes=True),
    Action("withdrawn.notice", "Print the owner's notice…", "Withdrawn", "Ctrl+P", "an item"),
    Action("view.light", "Light colours", "View"),
    Action("view.dark", "Dark colours", "View"),
    Action("view.system", "Colours of the system", "View"),
    Action("help.page", "Help for this page", "Help", "F1"),
    Action("help.keys", "All keys", "Help", "Ctrl+F1"),
    Action("quit", "Quit", "Register", "Ctrl+Q"),
)

MENUS: Final = tuple(dict.fromkeys(action.menu for action in ACTIONS))


def action(key: str) -> Action:
    """Return the action of an id."""
    return next(each for each in ACTIONS if each.id == key)


class Deeds(QObject):
    """What each action does at present. `changed` tells when an action becomes possible or ceases to be."""

    changed = Signal()

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._takers: dict[str, Callable[[], None]] = {}
        self.only_looking = ""
        self.actions = {each.id: self._make(each, window) for each in ACTIONS}

    def _make(self, each: Action, window: QWidget) -> QAction:
        made = QAction(each.title, window)
        if each.key:
            made.setShortcuts([QKeySequence(key) for key in (each.key, each.also) if key])
        made.setEnabled(False)
        made.triggered.connect(lambda _checked=False, key=each.id: self.do(key))
        window.addAction(made)
        return made

    def offer(self, key: str, taker: Callable[[], None], *, enabled: bool = True) -> None:
        """Say what an action does from now on."""
        self._takers[key] = taker
        self.enable(key, enabled=enabled)

    def enable(self, key: str, *, enabled: bool) -> None:
        """Say whether an offered action is possible at present."""
        barred = bool(self.only_looking) and action(key).writes
        self.actions[key].setEnabled(enabled and key in self._takers and not barred)
        self.changed.emit()

    def look_only(self, why: str) -> None:
        """Let nothing be done that changes the register, from now on and for the reason given."""
        self.only_looking = why
        for each in ACTIONS:
            if each.writes:
                self.actions[each.id].setEnabled(False)
                self.actions[each.id].setToolTip(why)
        self.changed.emit()

    def leads_to_change(self, *widgets: QWidget) -> None:
        """Say of buttons and fields that they lead to a change; they can't be used where the register is looked at."""
        if self.only_looking:
            for each in widgets:
                each.setEnabled(False)
                each.setToolTip(self.only_looking)
                each.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keep what leads to a change as it is, whoever would let it be used."""
        if event.type() is QEvent.Type.EnabledChange and isinstance(watched, QWidget) and watched.isEnabled():
            watched.setEnabled(False)
        return False

    def name(self, key: str, title: str) -> None:
        """Call an action by another title, which says what it would do at present."""
        self.actions[key].setText(title.replace("&", "&&"))

    def possible(self, key: str) -> bool:
        """Whether an action can be done at present."""
        return self.actions[key].isEnabled()

    def do(self, key: str) -> None:
        """Do an action, if it is possible."""
        if self.possible(key):
            self._takers[key]()

    def fill(self, menu: QMenu) -> None:
        """Put every action into a menu, in its groups."""
        for name in MENUS:
            part = menu.addMenu(name)
            part.addActions([self.actions[each.id] for each in ACTIONS if each.menu == name])

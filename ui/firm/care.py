"""Care of the register: which file it is, when it was last copied, whether it is whole, and what was done to it."""

from datetime import datetime
from functools import partial

from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from register.domain.words import counted
from register.errors import Refused, Unavailable
from register.services import care
from register.services.care import Care
from register.services.check import Checked, check
from register.services.copying import Made, Safety, copy_now, safety
from register.services.history import LATEST, Happened, history
from register.services.looking_after import WITHIN, last_check, note_check
from register.services.owners.written_report import told_by_report
from register.stopping import Stopped
from register.store.engine import Register
from register.store.kept_copies import KeptCopy
from register.store.read_whole import ReadWhole
from ui.dates import shown, shown_time
from ui.firm.faults import Faults
from ui.firm.lists import Shelf
from ui.firm.report_dialog import ReportDialog
from ui.firm.section import Section
from ui.firm.verdict_line import VerdictLine
from ui.look.widgets import Sheet, Words, button
from ui.page import Desk
from ui.table.model import Column

HEAD = 8
LONG_AGO = "That says little of today. Check it again."
BY_ITSELF = " It is done by itself in a quiet moment, once a week at least."
KIB, MIB = 1024, 1024 * 1024


def _when(row: Happened) -> str:
    local = row.at.astimezone()
    return f"{shown(local.date())}, {shown_time(local)}"


HISTORY = (
    Column("when", "When", _when, 168),
    Column("who", "Who", lambda row: row.who, 130),
    Column("what", "What", lambda row: row.what, 190, "name"),
    Column("to", "To what", lambda row: row.to, 0),
)


class CareSection(Section):
    """The section: facts, copy and check at the top, the history below. Enter on an event shows its item."""

    key = "care"
    title = "Care of the register"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.copy_button = button("Make a copy now", "primary")
        self._check, self._back = button("Check the register"), button("Put a copy back…")
        self.head(self._check, self._back, self.copy_button)
        self.facts = {
            name: Words("", 13, 500, elide=True)
            for name in ("On a server", "File", "In the folder", "Size", "Items", "Records", "History ends with")
        }
        self._heads = {name: Words(name, 12, 400, "ink2") for name in self.facts}
        self.risk, self.copied, self.checked = VerdictLine(), VerdictLine(), VerdictLine()
        self.risk.hide()
        self.checked.say("unknown", "Not checked yet", "A check recomputes every date from the records.")
        self._by_itself = ""  # so for the sample and on a server, where the program checks only when told to
        self._told: ReadWhole | None = None
        self._not_copied = False
        self.faults = Faults()
        self.compare = button("Hold against a report…", "line")
        self.events = Shelf(HISTORY, "History, the latest first", lambda row: str(row.seq))
        self._ended = Words("", 12, 400, "ink2", elide=True)
        self.column.addWidget(self._top())
        self.column.addWidget(self._history(), 1)
        self.copy_button.clicked.connect(self.make_copy)
        self._back.clicked.connect(partial(desk.deeds.do, "register.put-back"))
        self._check.clicked.connect(partial(desk.deeds.do, "register.check"))
        self.compare.clicked.connect(partial(desk.deeds.do, "register.report"))
        desk.jobs.copied.connect(self._refresh_where_seen)
        self.events.view.chosen.connect(self._show_item)

    def _top(self) -> QWidget:
        sheet, grid = Sheet(), QGridLayout()
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        for line, (name, value) in enumerate(self.facts.items()):
            grid.addWidget(self._heads[name], line, 0)
            grid.addWidget(value, line, 1)
        grid.setRowStretch(len(self.facts), 1)
        right = QVBoxLayout()
        right.setSpacing(10)
        right.addWidget(self.risk)
        right.addWidget(self.copied)
        right.addWidget(self.checked)
        right.addStretch(1)
        column, row = QVBoxLayout(sheet), QHBoxLayout()
        column.setContentsMargins(20, 14, 20, 14)
        column.setSpacing(10)
        row.setSpacing(28)
        row.addLayout(grid, 1)
        row.addLayout(right, 1)
        column.addLayout(row)
        column.addWidget(self.faults)
        return sheet

    def _history(self) -> QWidget:
        sheet = Sheet()
        column, head = QVBoxLayout(sheet), QHBoxLayout()
        column.setContentsMargins(1, 12, 1, 4)
        column.setSpacing(4)
        head.setContentsMargins(16, 0, 16, 0)
        head.setSpacing(8)
        head.addWidget(Words("History", 15, 600))
        head.addWidget(self._ended, 1)
        head.addWidget(self.compare)
        column.addLayout(head)
        column.addWidget(self.events.view, 1)
        return sheet

    def fit(self, _across: int, *, narrow: bool) -> None:
        """Leave out on a narrow window who did it; his name is the user's own nearly always."""
        self.faults.fit(narrow=narrow)
        self.events.view.setColumnHidden(1, narrow)
        self.events.view.fit()

    def _refresh_where_seen(self) -> None:
        if self.isVisible() and not self._not_copied:
            self.refresh()

    def refresh(self) -> None:
        """Read the facts, how safe the register is, and the history."""
        now = self.desk.jobs.now()
        self.desk.jobs.ask(
            lambda connection: (
                care.care(connection), safety(connection, now), last_check(connection), history(connection)
            ),
            self._take,
        )  # fmt: skip

    def _take(self, found: tuple[Care, Safety | None, ReadWhole | None, list[Happened]]) -> None:
        facts, safe, last, events = found
        path = facts.path
        said = {
            "File": path.name if path else "",
            "On a server": facts.server,
            "In the folder": str(path.parent) if path else "",
            "Size": _size(facts.size) if path else "",
            "Items": _items(facts),
            "Records": f"{facts.records:,}",
            "History ends with": f"event {facts.events:,}, {facts.head[:HEAD]}",
        }
        for name, words in said.items():
            self.facts[name].say(words)
            for each in (self._heads[name], self.facts[name]):
                each.setVisible(bool(words))
        for of_copies in (self.copy_button, self._back):
            of_copies.setVisible(path is not None)
        self.risk.say("gap", "Not a safe place for a register", facts.risk)
        self.risk.setVisible(bool(facts.risk))
        self._show_copy(safe, on_server=path is None)
        self._by_itself = "" if safe is None else BY_ITSELF
        if last is not None and last != self._told:
            self._told = last
            self._show_last(last)
        self.events.show(events)
        self._ended.say(f"the latest {LATEST} events" if len(events) >= LATEST else counted(len(events), "event"))

    def _show_copy(self, safe: Safety | None, *, on_server: bool) -> None:
        if safe is None:
            more = "The server's keeper copies it." if on_server else "The sample is made anew each day."
            self.copied.say("unknown", "Not copied by this program", more)
        elif safe.newest is None:
            said = "No good copy" if safe.spoilt else "No copy yet"
            more = f"{safe.spoilt}A copy on another disk is what saves the register from a fault."
            self.copied.say("gap", said, more)
        else:
            said = f"Last good copy {self._moment(safe.newest.at)}"
            self.copied.say("tick" if safe.calm else "gap", said, "\n".join((safe.words, *map(_read_whole, safe.read))))

    def _moment(self, at: datetime) -> str:
        """Return when something was, and how long ago: "24 Nov 2026, 09:00, today"."""
        local = at.astimezone()
        days = (self.desk.jobs.today - local.date()).days
        ago = "today" if days <= 0 else f"{counted(days, 'day')} ago"
        return f"{shown(local.date())}, {shown_time(local)}, {ago}"

    def _show_last(self, last: ReadWhole) -> None:
        """Say what was found when the register was last checked, by this window or another."""
        when = f"checked {self._moment(last.at)}"
        if not last.faults:
            lately = self.desk.jobs.now() - last.at <= 2 * WITHIN
            more = f"The file, its history, and every date.{self._by_itself}" if lately else LONG_AGO
            self.checked.say("tick" if lately else "gap", f"All was well, {when}", more)
        else:
            self._show_wrong(last, when)
        self.faults.tell(last.faults, last.more)

    def _show_wrong(self, last: ReadWhole, when: str) -> None:
        wrong = counted(len(last.faults) + last.more, "thing is wrong", "things are wrong")
        self.checked.say("cross", f"{wrong}, {when}", "Put back a copy from before, or keep all and have it looked at.")

    def make_copy(self) -> None:
        """Copy the register into the folders that the settings name, or into one beside it."""
        self.copy_button.setEnabled(False)
        self._not_copied = False
        copy = partial(copy_now, now=self.desk.jobs.now())
        self.desk.jobs.run(copy, self._made, failed=self._not_made, said="Copying the register")

    def _made(self, made: Made) -> None:
        self.copy_button.setEnabled(True)
        self._not_copied = bool(made.faults)
        self.desk.jobs.copied.emit()
        good = [f"The copy {each.path.name} in {each.path.parent} is checked and good." for each in made.copies]
        self.desk.messages.tell(" ".join((*good, *made.faults)))
        if made.faults:
            said = "One of the copies was not made" if made.copies else "No copy was made"
            self.copied.say("cross", said, " ".join(made.faults))
        else:
            self.refresh()

    def _not_made(self, error: Exception) -> None:
        self.copy_button.setEnabled(True)
        if isinstance(error, Stopped):
            self.desk.messages.tell("Copying was cancelled; the copies that are there were left as they were.")
            return
        self.copied.say("cross", "No copy was made", str(error))
        self.desk.messages.failure(error)

    def check(self) -> None:
        """Check the register: the file, its history, and every date against records and rules."""
        self._check.setEnabled(False)
        self.checked.say("unknown", "Checking…", "The file, its history, and every date.")
        self.faults.tell()
        work = partial(_check, now=self.desk.jobs.now())
        self.desk.jobs.run(work, self._checked, failed=self._not_checked, said="Checking the register")

    def _checked(self, done: tuple[Checked, ReadWhole]) -> None:
        found, self._told = done
        self._check.setEnabled(True)
        if found.faults:
            self._show_wrong(self._told, f"checked {self._moment(self._told.at)}")
        else:
            items, dates = counted(found.counts["items"], "item"), counted(found.counts["duties"], "date")
            held = f"{items} with those removed, {dates} and {counted(found.events, 'event')} are as they should be."
            self.checked.say("tick", f"All is well, checked at {shown_time(self._told.at)}", held)
        self.faults.tell(found.faults, found.more)
        self.desk.jobs.copied.emit()
        self.desk.messages.tell("The register was checked.")

    def _not_checked(self, error: Exception) -> None:
        self._check.setEnabled(True)
        if isinstance(error, Stopped):
            self.checked.say("unknown", "Not checked: the check was cancelled", "It says nothing of the register.")
            return
        self.checked.say("cross", "The check could not be done", str(error))
        self.desk.messages.failure(error)

    def hold_against_report(self) -> None:
        """Ask what an earlier report says of the end of the history, and hold the history against it."""
        dialog = ReportDialog(self.window(), lambda events, mark: self._ask_of_report(dialog, events, mark))
        dialog.open()

    def _ask_of_report(self, dialog: ReportDialog, events: str, mark: str) -> None:
        def say(wrong: str) -> None:
            dialog.accept()
            if wrong:
                self.checked.say("cross", "The history is not the one of the report", wrong)
            else:
                said = f"Up to event {events.strip()} all is as it was when the report was written."
                self.checked.say("tick", "The history is the one of the report", said)

        def refuse(reason: Exception) -> None:
            if isinstance(reason, Refused | Unavailable):
                dialog.complain(str(reason))
            else:
                self.desk.messages.failure(reason)

        self.desk.jobs.ask(partial(told_by_report, events=events, mark=mark), say, failed=refuse)

    def _show_item(self, _key: str) -> None:
        event = self.events.current
        if isinstance(event, Happened) and event.item_id is not None:
            self.desk.go("register", event.item_id)


def _check(register: Register, now: datetime) -> tuple[Checked, ReadWhole]:
    with register.read(patient=True) as connection:
        found = check(connection)
        return found, note_check(connection, found, now)


def _read_whole(each: tuple[KeptCopy, datetime]) -> str:
    copy, at = each
    return f"{copy.path.parent}: read whole on {shown(at.astimezone().date())}."


def _items(facts: Care) -> str:
    removed = f", {facts.removed:,} more removed" if facts.removed else ""
    return f"{facts.items:,} at {counted(facts.sites, 'site')}{removed}"


def _size(size: int) -> str:
    return f"{size / MIB:,.1f} MB" if size >= MIB else f"{size / KIB:,.0f} kB"

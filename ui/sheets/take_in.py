"""Taking in a spreadsheet: which site it is of, what would come in, and every row that would not."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from register.errors import Refused, Unavailable
from register.exchange.sheets.mapping import Mapping
from register.exchange.sheets.mapping_file import read_mapping, write_mapping
from register.exchange.sheets.preview import SheetReading
from register.exchange.taking_in import FileTaken, read_file, take_in_reading
from register.services.copying import copy_before
from register.services.finding import SiteChoice
from register.services.intake import IntakeChoices
from register.services.intake_rows import RowProblem
from register.services.rulebooks import rulebook, rulebook_ids
from register.stopping import go_on
from register.store.engine import Register
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, beside
from ui.asking.told import Told
from ui.look.widgets import PickBox, Words, button
from ui.page import Desk

NEW_SITE: Final = ""
SHOWN: Final = 500
HEADS: Final = ("Sheet", "Row", "Column", "Value", "Why")


@dataclass(frozen=True, slots=True)
class _Tried:
    """What a rehearsal told: how the file was read, and what would come in; or why not."""

    reading: SheetReading | None
    taken: FileTaken | None
    why: str = ""


class TakeInDialog(Dialog):
    """Rehearses taking in a file whenever a choice changes, and takes it in on Alt+T."""

    def __init__(self, window: QWidget, desk: Desk, path: Path, sites: Sequence[SiteChoice]) -> None:
        super().__init__(window, f"Take in {path.name}", wide=860)
        self._desk, self._path = desk, path
        self._mapping: Mapping | None = None
        self._tried = _Tried(None, None)
        self._build(sites)
        self._connect()
        self._choose()

    def _build(self, sites: Sequence[SiteChoice]) -> None:
        self._site = PickBox()
        for site in sites:
            self._site.addItem(f"{site.name} ({site.code})", site.code)
        self._site.addItem("A new site", NEW_SITE)
        self._code, self._name, self._owner = QLineEdit(), QLineEdit(), QLineEdit()
        self._rules, self._class = PickBox(), PickBox()
        for key in rulebook_ids():
            self._rules.addItem(rulebook(key).title, key)
        self._code_field = Field("Code", self._code, "Short, such as YARD.")
        self._new = [
            self._code_field, Field("Name", self._name), Field("Owner", self._owner), Field("Rulebook", self._rules),
            Field("How its places are used", self._class, "Areas in the file can have their own class."),
        ]  # fmt: skip
        self._said = Words("", 13, 500, wrap=True)
        self._list = Told("Rows that are left out, and rows to look at", HEADS, (110, 46, 130, 120))
        self._use = button("Use a mapping…", "quiet")
        self._keep = button("Save how it was read…", "quiet")
        self.body.addWidget(Field("Site", self._site))
        self.body.addLayout(beside(*self._new[:3]))
        self.body.addLayout(beside(*self._new[3:]))
        self.body.addWidget(self._said)
        self.body.addWidget(self._list)
        row = QHBoxLayout()
        row.addWidget(self._use)
        row.addWidget(self._keep)
        row.addStretch(1)
        self.body.addLayout(row)
        self._take = self.answers(
            leave="Leave it", verb="Take in", key="Alt+T", deed=self._take_in,
            hint="Nothing is kept before you say so. The same file twice changes nothing.",
        )  # fmt: skip

    def _connect(self) -> None:
        self._site.currentIndexChanged.connect(self._choose)
        self._rules.currentIndexChanged.connect(self._classes)
        self._class.currentIndexChanged.connect(self._rehearse)
        for field in (self._code, self._name, self._owner):
            field.editingFinished.connect(self._rehearse)
        self._use.clicked.connect(self._use_mapping)
        self._keep.clicked.connect(self._keep_mapping)

    def _choose(self) -> None:
        """Ask for a new site's facts only where the site is new."""
        new = self._site.currentData() == NEW_SITE
        for field in self._new:
            field.setVisible(new)
        self._classes()

    def _classes(self) -> None:
        """Offer the classes of the chosen rulebook, the ones of premises."""
        before = self._class.currentData()
        self._class.blockSignals(True)  # noqa: FBT003 - Qt's own
        self._class.clear()
        for each in rulebook(self._rules.currentData()).environments.values():
            if not each.of_equipment:
                self._class.addItem(each.title, each.id)
        self._class.setCurrentIndex(max(0, self._class.findData(before)))
        self._class.blockSignals(False)  # noqa: FBT003 - Qt's own
        self._rehearse()

    def _choices(self) -> IntakeChoices:
        code = self._site.currentData()
        if code != NEW_SITE:
            return IntakeChoices(site=code)
        return IntakeChoices(
            self._code.text().strip(), self._name.text().strip(), self._owner.text().strip(),
            self._rules.currentData(), self._class.currentData(),
        )  # fmt: skip

    def _rehearse(self) -> None:
        choices = self._choices()
        self._code_field.complain("" if choices.site else "Give the site a code.")
        if not choices.site:
            self._show(_Tried(None, None, "Name the site, and what would come in is shown here."))
            return
        mapping, path = self._mapping, self._path
        self._said.say("Reading…", "ink2")
        moment, today = self._desk.jobs.moment, self._desk.jobs.today

        def work(register: Register) -> _Tried:
            try:
                reading = read_file(
                    register, path, choices, today=today, mapping=mapping, progress=lambda _rows: go_on()
                )
                if reading.questions:
                    return _Tried(reading, None, " ".join(reading.questions))
                taken = take_in_reading(
                    register, path, reading, choices, actor="rehearsal", at=moment(), today=today, dry_run=True
                )
            except (Refused, Unavailable) as reason:
                return _Tried(None, None, str(reason))
            return _Tried(reading, taken)

        self.gathers(self._desk.jobs.run(work, self._show, failed=self._desk.messages.failure, keeps=False))

    def _show(self, tried: _Tried) -> None:
        self._tried = tried
        self._keep.setVisible(tried.reading is not None)
        problems: Sequence[RowProblem] = ()
        if tried.taken is not None:
            self._said.say(_in_words(tried.taken), "ink")
            problems = tried.taken.taken.problems
        else:
            self._said.say(tried.why, "overdue" if tried.reading is None else "soon")
        self._list.tell(_told(problems))
        self._list.setVisible(bool(problems))
        self.fit()

    def _take_in(self) -> None:
        if self._tried.taken is None:
            self.complain("The file can't be taken in yet: see above what is missing.")
            return
        reading, choices, path = self._tried.taken.reading, self._choices(), self._path
        jobs, actor = self._desk.jobs, self._desk.jobs.actor
        moment, today = jobs.moment, jobs.today
        self._said.say("Taking in…", "ink2")

        def work(register: Register) -> tuple[FileTaken, str]:
            fault = copy_before(register, moment(), "import")
            return take_in_reading(register, path, reading, choices, actor=actor, at=moment(), today=today), fault

        self.works(jobs.run(work, self._taken, failed=self._failed, changes=True).set)

    def _taken(self, done: tuple[FileTaken, str]) -> None:
        taken, fault = done[0].taken, done[1]
        self._desk.jobs.copied.emit()
        said = (
            f"{self._path.name}: {taken.new_items:,} new items, {taken.changed_items:,} changed,"
            f" {taken.new_records:,} tests; {taken.refused:,} left out. {fault}"
        )
        self._desk.messages.tell(said.strip())
        self.accept()

    def _failed(self, error: Exception) -> None:
        self._show(self._tried)
        if not self.refused(error):
            self._desk.messages.failure(error)

    def _use_mapping(self) -> None:
        path = self._desk.messages.open_file("Use a mapping", "Mapping (*.toml)")
        if path is None:
            return
        try:
            self._mapping = read_mapping(path)
        except (Refused, Unavailable) as reason:
            self.complain(str(reason))
            return
        self.complain("")
        self._rehearse()

    def _keep_mapping(self) -> None:
        reading = self._tried.reading
        suggested = self._path.with_suffix(".toml").name
        path = self._desk.messages.save_file("Save how it was read", suggested, "Mapping (*.toml)")
        if path is None or reading is None:
            return
        try:
            write_mapping(reading.mapping_used, path)
        except (Refused, Unavailable) as reason:
            self.complain(str(reason))


def _in_words(done: FileTaken) -> str:
    taken = done.taken
    found = f" ({taken.as_found:,} with the verdict as found)" if taken.as_found else ""
    return (
        f"{done.reading.rows.rows_read:,} rows read. Items: {taken.new_items:,} new, {taken.changed_items:,} changed,"
        f" {taken.same_items:,} as they were. Tests: {taken.new_records:,} new{found}, {taken.same_records:,} known."
        f" Left out: {taken.refused:,}."
    )


def _told(problems: Sequence[RowProblem]) -> list[tuple[str, ...]]:
    """Return the rows that are left out, then those to look at, as they are listed."""
    ordered = sorted(problems, key=lambda each: (not each.refused, each.place.sheet, each.place.row))[:SHOWN]
    return [
        (
            each.place.sheet, str(each.place.row), each.column, each.value,
            each.reason if each.refused else f"Taken, but look: {each.reason}",
        )
        for each in ordered
    ]  # fmt: skip

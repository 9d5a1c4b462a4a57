"""Taking in a spreadsheet: which site it is of, what would come in, and every row that would not."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from register.domain.words import counted
from register.errors import Refused, Unavailable
from register.exchange.preview_book import write_preview
from register.exchange.sheets.file_reading import FileReading
from register.exchange.sheets.mapping import Mapping
from register.exchange.sheets.mapping_file import read_mapping, write_mapping
from register.exchange.taking_in import FileTaken, read_file, take_in_reading
from register.services.copying import copy_before
from register.services.finding import SiteChoice
from register.services.intake.rows import RowProblem
from register.services.intake.taking_in import IntakeChoices, Taken
from register.services.rulebooks import rulebook, rulebook_ids
from register.stopping import go_on
from register.store.engine import Register
from ui.asking.dialog import Dialog
from ui.asking.fields import Field, beside
from ui.asking.told import Told
from ui.look.widgets import PickBox, Words, button
from ui.messages import ask_where
from ui.page import Desk
from ui.sheets.corrections import Correctable, Corrections, columns_of, words_of

NEW_SITE: Final = ""
SHOWN: Final = 500
_LEFT_OUT: Final = "Columns were left out that may be needed: choose below what they are."
HEADS: Final = ("Sheet", "Row", "Column", "Value", "Why")


@dataclass(frozen=True, slots=True)
class _Tried:
    """What a rehearsal told: how the file was read, and what would come in; or why not."""

    reading: FileReading | None
    taken: FileTaken | None
    why: str = ""


class TakeInDialog(Dialog):
    """Rehearses taking in a file whenever a choice changes, and takes it in on Alt+T."""

    def __init__(self, window: QWidget, desk: Desk, path: Path, sites: Sequence[SiteChoice]) -> None:
        super().__init__(window, f"Take in {path.name}", wide=860)
        self._desk, self._path = desk, path
        self._mapping: Mapping | None = None
        self._tried = _Tried(None, None)
        self._rehearsed: IntakeChoices | None = None
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
        self._build_views()
        self._use = button("Use a mapping…", "quiet")
        self._keep = button("Save how it was read…", "quiet")
        self._save = button("Save the rows…", "quiet", hint="All rows as a workbook, those left out marked")
        self._afresh = button("Read it afresh", "quiet", hint="Without what is remembered of its headings")
        self.body.addWidget(Field("Site", self._site))
        self.body.addLayout(beside(*self._new[:3]))
        self.body.addLayout(beside(*self._new[3:]))
        self.body.addWidget(self._said)
        self._shown = Field("Show", self._view)
        self.body.addWidget(self._shown)
        for view in self._views:
            self.body.addWidget(view, 1)
        row = QHBoxLayout()
        row.setContentsMargins(-8, 0, 0, 0)  # the words of the first one stand under all others
        for each in (self._use, self._keep, self._save, self._afresh):
            row.addWidget(each)
        row.addStretch(1)
        self.body.addLayout(row)
        self._take = self.answers(
            leave="Leave it", verb="Take in", key="Alt+T", deed=self._take_in,
            hint="Nothing is kept before you say so. The same file twice changes nothing.",
        )  # fmt: skip

    def _build_views(self) -> None:
        """Make what can be shown of a file: its rows with something to say, its columns, its unknown words."""
        self._view = PickBox()
        self._list = Told("Rows that are left out, and rows to look at", HEADS, (110, 46, 130, 120))
        self._columns = Corrections(
            "Columns of the file", ("Sheet", "Column", "Such as", "Taken for"), (120, 150, 280), "Take this column for"
        )
        self._words = Corrections(
            "Words that are not known", ("Sheet", "Column", "Word", "May mean"), (120, 150, 220), "This word means"
        )
        self._views = (self._list, self._columns, self._words)

    def _connect(self) -> None:
        self._site.currentIndexChanged.connect(self._choose)
        self._rules.currentIndexChanged.connect(self._classes)
        self._class.currentIndexChanged.connect(self._rehearse)
        for field in (self._code, self._name, self._owner):
            field.editingFinished.connect(self._rehearse)
        self._use.clicked.connect(self._use_mapping)
        self._keep.clicked.connect(self._keep_mapping)
        self._save.clicked.connect(self._save_rows)
        self._afresh.clicked.connect(self._read_afresh)
        self._view.currentIndexChanged.connect(self._look)
        for each in (self._columns, self._words):
            each.corrected.connect(self._correct)

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
        choices = self._rehearsed = self._choices()
        self._code_field.complain("" if choices.site else "Give the site a code.")
        if not choices.site:
            self.waits_no_more()
            self._show(_Tried(None, None, "Name the site, and what would come in is shown here."))
            return
        mapping, path = self._mapping, self._path
        self._said.say("Reading…", "ink2")
        self._take.setEnabled(False)
        moment, today = self._desk.jobs.moment, self._desk.jobs.today

        def work(register: Register) -> _Tried:
            try:
                reading = read_file(
                    register, path, choices, today=today, mapping=mapping, progress=lambda _rows: go_on()
                )
                if reading.questions:
                    return _Tried(reading, None, _asked(reading))
                taken = take_in_reading(
                    register, path, reading, choices, actor="rehearsal", at=moment(), today=today, dry_run=True
                )
            except (Refused, Unavailable) as reason:
                return _Tried(None, None, str(reason))
            return _Tried(reading, taken)

        self.gathers(self._desk.jobs.run(work, self._show, failed=self._desk.messages.failure, keeps=False))

    def _show(self, tried: _Tried) -> None:
        self._tried = tried
        reading, taken = tried.reading, tried.taken
        problems: Sequence[RowProblem] = taken.taken.problems if taken is not None else ()
        columns = columns_of(reading.suggestions, reading.mapping_used) if reading is not None else []
        words = words_of(reading.suggestions, taken) if reading is not None else []
        if taken is not None:
            self._said.say(_in_words(taken, self._choices().site) + _unknown(taken, columns, words), "ink")
        else:
            self._said.say(tried.why, "overdue" if reading is None else "soon")
        self._list.tell(_told(taken.taken) if taken is not None else [])
        self._columns.tell(columns)
        self._words.tell(words)
        self._offer(
            problems, sum(each.is_column for each in columns), len(words), first=_first(reading, taken, columns, words)
        )
        self._keep.setVisible(bool(columns))
        self._save.setVisible(bool(columns) and taken is not None)
        self._afresh.setVisible(reading is not None and bool(reading.remembered))
        self._shown.setVisible(reading is not None)
        self._take.setEnabled(taken is not None)
        self._look()

    def _offer(self, problems: Sequence[RowProblem], columns: int, words: int, *, first: int | None) -> None:
        """Offer what there is to look at; what nothing comes in without comes first."""
        before = max(0, self._view.currentIndex()) if first is None else first
        self._view.blockSignals(True)  # noqa: FBT003 - Qt's own
        self._view.clear()
        self._view.addItems(_offered(problems, columns, words))
        self._view.setCurrentIndex(before)
        self._view.blockSignals(False)  # noqa: FBT003 - Qt's own
        self._view.setEnabled(bool(columns))

    def _look(self) -> None:
        for place, view in enumerate(self._views):
            view.setVisible(place == max(0, self._view.currentIndex()) and bool(self._tried.reading))
        self.fit()

    def _correct(self, line: Correctable, chosen: object) -> None:
        reading = self._tried.reading
        if reading is not None:
            self._mapping = self._columns.correct(reading.said or Mapping(), line, chosen)
            self._rehearse()

    def _read_afresh(self) -> None:
        self._mapping = Mapping()
        self._rehearse()

    def _save_rows(self) -> None:
        taken, file, today = self._tried.taken, self._path, self._desk.jobs.today
        path = ask_where(self._desk.messages, "Save the rows", f"{file.stem}-rows.xlsx", "Workbook (*.xlsx)")
        if path is None or taken is None:
            return
        self._desk.jobs.run(
            lambda _register: write_preview(file, taken, path, as_at=today),
            lambda marked: self._desk.messages.tell(f"The rows are in {path}; {marked:,} left out are marked."),
            failed=self._not_saved, said="Writing the rows",
        )  # fmt: skip

    def _not_saved(self, error: Exception) -> None:
        if not self.refused(error):
            self._desk.messages.failure(error)

    def _take_in(self) -> None:
        if self._choices() != self._rehearsed:  # typed since, and not shown yet what it would do
            self._rehearse()
            return
        tried = self._tried.taken
        assert tried is not None, "the button can't be pressed before the rehearsal told what would come in"
        reading, choices, path = tried.reading, self._choices(), self._path
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
            f"{self._path.name}: {counted(taken.new_items, 'new item')}, {taken.changed_items:,} changed,"
            f" {counted(taken.new_records, 'test')}; {taken.refused:,} left out. {fault}"
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
        path = ask_where(self._desk.messages, "Save how it was read", suggested, "Mapping (*.toml)")
        if path is None or reading is None:
            return
        try:
            write_mapping(reading.mapping_used, path)
        except (Refused, Unavailable) as reason:
            self.complain(str(reason))


def _offered(problems: Sequence[RowProblem], columns: int, words: int) -> list[str]:
    """Return what there is to look at, in words."""
    out = sum(each.refused for each in problems)
    return [
        f"{out:,} left out, {len(problems) - out:,} to look at",
        f"{counted(columns, 'column')} and what each is taken for",
        f"{counted(words, 'word or tag', 'words or tags')} to be sure of",
    ]


def _first(
    reading: FileReading | None, taken: FileTaken | None, columns: Sequence[Correctable], words: Sequence[Correctable]
) -> int | None:
    """Return what is looked at first: columns that are asked about, words or columns without which nothing comes in."""
    if reading is not None and taken is None:
        return 1
    if taken is None or taken.taken.items:
        return None
    if _lacks_columns(taken, columns):
        return 1
    return 2 if words else 1 if any(each.perhaps for each in columns) else None


def _lacks_columns(taken: FileTaken, columns: Sequence[Correctable]) -> bool:
    """Whether nothing comes in, not for its words, but because no column says what the items are."""
    unsaid = any(each.kind is None for each in taken.reading.rows.items)
    return not taken.taken.items and unsaid and any(each.perhaps for each in columns)


def _unknown(taken: FileTaken, columns: Sequence[Correctable], words: Sequence[Correctable]) -> str:
    """Say that there are words to be explained, or columns to be told without which nothing comes in, and where."""
    if _lacks_columns(taken, columns):
        return f" {_LEFT_OUT}"
    if count := sum(not each.is_tag for each in words):
        meant = "it means" if count == 1 else "they mean"
        return f" {counted(count, 'word is', 'words are')} not known here: say below what {meant}."
    if taken.taken.problems and not taken.taken.items and any(each.perhaps for each in columns):
        return f" {_LEFT_OUT}"
    return ""


def _asked(reading: FileReading) -> str:
    """Say what is asked about a file, which is answered by choosing; where that won't do, a mapping can say more."""
    asked = " ".join(each.said for each in reading.questions)
    return f"{asked} Choose below what the columns are, or use a mapping."


def _in_words(done: FileTaken, site: str) -> str:
    """Say what would come in, and where to if the file names other sites than the one chosen."""
    taken = done.taken
    elsewhere = [each for each in done.sites if each != site.upper()]
    said = f" The file itself says where its rows belong: {', '.join(elsewhere)}." if elsewhere else ""
    kept = f" Read as “{done.reading.remembered}” was." if done.reading.remembered else ""
    alone = f" ({counted(taken.tests_alone, 'test')} of items that come in)" if taken.tests_alone else ""
    found = f" ({taken.as_found:,} with the verdict as found)" if taken.as_found else ""
    return (
        f"{counted(done.reading.rows.rows_read, 'row')} read."
        f" Items: {taken.new_items:,} new, {taken.changed_items:,} changed,"
        f" {taken.same_items:,} as they were. Tests: {taken.new_records:,} new{found}, {taken.same_records:,} known."
        f" Left out: {taken.refused:,}{alone}.{said}{kept} {done.lacks}".rstrip()
    )


def _told(taken: Taken) -> list[tuple[str, ...]]:
    """Return the rows that are left out, then those to look at, as they are listed."""
    ordered = sorted(taken.problems, key=lambda each: (not each.refused, each.place.sheet, each.place.row))[:SHOWN]
    return [
        (
            each.place.sheet, str(each.place.row), each.column, each.value,
            taken.why(each) if each.refused else f"To look at: {each.reason}",
        )
        for each in ordered
    ]  # fmt: skip

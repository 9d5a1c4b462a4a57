"""Merging field work: what would come and what clashes is shown first, and kept only when somebody says so."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QWidget

from register.domain.words import Result, Standing, counted
from register.exchange.pack import merge_file
from register.services.copying import copy_before
from register.services.packs.joining import Clash
from register.services.packs.merging import Expired, Merged
from register.services.packs.merging_words import added_words, left_out_words
from register.stopping import Stopped
from register.store.engine import Register
from ui.asking.dialog import Block, Dialog
from ui.asking.told import Told
from ui.look.theme import standing_tone, verdict_tone
from ui.look.widgets import Words, button
from ui.page import Desk

SHOWN: Final = 500
HEADS: Final = ("Tag", "What stands now")


class MergeDialog(Dialog):
    """Rehearses the merge of a file, and does it on Alt+M."""

    def __init__(self, window: QWidget, desk: Desk, path: Path) -> None:
        super().__init__(window, f"Merge {path.name}", wide=760)
        self._desk, self._path = desk, path
        self._rehearsed: Merged | None = None
        self.sum = Words("Reading…", 16, 600)
        self.news = Words("", 13, 500, wrap=True)
        self.left_out = Words("", 12, 400, "ink2", wrap=True)
        self.clashes = Told("What clashes, and what stands now", HEADS, (140,))
        self.late = button("See what would come all the same   Alt L", "quiet")
        self.late.setShortcut("Alt+L")
        self._as_late = False
        self._calm = Block("tick", lambda: verdict_tone(Result.PASS), "ink")
        self._look = Block("again", lambda: standing_tone(Standing.DUE_SOON), "ink")
        for widget in (self.sum, self.news, self._calm, self._look, self.clashes, self.left_out, self.late):
            self.body.addWidget(widget)
        self.merge = self.answers(
            leave="Leave it", verb="Merge", key="Alt+M", deed=self._merge,
            hint="Nothing is kept before you say so. The same file twice adds nothing.",
        )  # fmt: skip
        self.late.clicked.connect(self._allow_late)
        self._show(None)
        self.late.hide()
        self._rehearse()

    def _allow_late(self) -> None:
        """Look at the work of an expired pack; whether it is merged is asked for after that."""
        self._as_late = True
        self.late.hide()
        self._rehearse()

    def _rehearse(self) -> None:
        self.merge.setEnabled(False)
        self.complain("")
        self._run(dry_run=True)

    def _merge(self) -> None:
        if self._rehearsed is None:
            return
        self._run(dry_run=False)

    def _run(self, *, dry_run: bool) -> None:
        jobs, path, late = self._desk.jobs, self._path, self._as_late
        moment, today, actor = jobs.moment, jobs.today, jobs.actor

        def work(register: Register) -> tuple[Merged, str]:
            fault = "" if dry_run else copy_before(register, moment(), "merge")
            return merge_file(register, path, actor=actor, at=moment(), today=today, late=late, dry_run=dry_run), fault

        if dry_run:
            self.gathers(jobs.run(work, lambda done: self._show(done[0]), failed=self._failed, keeps=False))
        else:
            self.works(jobs.run(work, self._merged, failed=self._failed, changes=True).set)

    def _show(self, found: Merged | None) -> None:
        self._rehearsed = found
        clashes: Sequence[Clash] = () if found is None else found.clashes
        self.news.setVisible(found is not None)
        if found is not None:
            done = found.progress
            self.sum.say(f"Sent {done.sent:,} / done {done.done:,} / left {done.left:,}")
            self.news.say(f"{found.holder}, at {', '.join(found.sites)}. {added_words(found)}")
            self._say_clashes(found)
        for block, wanted in ((self._calm, found is not None and not clashes), (self._look, bool(clashes))):
            block.setVisible(wanted)
        self.clashes.tell([(each.tag, each.what) for each in clashes[:SHOWN]])
        self.clashes.setVisible(bool(clashes))
        self.left_out.setVisible(found is not None and bool(found.left_out))
        self.merge.setEnabled(found is not None and not found.nothing_new)
        self.fit()

    def _say_clashes(self, found: Merged) -> None:
        self._calm.say("Nothing clashes.", "The field's deeds keep their own times and names in the history.")
        self._look.say(
            f"{counted(len(found.clashes), 'thing')} to look at. Nothing that was done is dropped.",
            "Here is what stands after the merge.",
        )
        self.left_out.say(f"Not taken over, because the office decides it: {left_out_words(found.left_out)}.")

    def _merged(self, answer: tuple[Merged, str]) -> None:
        done, fault = answer
        found = done.progress
        self._desk.jobs.copied.emit()
        said = (
            f"{self._path.name} is merged: sent {found.sent:,} / done {found.done:,} / left {found.left:,};"
            f" {counted(len(done.clashes), 'clash', 'clashes')}. {fault}"
        )
        self._desk.messages.tell(said.strip())
        self.accept()

    def _failed(self, error: Exception) -> None:
        if isinstance(error, Stopped):
            self.refused(error)
            return
        if not self.refused(error):
            self._desk.messages.failure(error)
            return
        self._show(None)
        self.sum.say("Not merged")
        self.news.hide()
        if isinstance(error, Expired):
            self.late.show()

"""What any page can do about tags: print those of some items, or give an item a new one."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from register.services.tags import NewTag, Retagging, new_tag, retagging
from register.store.engine import Change
from ui.asking.carrying_out import Asking
from ui.page import Desk
from ui.tags.dialog import TagDialog
from ui.tags.new_tag_dialog import NewTagDialog, TagMeant


class TagDeeds(Asking):
    """The deeds, and the dialog that is open. `window` gives the window over which is asked."""

    def __init__(self, parent: QObject, desk: Desk, window: Callable[[], QWidget]) -> None:
        super().__init__(parent, desk)
        self._window = window

    def print_tags(self, item_ids: Sequence[str]) -> None:
        """Ask how the tags of these items are printed."""
        if item_ids:
            self._open(TagDialog(self._window(), self._desk, item_ids))

    def give_new_tag(self, item_id: str) -> None:
        """Ask for the number of an item's new tag."""
        self._desk.jobs.ask(lambda at: retagging(at, item_id), self._ask)

    def _ask(self, about: Retagging) -> None:
        def give(meant: TagMeant) -> None:
            def deed(change: Change) -> NewTag:
                return new_tag(change, about.item_id, number=meant.number, range_id=meant.range_id)

            self._change(deed, self._given)

        self._open(NewTagDialog(self._window(), about, self._desk.jobs.actor, give))

    def _given(self, given: NewTag) -> None:
        self._done(f"{given.before} is {given.number} now; the old number still finds it.")

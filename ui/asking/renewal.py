"""What any page can do about an item that is worn or broken: replace it by another, or note that it was repaired."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QMenu, QPushButton, QWidget

from register.services.repairs import Repair, repaired
from register.services.replacing import Replaced, replace_item
from ui.asking.carrying_out import Asking
from ui.asking.repair import RepairDialog
from ui.asking.replace import About, Other, ReplaceDialog
from ui.look.widgets import button
from ui.page import Desk


class RenewalDeeds(Asking):
    """The deeds, and the dialog that is open. `chosen` gives the item that they are about, None where there is none."""

    def __init__(
        self, parent: QObject, desk: Desk, window: Callable[[], QWidget], chosen: Callable[[], About | None]
    ) -> None:
        super().__init__(parent, desk)
        self._window, self._chosen = window, chosen

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do."""
        return {"item.repaired": self.repair, "item.replace": self.replace}

    def more(self, *others: str) -> QPushButton:
        """Return a button that shows these deeds as a menu, and below them other actions by their ids."""
        shown = button("More", drop=True)
        menu = QMenu(shown)
        menu.addActions([self._desk.deeds.actions[key] for key in self.offers()])
        if others:
            menu.addSeparator()
            menu.addActions([self._desk.deeds.actions[key] for key in others])
        shown.setMenu(menu)
        return shown

    def replace(self) -> None:
        """Ask which item takes the place of this one."""
        about = self._chosen()
        if about is not None:
            self._open(ReplaceDialog(self._window(), about, partial(self._replace, about)))

    def _replace(self, about: About, other: Other) -> None:
        def done(made: Replaced) -> None:
            self._done(f"{made.old_tag} was removed for good; {made.new_tag} takes its place.")

        self._change(
            lambda change: replace_item(change, about.item_id, tag=other.tag, serial=other.serial, new=other.new), done
        )

    def repair(self) -> None:
        """Ask who repaired an item, on which day, and what was done."""
        about = self._chosen()
        if about is not None:
            self._open(RepairDialog(self._window(), about, self._desk.jobs.today, partial(self._repair, about)))

    def _repair(self, about: About, said: Repair) -> None:
        told = f"The repair of {about.tag} is noted; it must pass before it is used."
        self._change(lambda change: repaired(change, about.item_id, said), lambda _kept: self._done(told))

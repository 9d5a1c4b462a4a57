"""What can be done with the item that is chosen: each asks what it needs, then changes the register."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Protocol

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from register.domain.schedule import Scope
from register.domain.words import Standing
from register.services.before_withdrawing import Withdrawing, withdrawing
from register.services.corrections import Corrected, void_record
from register.services.editing import Changed, ItemForm, change_item, enter_by_hand, item_form, move_to, moved_words
from register.services.item_card import ItemCard
from register.services.place_choices import SiteWithAreas, sites_with_areas
from register.services.whereabouts import found_again, mark_missing
from register.services.withdrawals.deeds import remove
from register.store.engine import Change
from ui.asking.carrying_out import Asking
from ui.asking.cord import CordDeed
from ui.asking.decision import ask_interval
from ui.asking.remove import RemoveDialog
from ui.asking.renewal import RenewalDeeds
from ui.asking.replace import About
from ui.asking.void import VoidDialog
from ui.asking.withdraw import WithdrawalMeant, WithdrawDialog, take_out
from ui.page import Desk
from ui.register_page.item_dialog import Answer, ItemDialog
from ui.register_page.move_dialog import MoveDialog, Place
from ui.tags.deeds import TagDeeds
from ui.wanted import CorrectRecord


class Where(Protocol):
    """What the deeds need to know of the page."""

    def chosen_card(self) -> ItemCard | None:
        """Return the card of the item that is chosen."""
        ...

    def chosen_items(self) -> list[str]:
        """Return the ids of the items that are chosen in the list."""
        ...

    def chosen_site(self) -> str:
        """Return the id of the site that the list is narrowed to; empty where it isn't."""
        ...

    def show_wanted(self, wanted: object) -> None:
        """Show an item."""

    def window(self) -> QWidget:
        """Return the window over which is asked."""
        ...


_LIVING = (
    "item.edit", "item.move", "item.interval", "item.test", "item.tag", "item.new-tag", "item.withdraw",
    "item.repaired", "item.replace", "item.remove",
)  # fmt: skip


class ItemDeeds(Asking):
    """The deeds of the page, and the dialog that is open."""

    def __init__(self, parent: QObject, page: Where, desk: Desk) -> None:
        super().__init__(parent, desk)
        self._page = page
        self.tags = TagDeeds(self, desk, page.window)
        self.cord = CordDeed(self, desk, page.window)
        self.renewal = RenewalDeeds(self, desk, page.window, lambda: _about(page.chosen_card()))

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do."""
        return {
            "item.add": self.add, "item.edit": self.edit, "item.move": self.move, "item.interval": self.decide,
            "item.test": self.test,
            "item.tag": self.print_tags, "item.new-tag": self.give_new_tag, "item.withdraw": self.withdraw,
            "item.missing": self.miss, "item.found": self.find, "item.remove": self.remove,
            **self.renewal.offers(),
        }  # fmt: skip

    def enable(self) -> None:
        """Say which deeds are possible with the item that is chosen."""
        card = self._page.chosen_card()
        living = card is not None and card.item.standing is not Standing.REMOVED
        for key in _LIVING:
            self._desk.deeds.enable(key, enabled=living)
        missed = card is not None and card.item.not_found_on is not None
        self._desk.deeds.enable("item.missing", enabled=living and not missed)
        self._desk.deeds.enable("item.found", enabled=living and missed)

    # --- adding and changing ---

    def add(self) -> None:
        """Ask for a new item."""
        self._desk.jobs.ask(sites_with_areas, self._ask_new)

    def _ask_new(self, sites: tuple[SiteWithAreas, ...]) -> None:
        if not sites:
            self._desk.messages.tell("An item stands on a site: add the site first.")
            self._desk.deeds.do("go.firm")
            return
        window, today = self._page.window(), self._desk.jobs.today
        self._open(ItemDialog(window, None, sites, today, self._add, site_id=self._page.chosen_site()))

    def _add(self, answer: Answer) -> None:
        def enter(change: Change) -> str:
            return enter_by_hand(
                change, answer.tag, answer.facts, site_id=answer.site_id, area=answer.area, since=answer.since,
                new=answer.new,
            )  # fmt: skip

        def added(key: str) -> None:
            self._done(f"{answer.tag} added.")
            self._page.show_wanted(key)
            if answer.cord:
                self.cord.ask(key, at_fault=False)

        self._change(enter, added)

    def edit(self) -> None:
        """Ask what is to be changed of the item."""
        self._with_form(self._ask_changes)

    def _ask_changes(self, form: ItemForm, sites: tuple[SiteWithAreas, ...]) -> None:
        deed = partial(self._save, form)
        dialog = ItemDialog(self._page.window(), form, sites, self._desk.jobs.today, deed)
        dialog.class_meant.connect(partial(self._rehearse_class, form, dialog))
        self._open(dialog)

    def _rehearse_class(self, form: ItemForm, dialog: ItemDialog, environment: str | None) -> None:
        facts = replace(form.facts, environment=environment)

        def failed(error: Exception) -> None:
            if not dialog.gone and not dialog.refused(error):
                self._desk.messages.failure(error)

        stop = self._desk.jobs.rehearse(
            lambda change: change_item(change, form.item_id, facts, version=form.version),
            partial(dialog.show_class, environment), failed=failed,
        )  # fmt: skip
        dialog.gathers(stop)

    def _save(self, form: ItemForm, answer: Answer) -> None:
        assert self.dialog is not None
        version = self.dialog.known(form.version)
        self._change(
            lambda change: change_item(change, form.item_id, answer.facts, version=version, opened=form.facts),
            self._changed,
        )

    def _changed(self, changed: Changed) -> None:
        self._done(f"{changed.tag} changed. {moved_words(changed)}")

    # --- moving ---

    def move(self) -> None:
        """Ask where the item goes, and show its dates there before."""
        self._with_form(self._ask_place)

    def _ask_place(self, form: ItemForm, sites: tuple[SiteWithAreas, ...]) -> None:
        dialog = MoveDialog(self._page.window(), form, sites, self._desk.jobs.today, partial(self._move, form))
        dialog.place_meant.connect(partial(self._rehearse, form, dialog))
        self._open(dialog)

    def _rehearse(self, form: ItemForm, dialog: MoveDialog, place: Place) -> None:
        def failed(error: Exception) -> None:
            if not dialog.not_possible(place, error):
                self._desk.messages.failure(error)

        stop = self._desk.jobs.rehearse(
            lambda change: move_to(change, form.item_id, place.site_id, place.area, version=form.version),
            partial(dialog.show_dates, place), failed=failed,
        )  # fmt: skip
        dialog.gathers(stop)

    def _move(self, form: ItemForm, place: Place) -> None:
        def moved(changed: Changed) -> None:
            self._done(f"{changed.tag} moved to {changed.site}, {changed.area}. {moved_words(changed)}")

        self._change(
            lambda change: move_to(change, form.item_id, place.site_id, place.area, version=form.version), moved
        )

    def decide(self) -> None:
        """Ask which other interval a duty of the item is to have."""
        card = self._page.chosen_card()
        if card is not None:
            ask_interval(self._page.window(), self._desk, Scope.ITEM, card.item.item_id)

    # --- tags ---

    def print_tags(self) -> None:
        """Ask how the tags of the chosen items are printed."""
        self.tags.print_tags(self._page.chosen_items())

    def give_new_tag(self) -> None:
        """Ask for the number of the item's new tag."""
        card = self._page.chosen_card()
        if card is not None:
            self.tags.give_new_tag(card.item.item_id)

    # --- testing, and out of service ---

    def test(self) -> None:
        """Put the item on the bench."""
        card = self._page.chosen_card()
        if card is not None:
            self._desk.go("bench", card.item.item_id)

    def withdraw(self) -> None:
        """Ask why the item is taken out of service, and under which tag."""
        card, today = self._page.chosen_card(), self._desk.jobs.today
        if card is not None:
            self._desk.jobs.ask(lambda at: withdrawing(at, card.item.item_id, today), self._ask_withdrawal)

    def _ask_withdrawal(self, about: Withdrawing) -> None:
        self._open(WithdrawDialog(self._page.window(), self._desk, about, partial(self._withdraw, about)))

    def _withdraw(self, about: Withdrawing, said: WithdrawalMeant) -> None:
        def taken_out(its_tag: str) -> None:
            self._done(f"{about.tag} taken out of service, {its_tag}.")
            if said.cord:
                self.cord.ask(said.item_id, at_fault=True)

        self._change(partial(take_out, said), taken_out)

    def miss(self) -> None:
        """Mark the item as not found."""
        card = self._page.chosen_card()
        if card is not None:
            said = f"{card.item.tag} is marked as not found, and asked for again at the next visit."
            self._change(lambda change: mark_missing(change, card.item.item_id), lambda _done: self._done(said))

    def find(self) -> None:
        """Take back that the item was not found."""
        card = self._page.chosen_card()
        if card is not None:
            said = f"{card.item.tag} is there again."
            self._change(lambda change: found_again(change, card.item.item_id), lambda _done: self._done(said))

    def remove(self) -> None:
        """Ask why the item is removed for good."""
        card = self._page.chosen_card()
        if card is not None:
            item = card.item
            place = f"{item.site_name}, {item.area}"
            deed = partial(self._remove, item.item_id)
            self._open(RemoveDialog(self._page.window(), item.tag, item.description, place, deed))

    def _remove(self, item_id: str, reason: str) -> None:
        self._change(
            lambda change: remove(change, item_id, reason=reason), lambda tag: self._done(f"{tag} removed for good.")
        )

    def correct(self, record_id: str) -> None:
        """Lay a wrong record on the bench, where it is put right."""
        self._desk.go("bench", CorrectRecord(record_id))

    def void(self, record_id: str) -> None:
        """Ask why a record is to count no more."""
        card = self._page.chosen_card()
        record = next((each for each in card.records if each.id == record_id), None) if card is not None else None
        if card is not None and record is not None:
            self._open(VoidDialog(self._page.window(), card, record, partial(self._void, record_id)))

    def _void(self, record_id: str, reason: str) -> None:
        def told(done: Corrected) -> None:
            out = " The item is out of service." if done.out_of_service else ""
            self._done(f"The record of {done.tag} counts no more.{out}")

        self._change(lambda change: void_record(change, record_id, reason), told)

    def _with_form(self, then: Callable[[ItemForm, tuple[SiteWithAreas, ...]], None]) -> None:
        card = self._page.chosen_card()
        if card is not None:
            key = card.item.item_id
            self._desk.jobs.ask(lambda at: (item_form(at, key), sites_with_areas(at)), lambda found: then(*found))


def _about(card: ItemCard | None) -> About | None:
    if card is None:
        return None
    item = card.item
    return About(item.item_id, item.tag, item.description, f"{item.site_name}, {item.area}")

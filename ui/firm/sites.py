"""Sites: whose they are, how harshly things are used there, by which rulebook; and the areas of the one chosen."""

from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QMenu, QVBoxLayout, QWidget

from register.domain.schedule import Scope
from register.domain.words import counted
from register.errors import Refused, Unavailable
from register.services import firm
from register.services.firm import AreaRow, Redated, SiteRow
from register.services.places import add_site
from register.services.settings import setting
from register.store.engine import Change
from ui.asking.decision import ask_interval
from ui.asking.visiting import ask_visiting
from ui.firm.area_dialog import AreaDialog, AreaMeant
from ui.firm.empty import Empty
from ui.firm.lists import Shelf
from ui.firm.owner_dialog import OwnerDialog
from ui.firm.section import LARGE, Section, joined
from ui.firm.site_dialog import SiteDialog, SiteMeant
from ui.look.flow import Flow
from ui.look.typeface import px
from ui.look.widgets import Sheet, Words, button
from ui.page import Desk
from ui.table.model import Column

SITES = (
    Column("code", "Code", lambda row: row.code, 84, "code"),
    Column("name", "Site", lambda row: row.facts.name, 0, "name"),
    Column("owner", "Owner", lambda row: row.owner.name, 176),
    Column("environment", "Class", lambda row: row.environment, 204),
    Column("rulebook", "Rulebook", lambda row: row.facts.rulebook, 112, "code"),
    Column("items", "Items", lambda row: f"{row.items:,}", 52, "number"),
    Column("address", "Address", lambda row: row.facts.address, 260),
)
MEDIUM_LEAVES = frozenset({"rulebook", "address"})
NARROW_LEAVES = MEDIUM_LEAVES | {"owner", "environment"}
LARGE_LEAVES = NARROW_LEAVES | {"code", "items"}
"""In large type a site is known by its name alone."""
CARD = 388
WIDE = 1700
"""From this width on there is room for every column."""

AREAS = (
    Column("name", "Area", lambda row: row.name, 116, "name"),
    Column("environment", "Class", lambda row: row.environment, 0),
    Column("items", "Items", lambda row: f"{row.items:,}", 52, "number"),
)


def _areas_of(connection: Any, site_id: str) -> list[AreaRow]:  # noqa: ANN401 - a connection, which is the register's
    return firm.areas(connection, site_id)


def _change_area(area: AreaRow, meant: AreaMeant, change: Change) -> Redated:
    return firm.change_area(
        change, area.id, name=meant.name, environment=meant.environment, version=area.version, opened=area
    )


class SitesSection(Section):
    """The section. Enter on a site changes it; Enter on an area changes that."""

    key = "sites"
    title = "Sites"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._rulebook = ""
        self.sites = Shelf(SITES, "Sites", lambda row: row.id)
        self.areas = Shelf(AREAS, "Areas of the site", lambda row: row.id)
        self._change, self._add = button("Change site…"), button("Add a site…", "primary")
        self._owner, self._visits = button("Change owner…"), button("Visits…", hint="How the site is visited")
        self.head(self._owner, self._visits, self._change, self._add)
        sheet = Sheet()
        within = QVBoxLayout(sheet)
        within.setContentsMargins(1, 4, 1, 4)
        self._empty = Empty(
            "No site yet", "Add one here, or take in a spreadsheet with Ctrl+I: it brings its site along."
        )
        within.addWidget(self._empty, 1)
        within.addWidget(self.sites.view, 1)
        self._card = self._make_card()
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addWidget(sheet, 1)
        row.addWidget(self._card)
        self.column.addLayout(row, 1)
        self._connect()

    def _make_card(self) -> QWidget:
        card = Sheet()
        self._place, self._name = Words("", 12, 500, "accent"), Words("", 20, 600, elide=True)
        self._whose = Words("", 13, 500, elide=True)
        self._facts = [Words("", 12, 400, "ink2", wrap=True) for _line in range(4)]
        self._new_area, self._change_area = button("Add an area…"), button("Change area…")
        column = QVBoxLayout(card)
        column.setContentsMargins(1, 18, 1, 14)
        column.setSpacing(6)
        for widget in (self._place, self._name, self._whose, *self._facts):
            line = QHBoxLayout()
            line.setContentsMargins(15, 0, 15, 0)
            line.addWidget(widget, 1)
            column.addLayout(line)
        column.addSpacing(6)
        column.addWidget(self.areas.view, 1)
        buttons = Flow()
        self._interval = button("Interval", hint="Another interval for a duty here", drop=True)
        menu = QMenu(self._interval)
        menu.addAction("For the site…").triggered.connect(partial(self.decide, Scope.SITE))
        self._for_area = menu.addAction("For the area…")
        self._for_area.triggered.connect(partial(self.decide, Scope.AREA))
        self._interval.setMenu(menu)
        for each in (self._change_area, self._interval, self._new_area):
            buttons.addWidget(each)
        below = QHBoxLayout()
        below.setContentsMargins(15, 6, 15, 0)
        below.addLayout(buttons)
        column.addLayout(below)
        return card

    def _connect(self) -> None:
        self.sites.view.current_changed.connect(self._chosen)
        self.sites.view.chosen.connect(self.change_site)
        self.areas.view.chosen.connect(self.change_area)
        self.desk.deeds.leads_to_change(
            self._add, self._change, self._owner, self._visits, self._new_area, self._change_area, self._interval
        )
        self._add.clicked.connect(self.add_site)
        self._change.clicked.connect(self.change_site)
        self._owner.clicked.connect(self.change_owner)
        self._visits.clicked.connect(self.change_visits)
        self._new_area.clicked.connect(self.add_area)
        self._change_area.clicked.connect(self.change_area)

    def fit(self, across: int, *, narrow: bool) -> None:
        """Leave out on a narrow window what the card beside says as well."""
        self._card.setFixedWidth(min(px(CARD), across // 2))
        leaves = NARROW_LEAVES if narrow else MEDIUM_LEAVES if across < px(WIDE) else frozenset()
        leaves = LARGE_LEAVES if across < px(LARGE) else leaves
        for place, column in enumerate(SITES):
            self.sites.view.setColumnHidden(place, column.key in leaves)
        self.sites.view.fit()

    def refresh(self) -> None:
        """Read the sites."""
        self.desk.jobs.ask(lambda connection: (firm.sites(connection), setting(connection, "default_rulebook", "")),
                           self._take)  # fmt: skip

    def _take(self, found: tuple[list[SiteRow], str]) -> None:
        rows, self._rulebook = found
        self.sites.show(rows)
        self.sites.view.setVisible(bool(rows))
        self._card.setVisible(bool(rows))
        self._empty.setVisible(not rows)
        owners = len({row.owner.id for row in rows})
        items = sum(row.items for row in rows)
        self.about.say(
            f"{counted(len(rows), 'site')} of {counted(owners, 'owner')},"
            f" {counted(items, 'item')}" if rows else ""
        )  # fmt: skip
        for each in (self._change, self._owner, self._visits):
            each.setEnabled(bool(rows))
        self._chosen()

    def _chosen(self, _key: str = "") -> None:
        """Show the site under the cursor beside the list."""
        site = self.site
        if site is None:
            return
        facts, owner = site.facts, site.owner
        self._place.say(joined([site.code, counted(site.items, "item")]))
        self._name.say(facts.name)
        self._whose.say(joined([owner.name, owner.contact]))
        plan = facts.reading_plan
        asked = [f"{multiple:f}×" for multiple in plan.multiples]
        asked += (["half current held"] if plan.half else []) + (["rising current"] if plan.ramp else [])
        said = (
            facts.address, facts.access and f"Access: {facts.access}", f"{site.environment}, by {site.rulebook}",
            f"Readings of safety switches: {', '.join(asked)}",
        )  # fmt: skip
        for words, line in zip(self._facts, said, strict=True):
            words.say(line)
            words.setVisible(bool(line))
        self.desk.jobs.ask(partial(_areas_of, site_id=site.id), partial(self._take_areas, site.id))

    def _take_areas(self, site_id: str, rows: list[AreaRow]) -> None:
        if self.site is not None and self.site.id == site_id:
            self.areas.show(rows)
            self._change_area.setEnabled(bool(rows))
            self._for_area.setEnabled(bool(rows))

    @property
    def site(self) -> SiteRow | None:
        """The site under the cursor."""
        found = self.sites.current
        return found if isinstance(found, SiteRow) else None

    def add_site(self) -> None:
        """Ask for a new site."""
        self._ask_site(None)

    def change_site(self, _key: object = None) -> None:
        """Ask what is to change of the site under the cursor."""
        if self.site is not None:
            self._ask_site(self.site)

    def _ask_site(self, site: SiteRow | None) -> None:
        owners = sorted({row.owner.name for row in self.sites.rows})
        dialog = SiteDialog(self.window(), site, owners, self._rulebook, self._keep_site)
        dialog.rehearsal.connect(partial(self._rehearse_site, dialog))
        self.open(dialog)

    def _keep_site(self, meant: SiteMeant) -> None:
        if meant.site is None:
            self.carry_out(lambda change: add_site(change, meant.new), partial(self._added, meant.new.name))
            return
        site, version = meant.site, self.known(meant.site.version)
        self.carry_out(
            lambda change: firm.change_site(change, site.id, meant.facts, version=version, opened=site.facts),
            partial(self.kept, meant.facts.name),
        )  # fmt: skip

    def _rehearse_site(self, dialog: SiteDialog, meant: SiteMeant) -> None:
        site = meant.site
        if site is not None:
            stop = self.desk.jobs.rehearse(
                lambda change: firm.change_site(change, site.id, meant.facts, version=site.version),
                partial(dialog.show_effect, meant), failed=partial(self._no_effect, dialog, meant),
            )  # fmt: skip
            dialog.gathers(stop)

    def _no_effect(self, dialog: SiteDialog | AreaDialog, meant: SiteMeant | AreaMeant, error: Exception) -> None:
        if not isinstance(error, Refused | Unavailable):
            self.desk.messages.failure(error)
        elif self.dialog is dialog:
            dialog.show_refusal(meant, str(error))

    def change_owner(self) -> None:
        """Ask what is to change of the owner of the site under the cursor."""
        if self.site is not None:
            self.open(OwnerDialog(self.window(), self.site.owner, self._keep_owner))

    def _keep_owner(self, owner: firm.OwnerRow, name: str, contact: str) -> None:
        version = self.known(owner.version)
        self.carry_out(
            lambda change: firm.change_owner(
                change, owner.id, name=name, contact=contact, version=version, opened=owner
            ),
            partial(self._told, f"{name} was changed."),
        )  # fmt: skip

    def change_visits(self) -> None:
        """Ask how the site under the cursor is visited."""
        if self.site is not None:
            ask_visiting(self, self.desk, self.site.id, self.site.facts.name)

    def decide(self, scope: Scope, _on: object = None) -> None:
        """Ask which other interval a duty is to have at the site or in the area under the cursor."""
        found = (self.sites if scope is Scope.SITE else self.areas).current
        if isinstance(found, SiteRow | AreaRow):
            ask_interval(self, self.desk, scope, found.id)

    def add_area(self) -> None:
        """Ask for a new area of the site under the cursor."""
        if self.site is not None:
            self._ask_area(self.site, None)

    def change_area(self, _key: object = None) -> None:
        """Ask what is to change of the area under the cursor."""
        area = self.areas.current
        if self.site is not None and isinstance(area, AreaRow):
            self._ask_area(self.site, area)

    def _ask_area(self, site: SiteRow, area: AreaRow | None) -> None:
        dialog = AreaDialog(self.window(), site, area, self._keep_area)
        dialog.rehearsal.connect(partial(self._rehearse_area, dialog))
        self.open(dialog)

    def _keep_area(self, meant: AreaMeant) -> None:
        area = meant.area
        if area is None:
            self.carry_out(
                lambda change: firm.add_area(change, meant.site_id, meant.name, meant.environment),
                partial(self._added, meant.name),
            )  # fmt: skip
            return
        known = replace(area, version=self.known(area.version))
        self.carry_out(partial(_change_area, known, meant), partial(self.kept, meant.name))

    def _rehearse_area(self, dialog: AreaDialog, meant: AreaMeant) -> None:
        if meant.area is not None:
            stop = self.desk.jobs.rehearse(
                partial(_change_area, meant.area, meant), partial(dialog.show_effect, meant),
                failed=partial(self._no_effect, dialog, meant),
            )  # fmt: skip
            dialog.gathers(stop)

    def _added(self, name: str, _key: str) -> None:
        self._told(f"{name} is in the register now.")

    def kept(self, name: str, done: Redated) -> None:
        """Say what a change did."""
        dates = f" {counted(done.earlier, 'item has', 'items have')} an earlier date." if done.earlier else ""
        self._told(f"{name} was changed.{dates}")

    def _told(self, said: str, _nothing: object = None) -> None:
        if self.dialog is not None:
            self.dialog.accept()
        self.desk.messages.tell(said)

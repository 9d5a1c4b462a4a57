"""How to open each dialog of the program, for the tests that look at all of them."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta
from importlib import import_module
from pathlib import Path
from typing import Any

from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QDialog
from pytestqt.qtbot import QtBot

from register.domain.schedule import Scope
from register.domain.words import Result, SetUp
from register.exchange.pack import open_pack, write_pack, write_work
from register.planning.kept_settings import PlanSettings
from register.services.before_withdrawing import withdrawing
from register.services.bench.correction import to_correct
from register.services.deciding import deciding
from register.services.editing import item_form
from register.services.finding import site_choices
from register.services.firm import areas, sites
from register.services.item_card import item_card
from register.services.place_choices import sites_with_areas
from register.services.putting_back import WayBack
from register.services.tags import retagging
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.visiting import VanFacts, Visiting, keep_van
from register.store.engine import open_register
from register.store.kept_copies import KeptCopy
from register.store.lock import Holder
from resources import RESOURCES
from tests.desk import Desk
from tests.ui.conftest import CLOCK, TODAY
from ui.asking.replace import About
from ui.program import Program
from ui.week.stop_dialog import stop_told

SAMPLES = RESOURCES.parent / "sample_sites"
DEPOT, YARD = "copperlane-cleaning-depot.csv", "brackwater-boatyard.xlsx"


def nothing(*_said: object) -> None:
    """Take an answer and do nothing."""


@dataclass
class Opener:
    """Opens dialogs over a window."""

    qtbot: QtBot
    program: Program
    desk: Desk
    settled: Callable[[], None]
    folder: Path

    def open(self, name: str) -> QDialog:
        """Open the dialog of a class, and wait until it stands there."""
        opened = OPENERS[name](self)
        if opened is None:
            self.settled()
            opened = QApplication.activeModalWidget() or QApplication.activeWindow()
        else:
            opened.open()
        assert isinstance(opened, QDialog)
        assert type(opened).__name__ == name
        self.qtbot.waitUntil(opened.isVisible)
        opened.activateWindow()
        self.settled()
        return opened

    def asked(self, service: Callable[..., Any], *facts: object) -> Any:  # noqa: ANN401 - the answer of any service
        with self.desk.read() as connection:
            return service(connection, *facts)

    def make(self, name: str, *facts: object) -> QDialog:
        module, _, kind = name.rpartition(".")
        made = getattr(import_module(module), kind)(self.program.frame, *facts)
        assert isinstance(made, QDialog)
        return made

    def do(self, action: str, page: str = "", tag: str = "") -> None:
        """Go to a page, with an item if a tag is given, and do what an action does there."""
        if page:
            self.program.frame.go(page, self.desk.id(tag) if tag else None)
            self.settled()
        self.program.frame.deeds.do(action)
        self.settled()


def _made(name: str, *services: tuple[Any, ...]) -> Callable[[Opener], QDialog]:
    """Give an opener that makes a dialog from the answers of services."""
    return lambda o: o.make(name, *(o.asked(*each) for each in services), nothing)


def _done(action: str, page: str = "", tag: str = "") -> Callable[[Opener], None]:
    return lambda o: o.do(action, page, tag)


def _site(o: Opener) -> Any:  # noqa: ANN401 - a row as the page gets it
    return o.asked(sites)[0]


def _area(o: Opener) -> QDialog:
    site = _site(o)
    return o.make("ui.firm.area_dialog.AreaDialog", site, o.asked(areas, site.id)[0], nothing)


def _site_dialog(o: Opener) -> QDialog:
    return o.make("ui.firm.site_dialog.SiteDialog", _site(o), ["Harbour Ltd"], "", nothing)


def _void(o: Opener) -> QDialog:
    o.desk.test("RR-2")
    card = o.asked(item_card, o.desk.id("RR-2"), TODAY)
    return o.make("ui.asking.void.VoidDialog", card, card.records[0], nothing)


def _correct(o: Opener) -> QDialog:
    item = o.asked(to_correct, o.desk.test("RR-2").id, TODAY)
    return o.make("ui.bench.correcting.CorrectDialog", item, Result.PASS, nothing)


def _about(o: Opener) -> About:
    return About(o.desk.id("RR-2"), "RR-2", "Switch of one", "Yard, Loft")


def _withdraw(o: Opener) -> QDialog:
    about = o.asked(withdrawing, o.desk.id("RR-2"), TODAY)
    return o.make("ui.asking.withdraw.WithdrawDialog", o.program.desk, about, nothing)


def _photo(o: Opener) -> QDialog:
    image = QImage(1_600, 1_200, QImage.Format.Format_RGB32)
    image.fill(QColor("#8a5a2b"))
    return o.make("ui.asking.photo_view.PhotoDialog", "Photo of RR-2", "Taken out of service; photo by Kim.", image)


def _cord(o: Opener) -> QDialog:
    about = o.asked(withdrawing, o.desk.id("RR-2"), TODAY)
    return o.make("ui.asking.cord.CordDialog", about, nothing)


def _move(o: Opener) -> QDialog:
    form, choices = o.asked(item_form, o.desk.id("RR-2")), o.asked(sites_with_areas)
    return o.make("ui.register_page.move_dialog.MoveDialog", form, choices, TODAY, nothing)


def _item(o: Opener) -> QDialog:
    form, choices = o.asked(item_form, o.desk.id("RR-1")), o.asked(sites_with_areas)
    return o.make("ui.register_page.item_dialog.ItemDialog", form, choices, TODAY, nothing)


def _decision(o: Opener) -> QDialog:
    about = o.asked(deciding, Scope.ITEM, o.desk.id("RR-1"))
    return o.make("ui.asking.decision.DecisionDialog", about, TODAY, nothing)


def _put_back(o: Opener) -> QDialog:
    at = CLOCK.now()
    copies = [KeptCopy(o.folder / f"firm-{days}.register", at - timedelta(days=days)) for days in (1, 8)]
    ways = [WayBack(copies[0], 3, earlier=True), WayBack(copies[1], None, earlier=False)]
    return o.make("ui.asking.put_back.PutBackDialog", "firm.register", "It is damaged.", ways, nothing)


def _in_use(o: Opener) -> QDialog:
    holder = Holder("van-2", "asha", 4711, CLOCK.now())
    return o.make("ui.asking.in_use.InUseDialog", "firm.register", holder, nothing, nothing)


def _merge(o: Opener) -> QDialog:
    pack, work = o.folder / "yard.fieldpack", o.folder / "yard.fieldwork"
    facts: dict[str, Any] = {"actor": "Asha Pell", "today": TODAY, "at": CLOCK.now()}
    write_pack(o.desk.register, pack, sites=["YARD"], holder="Asha Pell", expires_on=TODAY, **facts)
    open_pack(pack, o.folder / "field.register", today=TODAY)
    with closing(open_register(o.folder / "field.register")) as field:
        write_work(field, work, **facts)
    return o.make("ui.packs.merge.MergeDialog", o.program.desk, work)


def _stop(o: Opener) -> QDialog:
    with o.desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
    week = o.asked(plan_week, TODAY, WeekAsk(TODAY, effort=0))
    told = o.asked(stop_told, week, week.stops[0])
    return o.make("ui.week.stop_dialog.StopDialog", told)


def _day_sheets(o: Opener) -> QDialog:
    with o.desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
    week = o.asked(plan_week, TODAY, WeekAsk(TODAY, effort=0))
    return o.make("ui.week.day_dialog.DayDialog", o.program.desk, week)


def _take_in(o: Opener) -> QDialog:
    return o.make("ui.sheets.take_in.TakeInDialog", o.program.desk, SAMPLES / DEPOT, o.asked(site_choices))


def _answers(o: Opener) -> QDialog:
    return o.make("ui.sheets.owner_answers.OwnerAnswersDialog", o.program.desk, SAMPLES / YARD)


def _new_tag(o: Opener) -> QDialog:
    about = o.asked(retagging, o.desk.id("RR-2"))
    return o.make("ui.tags.new_tag_dialog.NewTagDialog", about, "Asha Pell", nothing)


OPENERS: dict[str, Callable[[Opener], QDialog | None]] = {
    "ReportDialog": lambda o: o.make("ui.firm.report_dialog.ReportDialog", nothing),
    "TesterDialog": lambda o: o.make("ui.firm.people_dialog.TesterDialog", None, nothing),
    "InstrumentDialog": lambda o: o.make("ui.firm.people_dialog.InstrumentDialog", None, nothing),
    "AreaDialog": _area,
    "RangeDialog": _made("ui.firm.tags_dialog.RangeDialog"),
    "LabelsDialog": lambda o: o.make("ui.firm.tags_dialog.LabelsDialog", {}, nothing),
    "OwnerDialog": lambda o: o.make("ui.firm.owner_dialog.OwnerDialog", _site(o).owner, nothing),
    "SiteDialog": _site_dialog,
    "VoidDialog": _void,
    "CorrectDialog": _correct,
    "PutBackDialog": _put_back,
    "BringUpDialog": lambda o: o.make("ui.asking.bring_up.BringUpDialog", "firm.register", nothing),
    "WithdrawDialog": _withdraw,
    "InUseDialog": _in_use,
    "PhotoDialog": _photo,
    "ServerDialog": lambda o: o.make("ui.asking.server.ServerDialog", "", nothing),
    "RemoveDialog": lambda o: o.make("ui.asking.remove.RemoveDialog", "RR-2", "Switch of one", "Yard, Loft", nothing),
    "CordDialog": _cord,
    "ReplaceDialog": lambda o: o.make("ui.asking.replace.ReplaceDialog", _about(o), nothing),
    "RepairDialog": lambda o: o.make("ui.asking.repair.RepairDialog", _about(o), TODAY, nothing),
    "ItemDialog": _item,
    "DecisionDialog": _decision,
    "MoveDialog": _move,
    "StopDialog": _stop,
    "DayDialog": _day_sheets,
    "YearDialog": lambda o: o.make("ui.horizon.year_dialog.YearDialog", o.program.desk),
    "VanDialog": lambda o: o.make("ui.asking.van.VanDialog", None, nothing),
    "VisitingDialog": lambda o: o.make("ui.asking.visiting.VisitingDialog", "Yard", Visiting(), nothing),
    "PaceDialog": lambda o: o.make("ui.firm.plan_dialogs.PaceDialog", PlanSettings(), nothing),
    "DrivesDialog": lambda o: o.make("ui.firm.drives_dialog.DrivesDialog", 3, nothing, nothing, nothing),
    "DaysOffDialog": lambda o: o.make("ui.firm.plan_dialogs.DaysOffDialog", TODAY, nothing),
    "Find": _done("find"),
    "Help": lambda o: o.make("ui.help.Help", "horizon"),
    "MakePackDialog": lambda o: o.make("ui.packs.make.MakePackDialog", o.program.desk, o.asked(site_choices)),
    "MergeDialog": _merge,
    "DueDialog": _done("due.list", "horizon"),
    "TakeInDialog": _take_in,
    "OwnerAnswersDialog": lambda o: o.make(
        "ui.sheets.owner_answers.OwnerAnswersDialog", o.program.desk, SAMPLES / YARD
    ),
    "QueriesDialog": lambda o: o.make("ui.sheets.queries.QueriesDialog", o.program.desk),
    "OwnerBookDialog": lambda o: o.make("ui.sheets.owner_book.OwnerBookDialog", o.program.desk, o.asked(site_choices)),
    "TagDialog": lambda o: o.make("ui.tags.dialog.TagDialog", o.program.desk, [o.desk.id("RR-1")]),
    "NewTagDialog": _new_tag,
    "SetUpCard": lambda o: o.make("ui.bench.setup_card.SetUpCard", SetUp.TESTER_FEEDS_DEVICE, nothing),
    "ScannerDialog": _done("bench.scanner", "bench", "RR-1"),
    "PlaceDialog": _done("bench.place", "bench"),
    "AsideDialog": _done("bench.aside", "bench"),
}

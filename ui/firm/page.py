"""Firm: whose register it is, and all that changes seldom: places, people, hours, settings, copies."""

from collections.abc import Callable
from functools import partial
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QButtonGroup,
    QHBoxLayout,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from ui.firm.care import CareSection
from ui.firm.keeping import KeepingSection
from ui.firm.packs import PacksSection
from ui.firm.people import PeopleSection
from ui.firm.section import Section
from ui.firm.settings_form import SettingsSection
from ui.firm.sites import SitesSection
from ui.firm.tags import TagsSection
from ui.firm.vans import VansSection
from ui.firm.work import WorkSection
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px, width
from ui.look.widgets import Words
from ui.page import Desk, Page

SECTIONS: Final[tuple[type[Section], ...]] = (
    SitesSection, PeopleSection, VansSection, TagsSection, WorkSection, PacksSection, SettingsSection,
    KeepingSection, CareSection,
)  # fmt: skip
NARROW: Final = 1200


class SectionButton(QAbstractButton):
    """Brings one section of the page to the front. Up and down go to the next one."""

    def __init__(self, title: str) -> None:
        super().__init__()
        self.setText(title)
        self.setAccessibleName(title)
        self.setCheckable(True)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(self._across(), px(36))

    def minimumSizeHint(self) -> QSize:
        """Give way where large type stands in a low window."""
        return QSize(self._across(), px(24))

    def _across(self) -> int:
        return max(px(168), int(width(self.text(), 13, 500)) + 22)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Enter choose as the space bar does."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, place, on = QPainter(self), colours(), QRectF(self.rect()), self.isChecked()
        if on or self.underMouse():
            draw.box(painter, place, tokens.accent_soft if on else tokens.hover, None, 6)
        if on:
            draw.box(painter, QRectF(0, 8, 3, place.height() - 16), tokens.accent, None, 1.5)
        words = place.adjusted(14, 0, -6, 0)
        draw.text(painter, words, self.text(), 13, 500, tokens.ink if on else tokens.ink2)
        painter.end()


class FirmPage(Page):
    """The page: its sections in a column at the left, the one in front beside them."""

    key = "firm"
    title = "Firm"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.sections = [make(desk) for make in SECTIONS]
        self._stack, self._group = QStackedWidget(), QButtonGroup(self)
        side = QVBoxLayout()
        side.setContentsMargins(0, 0, 0, 0)
        side.setSpacing(4)
        side.addWidget(Words("Firm", 24, 600))
        side.addSpacing(10)
        for place, section in enumerate(self.sections):
            made = SectionButton(section.title)
            self._group.addButton(made, place)
            made.clicked.connect(partial(self.show_section, place))
            side.addWidget(made)
            self._stack.addWidget(section)
        side.addStretch(1)
        self._side = QWidget()
        self._side.setLayout(side)
        self._row = QHBoxLayout(self)
        self._row.addWidget(self._side)
        self._row.addWidget(self._stack, 1)
        self._group.button(0).setChecked(True)
        desk.deeds.offer("register.check", self._check)
        desk.deeds.offer("register.report", self._hold_against_report)
        self._fit()

    @property
    def front(self) -> Section:
        """The section in front."""
        return self.sections[self._stack.currentIndex()]

    def refresh(self) -> None:
        """Read what the section in front shows; the others are read when they come to the front."""
        for section in self.sections:
            section.stale = True
        self.front.come()

    def shown(self, wanted: object = None) -> None:
        """Come to the front."""
        super().shown(wanted)
        within = QApplication.focusWidget()
        if within is None or not self.isAncestorOf(within):
            self._group.button(self._stack.currentIndex()).setFocus()

    def show_wanted(self, wanted: object) -> None:
        """Bring the section of a key to the front."""
        for place, section in enumerate(self.sections):
            if section.key == wanted:
                self._group.button(place).setChecked(True)
                self._group.button(place).setFocus()
                self.show_section(place)

    def show_section(self, place: int, _on: bool = True) -> None:  # noqa: FBT001, FBT002 - Qt's signal
        """Bring a section to the front."""
        self._stack.setCurrentIndex(place)
        self.front.come()

    def offers(self) -> dict[str, Callable[[], None]]:
        """Return what the actions do here: none is the page's alone; the check can be asked for from everywhere."""
        return {}

    def _check(self) -> None:
        self._care().check()

    def _hold_against_report(self) -> None:
        self._care().hold_against_report()

    def _care(self) -> CareSection:
        """Bring the care of the register to the front."""
        self.desk.go("firm", "care")
        care = self.front
        assert isinstance(care, CareSection)
        return care

    def _fit(self) -> None:
        narrow = self.width() < px(NARROW)
        edge = 16 if narrow else 24
        self._row.setContentsMargins(edge, 14, edge, 12 if narrow else 16)
        self._row.setSpacing(16 if narrow else 24)
        needed = max(each.sizeHint().width() for each in self._group.buttons())
        self._side.setFixedWidth(max(needed, px(168 if narrow else 192)))
        for section in self.sections:
            section.fit(self.width(), narrow=narrow)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

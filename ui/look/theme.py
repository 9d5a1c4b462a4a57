"""The colours, as tokens: a light and a dark table, the palette and the few rules of style that Qt needs.

Ratios of contrast are measured by a test: text at least 4.5, glyphs and borders at least 3, on every ground.
"""

from dataclasses import dataclass, fields
from typing import Final

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from register.domain.words import Result, Standing


@dataclass(frozen=True, slots=True)
class Tone:
    """The three colours of a standing: of its word, of its glyph and bar, and of the ground of a block about it."""

    text: str
    fill: str
    soft: str


@dataclass(frozen=True, slots=True)
class Tokens:
    """One table of colours."""

    name: str
    ground: str
    surface: str
    sunk: str
    hover: str
    hair: str
    rule: str
    line: str
    ink: str
    ink2: str
    ink3: str
    accent: str
    on_accent: str
    accent_soft: str
    overdue: Tone
    soon: Tone
    service: Tone
    withdrawn: Tone
    unknown: Tone
    work: tuple[str, ...]
    work_ink: tuple[str, ...]
    overdue_ramp: tuple[str, ...]
    overdue_ramp_ink: tuple[str, ...]
    veil: str


LIGHT: Final = Tokens(
    name="light", ground="#F5F3EE", surface="#FFFFFF", sunk="#EFECE5", hover="#F0EEE8", hair="#E2DED5",
    rule="#BFBAAE", line="#87837A", ink="#1B1D1F", ink2="#4C4F52", ink3="#65676A", accent="#0B587F",
    on_accent="#FFFFFF", accent_soft="#E0EDF4",
    overdue=Tone("#A63A00", "#C44A00", "#FBE9DE"), soon=Tone("#7A5300", "#B77B00", "#FBF1DA"),
    service=Tone("#00664A", "#00855F", "#DFF1EA"), withdrawn=Tone("#86306A", "#B2558F", "#F6E7F0"),
    unknown=Tone("#495867", "#6A7986", "#E9EDF0"),
    work=("#DFEBF1", "#C4DCE8", "#A3C8DA", "#6AA5C3", "#1C6B95"),
    work_ink=("#1B1D1F", "#1B1D1F", "#1B1D1F", "#1B1D1F", "#FFFFFF"),
    overdue_ramp=("#FBE9DE", "#F7D3BD", "#EFB08A"), overdue_ramp_ink=("#A63A00", "#A63A00", "#6B2500"),
    veil="#701B1D1F",
)  # fmt: skip

DARK: Final = Tokens(
    name="dark", ground="#121416", surface="#1A1D20", sunk="#0D0F11", hover="#22262A", hair="#2B3035",
    rule="#4A5057", line="#727A82", ink="#ECEDEE", ink2="#BCC1C6", ink3="#969CA3", accent="#86C6EA",
    on_accent="#06202E", accent_soft="#1B3443",
    overdue=Tone("#FF9F66", "#F4743B", "#39231A"), soon=Tone("#EFC560", "#E8BC4A", "#332913"),
    service=Tone("#55CBA2", "#2FAE83", "#15322A"), withdrawn=Tone("#E7A7CD", "#CC79A7", "#372331"),
    unknown=Tone("#AEBBC7", "#8A97A3", "#232A31"),
    work=("#1A2A34", "#1D3B4D", "#22546F", "#35789B", "#8CC9EA"),
    work_ink=("#ECEDEE", "#ECEDEE", "#ECEDEE", "#FFFFFF", "#06202E"),
    overdue_ramp=("#39231A", "#54301D", "#743E1F"), overdue_ramp_ink=("#FF9F66", "#FF9F66", "#FFE3D2"),
    veil="#99000000",
)  # fmt: skip


class _Theme(QObject):
    """The tokens in use. `changed` tells those who keep something made from them."""

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.tokens = LIGHT


theme = _Theme()


def colours() -> Tokens:
    """Return the tokens in use."""
    return theme.tokens


def standing_tone(standing: Standing) -> Tone:
    """Return the tone of a standing."""
    tokens = colours()
    return {
        Standing.IN_SERVICE: tokens.service,
        Standing.DUE_SOON: tokens.soon,
        Standing.OVERDUE: tokens.overdue,
        Standing.WITHDRAWN: tokens.withdrawn,
        Standing.UNTESTED: tokens.unknown,
        Standing.REMOVED: Tone(tokens.ink3, tokens.ink3, tokens.sunk),
    }[standing]


def verdict_tone(verdict: Result) -> Tone:
    """Return the tone of a verdict."""
    tokens = colours()
    return {Result.PASS: tokens.service, Result.FAIL: tokens.overdue, Result.INCOMPLETE: tokens.unknown}[verdict]


def system_tokens() -> Tokens:
    """Return the table that the user's system asks for."""
    dark = QGuiApplication.styleHints().colorScheme() is Qt.ColorScheme.Dark
    return DARK if dark else LIGHT


def wear(app: QApplication, tokens: Tokens) -> None:
    """Put a table of colours on the whole program."""
    theme.tokens = tokens
    app.setPalette(_palette(tokens))
    app.setStyleSheet(_sheet(tokens))
    theme.changed.emit()


def _palette(tokens: Tokens) -> QPalette:
    palette = QPalette()
    role = QPalette.ColorRole
    for place, colour in (
        (role.Window, tokens.ground), (role.WindowText, tokens.ink), (role.Base, tokens.surface),
        (role.AlternateBase, tokens.ground), (role.Text, tokens.ink), (role.Button, tokens.surface),
        (role.ButtonText, tokens.ink), (role.Highlight, tokens.accent_soft), (role.HighlightedText, tokens.ink),
        (role.PlaceholderText, tokens.ink3), (role.ToolTipBase, tokens.ink), (role.ToolTipText, tokens.surface),
        (role.Mid, tokens.hair), (role.Dark, tokens.line), (role.Light, tokens.surface), (role.Link, tokens.accent),
        (role.Accent, tokens.accent),
    ):  # fmt: skip
        palette.setColor(place, QColor(colour))
    for place in (role.Text, role.WindowText, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, place, QColor(tokens.ink3))
    return palette


def _sheet(tokens: Tokens) -> str:
    """Return the style of fields, buttons and scroll bars; states and contrasts stay in the tokens."""
    named = {each.name: getattr(tokens, each.name) for each in fields(tokens)}
    return _SHEET.format_map(named).replace("«", "{").replace("»", "}")


_SHEET: Final = """
QLineEdit, QPlainTextEdit, QComboBox, QDateEdit, QSpinBox « background: {surface}; border: 1px solid {line};
    border-radius: 6px; padding: 0 11px; min-height: 34px; color: {ink};
    selection-background-color: {accent}; selection-color: {on_accent}; »
QPlainTextEdit « padding: 6px 8px; »
QLineEdit:focus, QPlainTextEdit:focus, QComboBox:focus, QDateEdit:focus « border: 1px solid {accent}; »
QLineEdit[wrong="true"], QDateEdit[wrong="true"] « border: 1px solid {line}; »
QLineEdit[bare="true"] « background: transparent; border: 0; border-radius: 0; padding: 0; min-height: 0; »
QLineEdit[tone="fail"] « color: {overdue.text}; »
QComboBox::drop-down « border: 0; width: 28px; »
QPushButton « background: {surface}; border: 1px solid {line}; border-radius: 6px; padding: 0 15px;
    min-height: 34px; color: {ink}; »
QPushButton[drop="true"] « padding: 0 32px 0 13px; »
QPushButton[drop="true"]::menu-indicator « image: none; width: 0; »
QPushButton:hover « background: {hover}; »
QPushButton:disabled « color: {ink3}; border-color: {rule}; »
QPushButton[kind="primary"] « background: {accent}; border-color: {accent}; color: {on_accent}; »
QPushButton[kind="primary"]:disabled « background: {sunk}; border-color: {rule}; color: {ink3}; »
QPushButton[kind="quiet"] « background: transparent; border-color: transparent; color: {accent}; padding: 0 8px; »
QPushButton[kind="line"] « background: transparent; border-color: transparent; color: {accent}; padding: 0 8px;
    min-height: 20px; »
QTableView, QListView, QScrollArea « background: {surface}; border: 0; gridline-color: transparent; outline: 0; »
QTableWidget QHeaderView « background: {surface}; »
QTableWidget QHeaderView::section « background: {surface}; color: {ink2}; border: 0; border-bottom: 1px solid {rule};
    padding: 4px 3px 6px 3px; font-weight: 500; »
QMenu « background: {surface}; border: 1px solid {rule}; padding: 6px 0; »
QMenu::item « padding: 6px 28px 6px 16px; color: {ink}; »
QMenu::item:selected « background: {accent_soft}; »
QMenu::item:disabled « color: {ink3}; »
QMenu::separator « height: 1px; background: {hair}; margin: 6px 0; »
QToolTip « background: {ink}; color: {surface}; border: 0; padding: 4px 8px; qproperty-textFormat: PlainText; »
QScrollBar:vertical « background: transparent; width: 10px; margin: 0; »
QScrollBar:horizontal « background: transparent; height: 10px; margin: 0; »
QScrollBar::handle « background: {rule}; border-radius: 3px; margin: 2px; min-height: 32px; min-width: 32px; »
QScrollBar::add-line, QScrollBar::sub-line, QScrollBar::add-page, QScrollBar::sub-page « height: 0; width: 0;
    background: none; »
"""

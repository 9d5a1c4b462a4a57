"""The parts of an item's card, from above: what it is, why it is out, each date with its reasons, records, tags."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLayout, QMenu, QVBoxLayout, QWidget

from register.domain.words import Result, Standing, first_word
from register.services.amended import Undone
from register.services.item_card import CardDuty, CardTag, CardWithdrawal, ItemCard
from register.services.owners.queries import OpenQuery
from register.services.past_readings import CardRecord
from register.services.replacing import Succession
from ui.asking.dialog import Block
from ui.dates import away, shown
from ui.look import draw
from ui.look.glyphs import STANDING_GLYPHS, VERDICT_GLYPHS, glyph
from ui.look.theme import colours, standing_tone, theme, verdict_tone
from ui.look.typeface import px
from ui.look.widgets import Painted, StandingLabel, TagLabel, Words, button
from ui.register_page.prose import Prose

FEW: Final = 5
"""So many records are shown until all are asked for."""

INKS: Final = {
    Standing.OVERDUE: "overdue", Standing.DUE_SOON: "soon", Standing.UNTESTED: "unknown",
}  # fmt: skip
"""The ink in which the distance of a date is written where it matters."""


class Rule(QFrame):
    """A hairline across the card."""

    def __init__(self) -> None:
        super().__init__()
        self.setFixedHeight(1)
        theme.changed.connect(self.update)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        draw.across(painter, 0, self.width(), 0)
        painter.end()


class ClassChip(QWidget):
    """An environment class: its strokes of wear and its word."""

    def __init__(self, title: str, strokes: int) -> None:
        super().__init__()
        self._title, self._strokes = title, strokes
        self.setAccessibleName(f"Environment class {title}")
        self.setFixedSize(QSize(int(draw.class_width(title)) + 8, px(20)))
        theme.changed.connect(self.update)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw.class_chip(painter, 0, 0, self._title, self._strokes, self.height())
        painter.end()


def mark(name: str, colour: Callable[[], str], size: int = 16) -> QWidget:
    """Return a glyph as a widget. Its word stands beside it."""

    def drawn(painter: QPainter, _place: QRectF) -> None:
        glyph(painter, name, 0, 0, size, colour())

    return Painted(drawn, size=QSize(size, size))


def stacked(*parts: QWidget | QLayout, gap: int = 0) -> QVBoxLayout:
    """Return parts one below the other."""
    column = QVBoxLayout()
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(gap)
    for part in parts:
        if isinstance(part, QWidget):
            column.addWidget(part)
        else:
            column.addLayout(part)
    return column


def in_row(*parts: QWidget, gap: int = 8, stretch: int = -1) -> QHBoxLayout:
    """Return parts beside each other; the one at `stretch` takes what is left."""
    row = QHBoxLayout()
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(gap)
    for place, part in enumerate(parts):
        row.addWidget(part, 1 if place == stretch else 0)
    return row


def head(card: ItemCard) -> QLayout:
    """Return what the item is: tag and standing, description, place and class, plate and serial."""
    item = card.item
    above = in_row(TagLabel(item.tag), Words(""), StandingLabel(item.standing), stretch=1)
    name = Words(item.description, 20, 600, wrap=True)
    place = Words(f"{item.site_name}, {item.area}", 13, 400, "ink2", wrap=True)
    parts: list[QWidget | QLayout] = [name, place]
    facts = [first_word(item.kind), card.plate, f"serial {item.serial}" if item.serial else "", f"owner {card.owner}"]
    parts.append(Prose(" · ".join(filter(None, facts)), 12, 400, "ink3"))
    parts.append(in_row(ClassChip(item.environment_title, card.strokes), Words(""), stretch=1))
    return stacked(above, stacked(*parts, gap=4), gap=12)


def out_block(out: CardWithdrawal) -> QWidget:
    """Return why an item is out of service and what brings it back."""
    number = f", tag {out.tag_number}" if out.tag_number else ", no out-of-service tag yet"
    said = f"Out of service since {shown(out.since)}: {out.reason.value}{number}."
    needed = " and ".join(out.needed)
    back = f"A pass of {needed} brings it back." if needed else "Its next pass brings it back."
    told = f"Told: {out.told}." if out.told else ""
    more = " ".join(filter(None, [_ended(out.why), back, told]))
    return Block("open", lambda: colours().withdrawn, "withdrawn", said, more)


def _ended(said: str) -> str:
    return said if not said or said.endswith((".", "!", "?")) else f"{said}."


def removed_block(card: ItemCard) -> QWidget:
    """Return when and why an item was removed for good."""
    when = f" on {shown(card.removed_on)}" if card.removed_on else ""
    why = f": {card.item.removed}" if card.item.removed else ""
    said = f"Removed for good{when}{why}."
    return Block("gone", lambda: standing_tone(Standing.REMOVED), "ink2", said, "Its history stays in the register.")


def succession_block(links: Succession) -> QWidget:
    """Return what an item replaces and what replaces it."""
    before, after = links.replaces, links.replaced_by
    said = [f"Replaces {before.tag}."] if before else []
    said += [f"Replaced by {after.tag}."] if after else []
    return Block("again", lambda: standing_tone(Standing.UNTESTED), "ink2", " ".join(said), "Its tag finds it.")


def missing_block(since: date) -> QWidget:
    """Return since when nobody finds an item, and what ends that."""
    said = f"Not found on {shown(since)}. Asked for again at the next visit."
    more = "A test of it takes the mark away, or Found again."
    return Block("unknown", lambda: standing_tone(Standing.UNTESTED), "ink2", said, more)


def query_block(query: OpenQuery) -> QWidget:
    """Return what the owner asks and nobody has answered yet."""
    said = f"Asked by {query.asked_by} on {shown(query.asked_on)}, not answered yet."
    return Block("unknown", lambda: colours().soon, "ink2", said, query.text)


def duty_part(duty: CardDuty, today: date) -> QLayout:
    """Return one duty: its date and distance, then why, then where the rule stands."""
    answer = duty.answer
    standing = Standing.IN_SERVICE if not answer.contractors and answer.due is None else answer.standing
    day, far = _when(duty, today)
    title = Words(first_word(answer.duty), 13, 600, wrap=True)
    distance = Words(far, 12, 400, INKS.get(answer.standing, "ink3") if answer.due else "ink3")
    glyphs = STANDING_GLYPHS[standing]
    when = [Words(day, 13, 600), distance] if far else [Words(day, 13, 600)]
    above = in_row(mark(glyphs, lambda: standing_tone(standing).fill), title, *when, stretch=1)
    below = QVBoxLayout()
    below.setContentsMargins(24, 0, 0, 0)
    below.setSpacing(2)
    whose = [] if answer.contractors else ["The user's own duty."]
    below.addWidget(Prose(" ".join([*whose, *duty.because])))
    if duty.rule:
        below.addWidget(Prose(" ".join(duty.rule), 11, 400, "ink3"))
    return stacked(above, below, gap=4)


def _when(duty: CardDuty, today: date) -> tuple[str, str]:
    """Return the date of a duty and how far it is, or what stands in their place."""
    answer = duty.answer
    if answer.relieved:
        return "not asked", ""
    if answer.due is not None:
        return shown(answer.due), away(answer.due, today)
    if answer.standing is Standing.UNTESTED:
        return "before use", "never done"
    return occasion(answer.interval), ""


def occasion(interval: str) -> str:
    """Return an occasion as it stands on the card: "each use"."""
    return "no date" if interval.startswith("P") or not interval else interval.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Mending:
    """What can be done about a wrong record, each by its id; it can be voided alone where its item is gone."""

    void: Callable[[str], None]
    correct: Callable[[str], None] | None


def records_part(records: tuple[CardRecord, ...], mending: Mending) -> QWidget:
    """Return records as rows: date, verdict, tester, worst reading; a fail with its reason below.

    Each that counts has a button for what can be done about a wrong one; one that was corrected is struck through.
    """
    widget = QWidget()
    grid = QGridLayout(widget)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(6)
    grid.setVerticalSpacing(8)
    grid.setColumnStretch(3, 1)
    line = 0
    for record in records:
        _record_row(grid, line, record, mending)
        line += 1
        why = record.corrected or (record.why if record.verdict.value != "pass" else "")
        below = " ".join(filter(None, [why, *record.warnings]))
        if below:
            grid.addWidget(Prose(below), line, 0, 1, 6)
            line += 1
    return widget


def _record_row(grid: QGridLayout, line: int, record: CardRecord, mending: Mending) -> None:
    ink = {"pass": "service", "fail": "overdue"}.get(record.verdict.value, "unknown")
    worst = record.worst or ("as found" if record.as_found else "look only")
    words = [
        Words(shown(record.tested_on), 12, 500, wrap=True), Words(record.verdict.value.capitalize(), 12, 600, ink),
        Words(record.tester or "tester not known", 12, 400, "ink2", wrap=True),
        Words(worst, 12, 400, "ink2", wrap=True),
    ]  # fmt: skip
    words[3].setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    for column, word in zip((0, 2, 3, 4), words, strict=True):
        if record.corrected:
            strike(word)
        grid.addWidget(word, line, column)
    if record.corrected:
        return
    grid.addWidget(mark(VERDICT_GLYPHS[record.verdict], partial(_verdict_fill, record.verdict), 12), line, 1)
    grid.addWidget(_mend_button(record, mending), line, 5)


def _mend_button(record: CardRecord, mending: Mending) -> QWidget:
    """Return the button that opens what can be done about a record."""
    made = button("\u2026", "quiet")
    made.setAccessibleName(f"Mend the record of {shown(record.tested_on)}")
    made.setToolTip("Correct or void this record…")
    made.setStyleSheet(
        f"QPushButton {{ padding: 0; margin: 0; min-width: {px(14)}px; min-height: 0; }}"
        "QPushButton::menu-indicator { image: none; width: 0; }"
    )
    made.setFixedSize(px(24), px(20))
    menu = QMenu(made)
    if mending.correct is not None:
        menu.addAction("Correct this record…").triggered.connect(partial(_with, mending.correct, record.id))
    menu.addAction("Void this record…").triggered.connect(partial(_with, mending.void, record.id))
    made.setMenu(menu)
    return made


def _with(deed: Callable[[str], None], record_id: str, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - a signal
    deed(record_id)


def undone_part(undone: tuple[Undone, ...]) -> QLayout:
    """Return the records that an undo took back, struck through."""
    rows: list[QWidget] = []
    for each in undone:
        facts = f"{shown(each.tested_on)}   {each.verdict.value.capitalize()}   {each.tester}"
        said = Words(facts, 12, 400, "ink3", wrap=True)
        strike(said)
        rows += [said, Prose(f"Taken back by an undo on {shown(each.at.date())} by {each.by}.", 11, 400, "ink3")]
    return stacked(*rows, gap=2)


def strike(words: Words) -> None:
    """Strike words through and grey them: they count no more."""
    font = words.font()
    font.setStrikeOut(True)
    words.setFont(font)
    words.say(words.text(), "ink3")


def _verdict_fill(verdict: Result) -> str:
    return verdict_tone(verdict).fill


def tags_part(tags: tuple[CardTag, ...]) -> QWidget:
    """Return the tags that the item carries and carried, with their days."""
    widget = QWidget()
    grid = QGridLayout(widget)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(12)
    grid.setVerticalSpacing(6)
    grid.setColumnStretch(1, 1)
    for line, tag in enumerate(tags):
        grid.addWidget(TagLabel(tag.number, height=20, size=12), line, 0)
        grid.addWidget(Words(_tag_days(tag), 12, 400, "ink2", wrap=True), line, 1)
    return widget


def _tag_days(tag: CardTag) -> str:
    since = f"since {shown(tag.since)}" if tag.since else ""
    if tag.until is None:
        return since or "carried now"
    return f"{since + ' ' if since else ''}until {shown(tag.until)}"

"""What an owner answered in his workbook, and what that does to the register.

His word never removes an item, ends a withdrawal or moves the date of a contractor's duty: what asks for that becomes
a query. Each step is tried by really doing it, so that a preview (in a transaction that is dropped) tells the truth.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import Final, TypeAlias

import sqlalchemy as sa

from register.domain.explain import day_words
from register.domain.words import Duty
from register.errors import Refused
from register.services.marks import mark_done
from register.services.moves import move_item
from register.services.owners.queries import is_noted, note_query
from register.services.projection import REMOVED
from register.services.whereabouts import mark_missing
from register.store import audit, chain
from register.store.amended import stands
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Area, Event, Item, Mark, Owner, Record, Site, Tag


class Word(StrEnum):
    """What an owner can answer about an item, in the words of the workbook."""

    AGREE = "Agree"
    NOT_FOUND = "Not found"
    MOVED = "Moved to"
    DISPOSED = "Disposed of"
    QUERY = "Query"


@dataclass(frozen=True, slots=True)
class Sent:
    """Which state of which register a workbook showed: events, the chain's head, the owner and the day."""

    events: int
    head: str
    owner: str
    sites: tuple[str, ...]
    as_at: date


@dataclass(frozen=True, slots=True)
class Answer:
    """What the owner filled in for one item; `place` says where in the file, `tag` which item the row shows there."""

    item_id: str
    word: Word | None = None
    moved_to: str = ""
    comment: str = ""
    pressed_on: date | None = None
    place: str = ""
    tag: str = ""


class Deed(StrEnum):
    """What an answer can do."""

    MARK_MISSING = "not-found"
    MOVE = "move"
    PRESS = "button-press"
    ASK = "query"


class State(StrEnum):
    """How a step stands: to be done, in the register already, against a later change, or not possible."""

    NEW = "new"
    KNOWN = "known"
    CONFLICT = "conflict"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that an answer asks for. `why` says what stands against it; `done` whether it was done."""

    item_id: str
    tag: str
    description: str
    deed: Deed
    answer: str
    does: str
    state: State
    why: str = ""
    done: bool = False
    place: str = ""

    @property
    def key(self) -> str:
        """By what a step is chosen."""
        return f"{self.item_id} {self.deed}"


@dataclass(frozen=True, slots=True)
class Reviewed:
    """All steps of a returned workbook; `agreed` counts the items to which the owner only agreed."""

    by: str
    steps: tuple[Step, ...]
    agreed: int
    foreign: bool

    @property
    def done(self) -> int:
        """How many steps were done."""
        return sum(step.done for step in self.steps)


@dataclass(frozen=True, slots=True)
class _Plan:
    """A step before it is tried: what it needs besides."""

    step: Step
    target: str = ""
    on: date | None = None
    text: str = ""
    shown: str = ""


Wanted: TypeAlias = Callable[[Step], bool]


def unopposed(step: Step) -> bool:
    """Whether nothing stands against a step."""
    return step.state is State.NEW


FOREIGN: Final = "The workbook does not follow from this register as it is now."


def review(
    change: Change, sent: Sent, answers: Sequence[Answer], *, wanted: Wanted = unopposed, by: str = ""
) -> Reviewed:
    """Do what the owner's answers ask for, in the name of `by` or of the owner; return what became of each step.

    `wanted` says of each possible step whether to do it; by default those that nothing stands against. The same file
    twice adds nothing. Refused where it names no item of this register.
    """
    theirs = replace(change, actor=by or sent.owner)
    foreign = not _follows(change, sent)
    steps: list[Step] = []
    agreed = known = 0
    for answer in answers:
        item = change.session.get(Item, answer.item_id)
        if item is None:
            continue
        known += 1
        plans = list(_plans(theirs, item, answer))
        agreed += not plans
        steps += [_tried(theirs, sent, item, plan, wanted, foreign=foreign) for plan in plans]
    if answers and not known:
        raise Refused("No item of this workbook is in this register. Open the register that it was written from.")
    result = Reviewed(theirs.actor, tuple(steps), agreed, foreign)
    if result.done:
        site = change.session.scalar(sa.select(Site.id).where(Site.code.in_(sent.sites)).order_by(Site.code).limit(1))
        audit.log(
            theirs, Name.REVIEW_TAKE, site or steps[0].item_id, as_at=sent.as_at, events=sent.events, head=sent.head,
            done=result.done, agreed=agreed,
        )  # fmt: skip
    return result


def _follows(change: Change, sent: Sent) -> bool:
    """Whether the chain of this register goes through the head that the workbook was written at, for an owner in it."""
    named = change.session.scalar(sa.select(Owner.id).where(Owner.name == sent.owner)) is not None
    written = sent.as_at <= change.today
    return named and written and chain.passed(change.session.connection(), chain.Head(sent.events, sent.head))


def _plans(change: Change, item: Item, answer: Answer) -> Iterable[_Plan]:
    def plan(deed: Deed, does: str, *, target: str = "", on: date | None = None, text: str = "") -> _Plan:
        word = answer.word.value if answer.word else "Comment"
        said = "Pressed" if deed is Deed.PRESS else word
        step = Step(item.id, item.tag_number, item.description, deed, said, does, State.NEW, place=answer.place)
        return _Plan(step, target, on, text, answer.tag)

    if answer.pressed_on is not None:
        day = day_words(answer.pressed_on)
        yield plan(Deed.PRESS, f"Notes the test button as pressed on {day}.", on=answer.pressed_on)
    asks = [answer.comment] if answer.comment else []
    if answer.word is Word.NOT_FOUND:
        yield plan(Deed.MARK_MISSING, "Marks it as not found; it is asked for again at the next visit.")
    elif answer.word is Word.MOVED:
        areas = _areas(change, item, answer.moved_to)
        if len(areas) == 1:
            area = areas[0]
            yield plan(Deed.MOVE, f"Moves it to {area.site}, {area.name or 'no area'}.", target=area.id)
        else:
            why = "names more than one area" if areas else "is no area of this owner's sites"
            asks.insert(
                0, f"Moved to “{answer.moved_to}”, which {why}." if answer.moved_to else "Moved; not said where."
            )
    elif answer.word is Word.DISPOSED:
        asks.insert(0, "Disposed of: see that it is gone, then remove it for good.")
    elif answer.word is Word.QUERY and not asks:
        asks.append("The owner has a question and did not say which: ask him.")
    if asks:
        text = " ".join(asks)
        yield plan(Deed.ASK, f"Notes a query to be answered: {text}", text=text)


def _areas(change: Change, item: Item, named: str) -> list[sa.Row[str, str, str, str, str]]:
    """Return the areas that a text names: those of the item's own site first, then "site, area" of the owner's."""
    wanted = " ".join(named.casefold().split())
    if not wanted:
        return []
    owner = sa.select(Site.owner_id).where(Site.id == item.site_id).scalar_subquery()
    rows = change.session.execute(
        sa.select(Area.id, Area.name, Site.name.label("site"), Site.code, Site.id.label("site_id"))
        .join(Site, Site.id == Area.site_id)
        .where(Site.owner_id == owner)
    ).all()
    here = [row for row in rows if row.site_id == item.site_id and row.name.casefold() == wanted]
    return here or [
        row
        for row in rows
        if wanted in {row.name.casefold(), *(f"{site}, {row.name}".casefold() for site in (row.code, row.site))}
    ]


def _tried(change: Change, sent: Sent, item: Item, plan: _Plan, wanted: Wanted, *, foreign: bool) -> Step:
    """Try one step: known already, against something later, refused, or done."""
    step = plan.step
    if _known(change, sent, item, plan):
        return replace(step, state=State.KNOWN, why="In the register already.")
    against = FOREIGN if foreign else _against(change, sent, item, plan)
    if against:
        step = replace(step, state=State.CONFLICT, why=against)
    # tried even where it is not wanted, so that what can't be done is never offered
    save = change.session.begin_nested()
    try:
        _shown(change, item, plan.shown)
        _owned(change, sent, item)
        _do(change, sent, item, plan)
    except Refused as reason:
        save.rollback()
        return replace(step, state=State.REFUSED, why=str(reason))
    if not wanted(step):
        save.rollback()
        return step
    save.commit()
    return replace(step, done=True)


def _shown(change: Change, item: Item, tag: str) -> None:
    """Refuse what a row answers whose hidden mark is that of another item than the one that it shows."""
    if tag and tag not in change.session.scalars(sa.select(Tag.number).where(Tag.item_id == item.id)).all():
        raise Refused(
            f"The row shows {tag}, but its hidden mark is that of {item.tag_number}. Ask the owner which it is."
        )


def _owned(change: Change, sent: Sent, item: Item) -> None:
    owner = change.session.scalar(
        sa.select(Owner.name).join(Site, Site.owner_id == Owner.id).where(Site.id == item.site_id)
    )
    codes = set(
        change.session.scalars(sa.select(Site.code).join(Owner, Owner.id == Site.owner_id).where(Owner.name == owner))
    )
    if not codes & set(sent.sites):
        raise Refused(f"{item.tag_number} belongs to {owner} now. Ask that owner about it.")


def _known(change: Change, sent: Sent, item: Item, plan: _Plan) -> bool:
    match plan.step.deed:
        case Deed.MARK_MISSING:
            return item.not_found_on is not None
        case Deed.MOVE:
            return item.area_id == plan.target
        case Deed.ASK:
            return is_noted(change, item.id, sent.head, plan.step.answer, plan.text)
        case Deed.PRESS:
            same = sa.select(Mark.id).where(
                Mark.item_id == item.id, Mark.duty == Duty.BUTTON_PRESS.value, Mark.done_on == plan.on
            )
            return change.session.scalar(same) is not None


def _against(change: Change, sent: Sent, item: Item, plan: _Plan) -> str:
    """Say what happened to the item since the workbook was written that speaks against a step."""
    if plan.step.deed not in {Deed.MARK_MISSING, Deed.MOVE}:
        return ""
    if plan.step.deed is Deed.MARK_MISSING:
        seen = change.session.scalar(
            sa.select(sa.func.max(Record.tested_on)).where(
                Record.item_id == item.id, Record.tested_on >= sent.as_at, stands(Record.id)
            )
        )
        if seen is not None:
            return f"It was tested on {day_words(seen)}, so it was there."
    changed = sa.select(Event.name, Event.at).where(
        Event.subject == item.id, Event.seq > sent.events, Event.name.in_([Name.ITEM_MOVE, Name.ITEM_CHANGE])
    )
    later = change.session.execute(changed.order_by(Event.seq.desc()).limit(1)).first()
    if later is None:
        return ""
    what = "moved" if later.name == Name.ITEM_MOVE else "changed"
    on = datetime.fromisoformat(later.at).astimezone().date()
    return f"It was {what} in the register after the workbook was written, on {day_words(on)}."


def _do(change: Change, sent: Sent, item: Item, plan: _Plan) -> None:
    match plan.step.deed:
        case Deed.MARK_MISSING:
            mark_missing(change, item.id)
        case Deed.MOVE:
            move_item(change, item.id, plan.target)
        case Deed.PRESS:
            assert plan.on is not None
            mark_done(change, item.id, Duty.BUTTON_PRESS, plan.on)
        case Deed.ASK:
            if item.state == REMOVED:
                raise Refused(f"{item.tag_number} was removed for good already. Nothing is left to ask about it.")
            note_query(change, item.id, sent.head, plan.step.answer, plan.text)
    change.session.flush()

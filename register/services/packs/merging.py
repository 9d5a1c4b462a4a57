"""Merging field work into the office's register: nothing twice, nothing lost, the same in any order of packs."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.errors import Refused
from register.services.item_texts import index_anew
from register.services.packs.identity import field_pack
from register.services.packs.joining import Clash, Joining, join_rows, known_ids
from register.services.packs.packing import KEPT_WHOLE
from register.services.packs.settling import settle
from register.services.packs.stamps import Stamps, stamps_in
from register.services.packs.undone import undone_ids
from register.services.packs.work import (
    EVENT_COLUMNS,
    NOT_COMPARED,
    CellChange,
    FieldWork,
    Progress,
    facts,
    progress,
)
from register.services.projection import redate
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.packs import Pack
from register.store.rows import plain, values
from register.store.tables import CodeAside, Event, Item

_CELLS: Final[dict[str, Any]] = {
    table.__tablename__: table for table in KEPT_WHOLE
}  # fmt: skip


class Expired(Refused):
    """The pack's day is past; its work can be merged as late."""


@dataclass(frozen=True, slots=True)
class Merged:
    """What a merge brought, or would bring: new rows by table, values changed, and what clashed.

    `events` counts what was new to the history: none where all of it was merged before. `left_out` counts deeds in
    the field that are the office's to decide, by the names of their events.
    """

    pack_id: str
    holder: str
    sites: tuple[str, ...]
    progress: Progress
    added: dict[str, int]
    changed: int
    events: int
    clashes: tuple[Clash, ...]
    left_out: dict[str, int]

    @property
    def nothing_new(self) -> bool:
        """Whether all of it was in the register already."""
        return not self.events and not self.changed and not any(self.added.values())


def merge_work(change: Change, work: FieldWork, *, late: bool = False) -> Merged:
    """Bring field work into the register that made its pack; all or nothing.

    Verdicts stay as judged in the field; dates are worked out anew. What office and field both changed is decided by
    the later moment and listed. Refused for an expired pack unless `late`, and for one that is not of this register.
    """
    made = _made_here(change, work, late=late)
    new = _unknown_events(change.session.connection(), work)
    joining = Joining(change, work)
    join_rows(joining)
    _removed_meanwhile(joining)
    again = undone_ids(change.session.connection())  # a merge that was undone can be done once more
    changed = _cells(joining, {event["id"] for event in new} | again)
    audit.adopt(change, (tuple(event[name] for name in EVENT_COLUMNS) for event in new))
    settle(joining, _since(change.session.connection(), made))
    index_anew(change, joining.touched)
    redate(change, joining.touched)
    merged = Merged(
        pack_id=made.id, holder=made.holder, sites=tuple(made.sites), progress=progress(work),
        added={kind: count for kind, count in joining.added.items() if count}, changed=changed, events=len(new),
        clashes=tuple(dict.fromkeys(joining.clashes)), left_out=dict(work.left),
    )  # fmt: skip
    if not merged.nothing_new:
        _note(change, made, merged)
    return merged


def _removed_meanwhile(joining: Joining) -> None:
    """List the items that were removed for good while something was done to them in the field."""
    fresh = {row["id"] for row in joining.work.added["item"]}
    for item_id in sorted(joining.touched - fresh):
        if joining.change.session.get_one(Item, item_id).removed_on is not None:
            joining.clash(
                item_id, "It was removed for good in the meantime; it stays so, and the field's work is kept."
            )


def _made_here(change: Change, work: FieldWork, *, late: bool) -> Pack:
    mine = field_pack(change.session.connection())
    if mine is not None:
        raise Refused("This register is itself a field pack. Merge field work into the office's register.")
    made = change.session.get(Pack, work.pack.id)
    if made is None:
        raise Refused("This field work is of another register, which made its pack. Merge it there.")
    if made.expires_on < change.today and not late:
        raise Expired(
            f"The field pack for {made.holder} expired on {day_words(made.expires_on)}, so its work was not merged."
            " See what would come, and then merge it as late."
        )
    return made


def _since(connection: Connection, made: Pack) -> date:
    """Return the day from which packs that were out together may have done things to the same item."""
    together = sa.select(sa.func.min(Pack.made_on)).where(Pack.expires_on >= made.made_on)
    return min(made.made_on, connection.execute(together).scalar_one())


def _unknown_events(connection: Connection, work: FieldWork) -> list[dict[str, Any]]:
    known = known_ids(connection, Event, {event["id"] for event in work.events})
    return [event for event in work.events if event["id"] not in known]


def _cells(joining: Joining, new: set[str]) -> int:
    """Take over changed values of rows that the office has; return how many. The later of two changes stands."""
    work = joining.work
    changes = [_in_areas(joining, each) for each in (*work.changed, *_known_before(joining))]
    field = Stamps((e["id"], e["at"], e["name"], e["subject"], facts(e)) for e in work.events)
    office = stamps_in(joining.connection, {each.key for each in changes})
    changed = 0
    for each in changes:
        row = joining.change.session.get(_CELLS[each.kind], each.key)
        if row is None:
            raise Refused(
                "The field work speaks of an item that this register doesn't have. Merge it where its pack was made."
            )
        taken = [name for name in each.after if _takes(joining, each, row, name, (field, office), new)]
        for name, value in values(row.__table__, {name: each.after[name] for name in taken}).items():
            setattr(row, name, value)
        changed += len(taken)
        if each.kind != "tag_range":
            joining.touched.add(each.key if each.kind == "item" else row.item_id)
    joining.change.session.flush()
    return changed + _settled_codes(joining)


def _in_areas(joining: Joining, each: CellChange) -> CellChange:
    """Return a change with the office's own area where the field entered one that the office has."""
    area = joining.areas.get(each.after.get("area_id", ""))
    return each if area is None else replace(each, after=each.after | {"area_id": area})


def _takes(
    joining: Joining, each: CellChange, row: Any, name: str, stamps: tuple[Stamps, Stamps], new: set[str]  # noqa: ANN401 - a row
) -> bool:  # fmt: skip
    """Whether a value from the field is to stand; where the office changed it too, that is listed."""
    now = plain(row.__table__, {name: getattr(row, name)})[name]
    mine, theirs = stamps[0].of(each.key, name), stamps[1].of(each.key, name)
    if now == each.after[name]:
        return False
    if each.kind == "tag_range":
        return bool(each.after[name] > now)
    if each.kind == "tag":
        return now is None or (each.after[name] is not None and each.after[name] < now)
    untouched = name in each.before and now == each.before[name]
    if untouched:
        return mine > theirs or mine[1] in new or not mine[1]
    if name in each.before and mine[1] in new:
        stays = "the field's change is later and stands" if mine > theirs else "the office's is later and stands"
        joining.clash(
            each.key if each.kind == "item" else row.item_id, f"Both changed its {_WORDS.get(name, name)}: {stays}."
        )
    return mine > theirs


_WORDS: Final = {
    "site_id": "site", "area_id": "place", "not_found_on": "mark of not found", "removed_on": "removal",
    "removal_reason": "reason of removal", "condition_since": "condition", "tag_number": "out-of-service tag",
    "told": "note of who was told", "record_id": "failed test",
}  # fmt: skip


def _known_before(joining: Joining) -> Iterable[CellChange]:
    """Yield the rows that were new in the field and came back before: they may have changed since."""
    for kind, table in _CELLS.items():
        if kind not in joining.work.added:
            continue
        rows = {row["id"]: row for row in joining.work.added[kind]}
        for key in sorted(known_ids(joining.connection, table, set(rows))):
            after = {name: value for name, value in rows[key].items() if name not in NOT_COMPARED[kind]}
            yield CellChange(kind, key, {}, after)


def _settled_codes(joining: Joining) -> int:
    """A code that was settled on any laptop waits no longer."""
    count = 0
    for row in joining.work.added[CodeAside.__tablename__]:
        found = joining.change.session.get(CodeAside, row["id"])
        if found is not None and row["settled"] and not found.settled:
            found.settled = row["settled"]
            count += 1
    return count


def _note(change: Change, made: Pack, merged: Merged) -> None:
    made.merged_at = change.at
    made.counts = {
        "sent": merged.progress.sent, "done": merged.progress.done, "left": merged.progress.left,
        "clashes": len(merged.clashes),
    }  # fmt: skip
    audit.log(
        change, Name.PACK_MERGE, made.id, holder=made.holder, added=merged.added, changed=merged.changed,
        events=merged.events, clashes=[[each.tag, each.what] for each in merged.clashes],
        left_out=merged.left_out, sent=merged.progress.sent, done=merged.progress.done,
    )  # fmt: skip

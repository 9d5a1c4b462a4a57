"""The tables of visits, a part of the first layout."""

from register.store.migrations.making import (
    DAY,
    FLAG,
    KEY,
    NUMBER,
    STRUCTURE,
    TEXT,
    id_of,
    make_index,
    make_table,
    maybe,
)


def make() -> None:
    """Make how sites are entered, the vans, and the visits that were planned."""
    make_table(
        "site_visiting",
        {
            "site_id": id_of("site"),
            "place": TEXT,
            "hours": STRUCTURE,
            "ready_minutes": NUMBER,
            "crew": NUMBER,
            "contact": TEXT,
            "hazards": TEXT,
        },
        key=("site_id",),
    )
    make_table(
        "van",
        {
            "name": TEXT,
            "position": NUMBER,
            "start": NUMBER,
            "until": NUMBER,
            "crew": NUMBER,
            "days": STRUCTURE,
            "start_place": TEXT,
            "end_place": TEXT,
            "ended_on": maybe(DAY),
            "version": NUMBER,
            "id": KEY,
        },
        unique=("name",),
    )
    _make_visits()


def _make_visits() -> None:
    make_table(
        "visit",
        {
            "week": DAY,
            "site_id": id_of("site"),
            "part": NUMBER,
            "day": DAY,
            "van_id": id_of("van"),
            "position": NUMBER,
            "arrive": NUMBER,
            "leave": NUMBER,
            "minutes": NUMBER,
            "doing": TEXT,
            "pinned": FLAG,
            "locked": FLAG,
            "cancelled": FLAG,
            "sequence": NUMBER,
            "tags_first": TEXT,
            "tags_last": TEXT,
            "id": KEY,
        },
        unique=("week", "site_id", "part"),
    )
    make_index("visit", "day")
    make_table(
        "visit_duty",
        {
            "visit_id": id_of("visit"),
            "item_id": id_of("item"),
            "duty": TEXT,
            "early": FLAG,
            "why": TEXT,
        },
        key=("visit_id", "item_id", "duty"),
        by_key=True,
    )

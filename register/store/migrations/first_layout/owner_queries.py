"""The table of owners' queries, a part of the first layout."""

from register.store.migrations.making import DAY, KEY, TEXT, id_of, make_table, maybe


def make() -> None:
    """Make what holds the questions of owners."""
    make_table(
        "owner_query",
        {
            "item_id": id_of("item"),
            "workbook": TEXT,
            "asks": TEXT,
            "text": TEXT,
            "asked_by": TEXT,
            "asked_on": DAY,
            "settled_on": maybe(DAY),
            "settled_by": TEXT,
            "settlement": TEXT,
            "id": KEY,
        },
        unique=("item_id", "workbook", "asks", "text"),
    )

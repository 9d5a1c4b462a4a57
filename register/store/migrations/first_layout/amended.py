"""The tables of corrected and undone records, a part of the first layout."""

from register.store.migrations.making import INSTANT, KEY, STRUCTURE, TEXT, id_of, make_index, make_table, maybe


def make() -> None:
    """Make what says that a record counts no more, and where records lie that an undo took back."""
    make_table(
        "correction",
        {
            "record_id": id_of("record"),
            "new_record_id": maybe(id_of("record")),
            "reason": TEXT,
            "made_by": TEXT,
            "made_at": INSTANT,
            "id": KEY,
        },
        unique=("record_id",),
    )
    make_table(
        "taken_back",
        {
            "record_id": KEY,
            "item_id": KEY,
            "kept": STRUCTURE,
            "made_by": TEXT,
            "made_at": INSTANT,
            "id": KEY,
        },
    )
    make_index("taken_back", "item_id")
    make_index("taken_back", "record_id")

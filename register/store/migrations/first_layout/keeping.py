"""The tables of photos, and of what is no longer kept: a part of the first layout."""

from register.store.migrations.making import BYTES, DAY, INSTANT, KEY, NUMBER, TEXT, id_of, make_index, make_table


def make() -> None:
    """Make what holds pictures of items out of service, and what remembers that something was let go."""
    _photos()
    _let_go()


def _photos() -> None:
    make_table(
        "photo",
        {
            "id": KEY,
            "sha256": TEXT,
            "form": TEXT,
            "width": NUMBER,
            "height": NUMBER,
            "picture": BYTES,
        },
    )
    make_table(
        "withdrawal_photo",
        {
            "withdrawal_id": id_of("withdrawal"),
            "item_id": id_of("item"),
            "photo_id": id_of("photo"),
            "added_by": TEXT,
            "added_at": INSTANT,
            "id": KEY,
        },
        unique=("withdrawal_id", "photo_id"),
    )
    make_index("withdrawal_photo", "item_id")
    make_index("withdrawal_photo", "photo_id")


def _let_go() -> None:
    make_table(
        "let_go",
        {
            "id": KEY,
            "kind": TEXT,
            "item_id": KEY,
            "day": DAY,
            "let_go_by": TEXT,
            "let_go_at": INSTANT,
        },
    )
    make_index("let_go", "item_id")

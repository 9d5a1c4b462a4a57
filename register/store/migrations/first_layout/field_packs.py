"""The tables of field packs, a part of the first layout."""

from register.store.migrations.making import DAY, INSTANT, KEY, NUMBER, STRUCTURE, TEXT, make_table, maybe


def make() -> None:
    """Make what the office remembers of its packs, and where a field register keeps how it was packed."""
    make_table(
        "pack",
        {
            "sites": STRUCTURE,
            "holder": TEXT,
            "made_at": INSTANT,
            "made_on": DAY,
            "expires_on": DAY,
            "items": NUMBER,
            "merged_at": maybe(INSTANT),
            "counts": STRUCTURE,
            "id": KEY,
        },
    )
    make_table(
        "pack_base",
        {
            "kind": TEXT,
            "key": TEXT,
            "kept": maybe(STRUCTURE),
        },
        key=("kind", "key"),
        by_key=True,
    )

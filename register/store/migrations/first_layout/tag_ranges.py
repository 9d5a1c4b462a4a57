"""The table of ranges of tag numbers, a part of the first layout."""

from register.store.migrations.making import DAY, KEY, NUMBER, TEXT, make_table, maybe


def make() -> None:
    """Make what says which tag numbers each holder may give out."""
    make_table(
        "tag_range",
        {
            "holder": TEXT,
            "prefix": TEXT,
            "digits": NUMBER,
            "first": NUMBER,
            "last": NUMBER,
            "following": NUMBER,
            "ended_on": maybe(DAY),
            "version": NUMBER,
            "id": KEY,
        },
    )

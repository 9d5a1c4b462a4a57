"""The table of seals, a part of the first layout."""

from register.store.migrations.making import BYTES, NUMBER, TEXT, make_table


def make() -> None:
    """Make what says, after each change, what the rows that it wrote hold."""
    make_table(
        "seal",
        {
            "seq": NUMBER,
            "part": NUMBER,
            "rows": BYTES,
            "hash": TEXT,
        },
        key=("seq", "part"),
    )

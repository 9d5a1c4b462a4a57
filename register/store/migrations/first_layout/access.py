"""The table of who may see and do what, a part of the first layout."""

from register.store.migrations.making import KEY, TEXT, id_of, make_table, maybe


def make() -> None:
    """Make what names the logins, their roles, and the owners whose sites they see."""
    make_table(
        "access",
        {
            "login": TEXT,
            "role": TEXT,
            "owner_id": maybe(id_of("owner")),
            "id": KEY,
        },
        unique=("login", "owner_id"),
    )

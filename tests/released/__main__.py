"""`python3 -m tests.released`: keep the layout of the newest migration, once, before it is released."""

import sys

from register.store.upgrade import HEAD
from tests.released.layouts import HERE
from tests.released.made import made_in_a_file, made_on_a_server
from tests.servers import running


def keep_layout() -> None:
    """Write down what the newest migration makes, in a file and on a server."""
    with running() as server:
        for database, said in (("file", made_in_a_file(HEAD)), ("server", made_on_a_server(HEAD, server))):
            (HERE / f"{HEAD}.{database}.sql").write_text(said, encoding="utf-8")


if __name__ == "__main__":
    if (HERE / f"{HEAD}.file.sql").exists():
        sys.exit(f"The layout {HEAD} is kept already, and never changes again. Write a new migration.")
    keep_layout()

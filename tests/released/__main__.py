"""`python3 -m tests.released`: keep the newest layout, and a register that has it, once, before it is released."""

import sys
import tempfile
from contextlib import closing
from dataclasses import fields
from pathlib import Path

from register.store.engine import open_register
from register.store.upgrade import HEAD
from tests.released.kept import LAYOUTS, answers, keep
from tests.released.layouts import HERE
from tests.released.made import made_in_a_file, made_on_a_server
from tests.released.populated import populate
from tests.servers import running


def keep_layout() -> None:
    """Write down what the newest migration makes, in a file and on a server."""
    with running() as server:
        for database, said in (("file", made_in_a_file(HEAD)), ("server", made_on_a_server(HEAD, server))):
            _write(f"{database}.sql", said)


def keep_registers() -> None:
    """Keep a register with something in every table, what came of it, and what it answers."""
    with tempfile.TemporaryDirectory() as folder:
        made = populate(Path(folder))
        for part in fields(made):
            keep(HEAD, part.name, getattr(made, part.name))
        for part, path in (("office", made.office), ("field", made.field)):
            with closing(open_register(path)) as register, register.read() as connection:
                _write(f"{part}.txt", answers(connection))


def _write(ending: str, said: str) -> None:
    (HERE / f"{HEAD}.{ending}").write_text(said, encoding="utf-8")


if __name__ == "__main__":
    if HEAD in LAYOUTS:
        sys.exit(f"The layout {HEAD} is kept already, and never changes again. Write a new migration.")
    keep_layout()
    keep_registers()

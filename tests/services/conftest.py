"""The register that the tests of the services work on, and somebody at work on it."""

from tests.at_work import (
    built,
    database,
    desk,
    empty_file,
    on_server,
    path,
    pytest_collection_modifyitems,
    register,
    server,
    statements,
)

__all__ = [
    "built", "database", "desk", "empty_file", "on_server", "path", "pytest_collection_modifyitems", "register",
    "server", "statements",
]  # fmt: skip

"""The register that the tests of the services work on, and somebody at work on it."""

import pytest

from register.store.engine import Register
from tests.desk import Desk
from tests.registers import empty_file, path, register

__all__ = ["empty_file", "path", "register"]


@pytest.fixture
def desk(register: Register) -> Desk:
    """Somebody at work on an empty register."""
    return Desk(register)

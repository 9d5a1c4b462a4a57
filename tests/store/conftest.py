"""The register that the tests of the store work on."""

from tests.registers import empty_file, path, register

__all__ = ["empty_file", "path", "register"]

"""Registers for the tests of safety."""

from tests.registers import empty_file, path, register, stick

__all__ = ["empty_file", "path", "register", "stick"]

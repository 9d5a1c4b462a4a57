"""The office's register of each test."""

from tests.registers import empty_file, path, register

__all__ = ["empty_file", "path", "register"]

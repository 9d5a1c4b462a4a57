"""Spreadsheets at the window: taking one in, and writing the owner's."""

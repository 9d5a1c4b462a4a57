"""Dialogs: how one looks and behaves, its fields and choices, and those that more than one page asks with."""

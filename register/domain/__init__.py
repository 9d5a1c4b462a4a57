"""The rules: pure functions over frozen values. No database, no files, no clock."""

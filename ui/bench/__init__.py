"""The bench: scan, look, type the readings, see the verdict, scan the next."""

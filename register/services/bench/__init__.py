"""One item after another on the bench: scanned, looked at, measured, kept or corrected."""

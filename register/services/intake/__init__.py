"""Taking in what a spreadsheet says: items and tests compared with the register, and kept or refused."""

"""Reading the spreadsheets a contractor has: what they say, in the register's words, and what can't be read."""

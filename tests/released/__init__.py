"""The layouts that registers out in the world have, and of each a register, its packs and a workbook, as it made them.

`NNNN.file.sql` and `NNNN.server.sql` say what a layout is, `NNNN.office.register.xz` is a register that has it, with
something in every table, and `NNNN.office.txt` what it answered; `.field` is one that was opened from a field pack.
`python3 -m tests.released` makes those of the newest layout from a small sample (`populated.py`), once, before it is
released. None is ever made anew: what the program of that day made is what the program of any later day must read. Only
where a rule changes on purpose, so that the dates do, an answer is written anew.
"""

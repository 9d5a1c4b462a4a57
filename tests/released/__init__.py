"""The layouts that registers out in the world have: what each is, in text, and later a register of each.

A layout that is here is never changed again; `python3 -m tests.released` adds that of the newest migration.
"""

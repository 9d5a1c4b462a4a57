"""What no accident may do to a register: killed programs, power cuts, full drives, damaged files.

The short runs are part of every test run; `python3 -m tests --long` makes the long ones. docs/safety.md lists both.
"""

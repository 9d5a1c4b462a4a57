"""How fast the program is on a large register: built once, measured beside a floor in the same run."""

"""`python3 -m tests.bench`: makes a large register once, measures the program on it, and says which goals are missed.

Exit code 1 where one is. Nothing here is part of the tests that decide; a small run of it is, so that it stays sound.
"""

import argparse
import json
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from resources import start


def main(arguments: Sequence[str]) -> int:
    """Measure and print; return the exit code."""
    from tests.bench.run import PARTS, measured
    from tests.bench.timing import table

    parser = argparse.ArgumentParser(prog="python3 -m tests.bench", description="Measures the program's speed.")
    parser.add_argument("--items", type=int, default=100_000, help="how many items the register has (100,000)")
    parser.add_argument("--rows", type=int, default=20_000, help="how many rows the imported workbook has (20,000)")
    parser.add_argument("--dir", type=Path, help="where the register is kept for the next run (a temporary folder)")
    parser.add_argument("--only", choices=PARTS, action="append", help="measure this part alone; can be repeated")
    parser.add_argument("--json", action="store_true", help="print JSON, times in seconds")
    chosen = parser.parse_args(arguments)
    folder = chosen.dir or Path(tempfile.gettempdir()) / "retest-register-bench"
    lines = measured(folder, items=chosen.items, rows=chosen.rows, parts=chosen.only or PARTS)
    if chosen.json:
        print(json.dumps([line.as_json() for line in lines], ensure_ascii=False, indent=2))
    else:
        print(table(lines))
    missed = [line.what for line in lines if line.reached is False]
    if missed:
        print(f"{len(missed)} goals were missed: {'; '.join(missed)}.", file=sys.stderr)
    return 1 if missed else 0


if __name__ == "__main__":
    start.ensure("tests")
    sys.exit(main(sys.argv[1:]))

"""`python -m tests.bench.at_book`: one owner workbook of so many rows, written once; prints the most memory it took.

Its arguments are a register, how many rows, and the workbook's file. The figure is in bytes. It runs in a process of
its own, because a process never tells how much it has given back.
"""

import re
import sys
from contextlib import closing
from pathlib import Path

from register.exchange.workbook import write_owner_workbook
from register.services.owners.report import report_on
from register.store.engine import open_register
from register.store.sparing import sparing
from tests.bench.made_up import TODAY
from tests.bench.whole import sites_for


def main(register: Path, rows: int, book: Path) -> int:
    """Write the workbook; return the most memory that the process ever had.

    As Linux tells it of this program alone: what `resource` tells counts the process that started it as well.
    """
    with closing(open_register(register)) as opened, opened.read() as connection, sparing(connection):
        write_owner_workbook(report_on(connection, sites_for(connection, rows), TODAY, None), book)
    most = re.search(r"VmHWM:\s+(\d+) kB", Path("/proc/self/status").read_text(encoding="ascii"))
    assert most is not None, "Linux tells it always"
    return int(most[1]) * 1024


if __name__ == "__main__":
    print(main(Path(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3])))

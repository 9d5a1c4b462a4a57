"""Starts the program: reads the command line and today's date, which is passed on to all that need it."""

import argparse
import sys
import tempfile
from datetime import UTC, date, datetime
from pathlib import Path

NO_WINDOW_YET = (
    "The window is not built yet. Use the command line: `python3 -m register --help`, or see the main job with "
    "`python3 -m ui --demo`."
)


def main(argv: list[str] | None = None) -> int:
    """Run the program; the exit code is 0 when done and 1 when refused with a sentence on stderr."""
    options = command_line().parse_args(argv)
    if not options.demo:
        print(NO_WINDOW_YET, file=sys.stderr)
        return 1
    now = datetime.now(UTC)
    today = date.today()  # noqa: DTZ011 - the user's own calendar day, read once and passed on
    return run_demo_without_window(today, now, options.out or Path(tempfile.mkdtemp(prefix="retest-register-")))


def command_line() -> argparse.ArgumentParser:
    """What may be written after `python3 -m ui`."""
    parser = argparse.ArgumentParser(prog="retest-register", description="Retest Register, the window.")
    parser.add_argument("--demo", action="store_true", help="do the main job on an invented contractor's registers")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="where the demo writes its files (default: a new folder)"
    )
    return parser


def run_demo_without_window(today: date, now: datetime, out: Path) -> int:
    """Do the main job unattended and say so."""
    from register.demo import demo_text, run_demo
    from register.errors import Refused, Unavailable

    print("The window is not built yet; this is the main job without it.\n", flush=True)
    try:
        print(demo_text(run_demo(today, out, at=now)))
    except (Refused, Unavailable) as reason:
        print(reason, file=sys.stderr)
        return 1
    return 0

"""Starts the program: reads the command line and the clock, which are passed on to all that need them."""

import argparse
import os
import sys
import tempfile
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

from register.domain.tag_words import TagKind
from register.errors import Refused, Unavailable


def main(argv: list[str] | None = None) -> int:
    """Run the program; the exit code is 0 when done and 1 when refused with a sentence on stderr."""
    parser = command_line()
    options = parser.parse_args(argv)
    if options.tags and options.write != "tags":
        parser.error("tags are named for --write tags alone")
    today = date.today()  # noqa: DTZ011 - the user's own calendar day, read once and passed on
    try:
        if options.demo:
            return _demo(today, options.out or Path(tempfile.mkdtemp(prefix="retest-register-")))
        if options.write in _ORDERS:
            return _ORDERS[options.write](options, today)
        if options.write:
            return _write(options.write, options.db, options.out, today)
        from ui.window import run_window

        return run_window(options.db, today, _now)
    except (Refused, Unavailable) as reason:
        print(reason, file=sys.stderr)
        return 1


def command_line() -> argparse.ArgumentParser:
    """What may be written after `python3 -m ui`."""
    parser = argparse.ArgumentParser(prog="retest-register", description="Retest Register, the window.")
    parser.add_argument("--db", type=Path, metavar="FILE", help="the register to open (default: the one of last time)")
    parser.add_argument("--demo", action="store_true", help="do the main job on an invented contractor's registers")
    parser.add_argument(
        "--write",
        choices=("pictures", "manual", *_ORDERS),
        help="without a window: a picture of every page, the made parts of the manual, tags or day sheets as a PDF",
    )
    parser.add_argument("--out", type=Path, metavar="PATH", help="the folder (or, for tags and day sheets, the PDF)")
    tags = parser.add_argument_group("tags", "what --write tags writes, on which labels")
    tags.add_argument("tags", nargs="*", metavar="TAG", help="the items, by their tags")
    tags.add_argument("--site", default="", metavar="CODE", help="all items at a site instead")
    tags.add_argument("--kind", choices=tuple(TagKind), help="which sort of tag (default: what each item needs)")
    tags.add_argument("--stock", default="", metavar="NAME", help="the format of the labels (default: the firm's)")
    tags.add_argument("--start", type=int, default=1, metavar="N", help="the first free place on the sheet")
    parser.add_argument("--week", default="", metavar="WEEK", help="the week of the day sheets, such as 2026-W49")
    return parser


def _now() -> datetime:
    return datetime.now(UTC)


def without_display() -> bool:
    """Whether there is no screen to open a window on."""
    if os.environ.get("QT_QPA_PLATFORM") == "offscreen":
        return True
    return sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _demo(today: date, out: Path) -> int:
    """Do the main job, say what was found, then open the window on it, or without a screen save its pictures."""
    from register.demo import demo_text, run_demo

    report = run_demo(today, out, at=_now())
    print(demo_text(report), flush=True)
    if without_display():
        return _write("pictures", Path(report.register), out / "pictures", today, report.tag)
    from ui.window import run_window

    return run_window(Path(report.register), today, _now)


def _write(what: str, db: Path | None, out: Path | None, today: date, tag: str = "") -> int:
    """Write what was asked for without opening a window, and say where it is."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from ui.pictures import write_manual, write_pictures

    if what == "manual":
        for path in write_manual(out):
            print(path)
        return 0
    if db is None:
        raise Refused(f"To write {what}, name a register with --db.")
    folder = out or Path(tempfile.mkdtemp(prefix="retest-register-"))
    written = write_pictures(db, folder, today, _now, tag=tag)
    print(f"Pictures of every page: {len(written)} in {folder}")
    return 0


def _write_tags(options: argparse.Namespace, today: date) -> int:
    """Write tags as a PDF; say how many, and on stderr which items get none."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from ui.tags.unattended import Order, write_tags

    if options.db is None or options.out is None:
        raise Refused("To write tags, name a register with --db and the PDF with --out.")
    kind = TagKind(options.kind) if options.kind else None
    order = Order(options.out, options.tags, options.site, kind, options.stock, options.start)
    said, refused = write_tags(options.db, today, order)
    print(said)
    for each in refused:
        print(each, file=sys.stderr)
    return 0


def _write_day_sheets(options: argparse.Namespace, today: date) -> int:
    """Write the day sheets of a week as a PDF."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from ui.week.unattended import write_day_pages

    if options.db is None or options.out is None:
        raise Refused("To write day sheets, name a register with --db and the PDF with --out.")
    print(write_day_pages(options.db, today, options.week, options.out))
    return 0


_ORDERS: Final[dict[str, Callable[[argparse.Namespace, date], int]]] = {
    "tags": _write_tags, "day-sheets": _write_day_sheets,
}  # fmt: skip
"""What is written as it is ordered on the command line."""

"""The command line: what may be written after `python3 -m register`, and what runs then.

Exit codes: 0 done, 1 refused or not possible (one sentence on stderr), 2 wrong usage, 3 a fault of the program,
130 stopped by Ctrl+C.
"""

import argparse
import io
import traceback
from collections.abc import Callable
from contextlib import redirect_stdout
from datetime import date
from pathlib import Path

from register.cli import (
    care,
    correcting,
    deciding,
    deeds,
    intake,
    keeping,
    packs,
    plans,
    questions,
    review,
    servers,
    sharing,
    show,
    whereabouts,
)
from register.cli.context import Context, context
from register.cli.output import notice, tell
from register.domain.words import Duty, Kind, WithdrawalReason
from register.errors import Refused, Unavailable
from register.planning.routes import EFFORT
from register.store.access import Role

STOPPED = "Stopped. What was not finished was not kept."

Command = Callable[[Context], int | None]

FAULT = (
    "This is a fault of the program. What was to be changed was kept wholly or not at all: look before you repeat it,"
    " and please report the lines below."
)


def main(argv: list[str] | None = None) -> int:
    """Run one command and return its exit code."""
    options = command_line().parse_args(argv)
    answer = io.StringIO()
    try:
        with redirect_stdout(answer):
            code: int = options.run(context(options)) or 0
    except (Refused, Unavailable) as reason:
        notice(" ".join(str(reason).splitlines()))  # a name may hold a line break; the sentence has one line
        return 1
    except PermissionError as closed:
        place = closed.filename or "A file"
        notice(f"{place} can't be reached: {closed.strerror}. Check who may use its folder.")
        return 1
    except KeyboardInterrupt:
        notice(STOPPED)
        return 130
    except Exception:  # noqa: BLE001 - the last place where a fault can be told in words
        notice(f"{FAULT}\n{traceback.format_exc().rstrip()}")
        return 3
    return tell(answer.getvalue(), code)


def command_line() -> argparse.ArgumentParser:
    """Return what may be written on the command line."""
    shared = _shared()
    parser = argparse.ArgumentParser(
        prog="retest-register-cli",
        description="Keeps safety switches and appliances by site, works out what must be retested when and why.",
        epilog="Local codes and licensed practice decide; the program reminds and keeps records, it does not certify.",
        parents=[shared],
    )
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    def command(name: str, run: Command, about: str) -> argparse.ArgumentParser:
        made = commands.add_parser(name, help=about, description=f"{about[:1].upper()}{about[1:]}.", parents=[shared])
        made.set_defaults(run=run)
        return made

    _add_demo(command("demo", show.demo, "do the whole job on an invented contractor's registers"))
    _add_import(command("import", intake.import_file, "take a spreadsheet or CSV file into the register"))
    _add_questions(command)
    _add_deeds(command)
    _add_whereabouts(command)
    _add_decide(
        command("decide", deciding.decide_interval, "decide on another interval for an item, an area or a site")
    )
    _add_packs(command)
    _add_plans(command)
    _add_care(command)
    return parser


def _shared() -> argparse.ArgumentParser:
    """Return the options that may stand before or after any command."""
    shared = argparse.ArgumentParser(add_help=False, argument_default=argparse.SUPPRESS)
    shared.add_argument("--db", metavar="FILE-OR-URL", help="the register: a file, or a database on a server")
    shared.add_argument("--json", action="store_true", help="print JSON alone")
    shared.add_argument("--by", metavar="NAME", help="who is at work, for the history (default: the computer's user)")
    shared.add_argument("--today", type=_day, metavar="DATE", help="work as on this day, to try things out")
    return shared


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or day.isoformat() != text:
        raise argparse.ArgumentTypeError(f"“{text}” is not a day: write it like 2026-11-24")
    if not _FIRST_YEAR <= day.year <= _LAST_YEAR:
        raise argparse.ArgumentTypeError(f"“{text}” is not in the years {_FIRST_YEAR} to {_LAST_YEAR}: check the year")
    return day


def _whole(first: int, last: int) -> Callable[[str], int]:
    """Return what reads a whole number between two others."""

    def read(text: str) -> int:
        digits = text.removeprefix("-")
        if not (digits.isascii() and digits.isdecimal() and len(digits) < _DIGITS and first <= int(text) <= last):
            raise argparse.ArgumentTypeError(f"“{text}” is not a whole number from {first} to {last}")
        return int(text)

    return read


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = -1
    if not 0 <= seconds <= _MOST_SECONDS:
        raise argparse.ArgumentTypeError(f"“{text}” is not a number of seconds from 0 to {_MOST_SECONDS}")
    return seconds


_DIGITS = 12
_MOST_DAYS, _MOST_SECONDS, _MOST_VANS, _LAST_SEED = 36_525, 600, 50, 2**32 - 1
_FIRST_YEAR, _LAST_YEAR = 1900, 2200  # so that looking years back and ahead stays within the calendar


def _add_demo(command: argparse.ArgumentParser) -> None:
    command.add_argument("--out", type=Path, metavar="DIR", help="where its files go (default: a new folder)")


def _add_import(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", metavar="FILE", help="an .xlsx or .csv file")
    command.add_argument("--dry-run", action="store_true", help="show what would be taken and every problem")
    command.add_argument("--mapping", metavar="FILE", help="how its columns and words are to be read (TOML)")
    command.add_argument("--write-mapping", metavar="FILE", help="write down how the file was read, to be corrected")
    command.add_argument("--afresh", action="store_true", help="read it without what is remembered of its headings")
    command.add_argument("--preview", metavar="FILE.xlsx", help="write its rows with what becomes of each")
    command.add_argument("--site", default="", metavar="CODE", help="the site it is of")
    command.add_argument("--site-name", default="", metavar="NAME", help="the name of a site that is new")
    command.add_argument("--owner", default="", metavar="NAME", help="the owner of a site that is new")
    command.add_argument("--rulebook", default="", metavar="R", help="the rulebook of a site that is new")
    command.add_argument("--environment", default="", metavar="E", help="how the places of a new site are used")


def _add_questions(command: Callable[[str, Command, str], argparse.ArgumentParser]) -> None:
    due = command("due", questions.due, "list the duties due or overdue, each with its reason")
    due.add_argument("--on", type=_day, metavar="DATE", help="as on this day (default: today)")
    due.add_argument("--within", type=_whole(0, _MOST_DAYS), default=0, metavar="DAYS", help="and so many days more")
    due.add_argument("--site", metavar="CODE", help="at one site")
    due.add_argument("--whose", choices=("contractor", "user", "all"), default="all", help="whose duties")
    why = command("why", questions.why, "explain an item's dates")
    why.add_argument("tag", metavar="TAG")
    why.add_argument("--site", metavar="CODE", help="where several sites have the tag")
    why.add_argument("--on", type=_day, metavar="DATE", help="as on this day (default: today)")
    interval = command("interval", questions.interval, "show a rulebook's intervals with their sources")
    interval.add_argument("--rulebook", required=True, metavar="R", help="a rulebook's id, or a rulebook file")
    interval.add_argument(
        "--kind", required=True, metavar="K", help=f"one of: {', '.join(kind.value for kind in Kind)}"
    )
    interval.add_argument("--environment", required=True, metavar="E", help="a class of the rulebook")
    interval.add_argument("--place", metavar="E", help="the class of the place, where it differs from the item's")
    interval.add_argument("--has-switch", action="store_true", help="the item has a safety switch built in")
    judge = command("judge", questions.judge, "judge readings in JSON against a rulebook, without a register")
    judge.add_argument("file", metavar="FILE", help="a JSON file, or - for standard input")
    checked = command("check", questions.check, "check the file, the history, and every date against records and rules")
    checked.add_argument("--report", nargs=2, metavar=("EVENTS", "MARK"), help="against what a report's cover says")


def _add_deeds(command: Callable[[str, Command, str], argparse.ArgumentParser]) -> None:
    record = command("record", deeds.record, "take test records in JSON into the register")
    record.add_argument("file", metavar="FILE", help="a JSON file, or - for standard input")
    correct = command("correct", correcting.correct, "put a right record in the place of a wrong one, which stays")
    correct.add_argument("record", metavar="RECORD-ID", help="the wrong record's id; why TAG lists them")
    correct.add_argument("file", nargs="?", metavar="FILE", help="a JSON file with the right record, or -")
    correct.add_argument("--void", action="store_true", help="nothing stands in its place")
    correct.add_argument("--reason", required=True, metavar="TEXT", help="what was wrong with it")
    _add_withdraw(command("withdraw", deeds.withdraw, "take an item out of service"))
    remove = command("remove", deeds.remove, "take an item off the register for good, keeping its history")
    remove.add_argument("tag", metavar="TAG")
    remove.add_argument("--reason", required=True, metavar="TEXT", help="why, such as disposed of")
    remove.add_argument("--site", metavar="CODE", help="where several sites have the tag")
    done = command("done", deeds.done, "note that a user's duty was done: a button pressed, a look before hire")
    done.add_argument("tag", metavar="TAG")
    done.add_argument("--duty", required=True, choices=[duty.value for duty in Duty])
    done.add_argument("--on", type=_day, metavar="DATE", help="the day (default: today)")
    done.add_argument("--confirm-old", action="store_true", help="the day is right although it is before 1990")
    done.add_argument("--site", metavar="CODE", help="where several sites have the tag")
    export = command("export", deeds.export, "write the owner workbook of a site, or of all sites of an owner")
    export.add_argument("file", metavar="FILE.xlsx")
    whose = export.add_mutually_exclusive_group(required=True)
    whose.add_argument("--site", metavar="CODE", help="of one site")
    whose.add_argument("--owner", default="", metavar="NAME", help="of all sites of an owner")
    export.add_argument("--from", dest="from_day", type=_day, metavar="DATE", help="with the tests from this day on")
    export.add_argument("--to", dest="to_day", type=_day, metavar="DATE", help="with the tests up to this day")
    taken = command("review", review.take_review, "take in an owner's answers from the workbook that he sent back")
    taken.add_argument("file", metavar="FILE.xlsx")
    taken.add_argument("--dry-run", action="store_true", help="show what each answer would do; keep nothing")
    taken.add_argument("--anyway", action="store_true", help="do also what speaks against later changes")
    command("queries", review.queries, "list what owners asked and nobody has answered yet")
    answer = command("answer", review.answer_query, "answer an owner's query")
    answer.add_argument("query", metavar="QUERY-ID", help="its id; queries lists them")
    answer.add_argument("text", metavar="TEXT", help="what was done, or what he was told")


def _add_withdraw(command: argparse.ArgumentParser) -> None:
    command.add_argument("tag", metavar="TAG")
    command.add_argument("--reason", required=True, choices=[reason.value for reason in WithdrawalReason])
    command.add_argument("--tag-number", required=True, metavar="N", help="the number of the out-of-service tag")
    command.add_argument("--detail", default="", metavar="TEXT", help="what is wrong with it")
    command.add_argument("--told", default="", metavar="NAME", help="who was told at the site")
    command.add_argument("--photo", default="", metavar="FILE", help="a JPEG or PNG picture of it, of 1 MB at most")
    command.add_argument("--site", metavar="CODE", help="where several sites have the tag")


def _add_whereabouts(command: Callable[[str, Command, str], argparse.ArgumentParser]) -> None:
    missing = command("missing", whereabouts.missing, "mark an item as not found, to be asked for again")
    found = command("found", whereabouts.found, "take back that an item was not found")
    repaired = command("repaired", whereabouts.repaired, "note a repair, after which every test must pass anew")
    repaired.add_argument("--repairer", required=True, metavar="NAME", help="who repaired it")
    repaired.add_argument("--what", required=True, metavar="TEXT", help="what was done")
    repaired.add_argument("--on", type=_day, metavar="DATE", help="the day (default: today)")
    replace = command("replace", whereabouts.replace, "remove an item for good and enter another in its place")
    replace.add_argument("--with", dest="new_tag", required=True, metavar="NEW-TAG", help="the tag of the other one")
    replace.add_argument("--serial", default="", metavar="N", help="its serial number")
    replace.add_argument("--new", action="store_true", help="it is new: looked over, not yet tested")
    for made in (missing, found, repaired, replace):
        made.add_argument("tag", metavar="TAG")
        made.add_argument("--site", metavar="CODE", help="where several sites have the tag")


def _add_decide(decide: argparse.ArgumentParser) -> None:
    decide.add_argument(
        "tag", nargs="?", default="", metavar="TAG", help="the item; else --site, with or without --area"
    )
    decide.add_argument("--site", metavar="CODE", help="the site; with a tag, where several sites have it")
    decide.add_argument("--area", default="", metavar="NAME", help="an area of the site")
    decide.add_argument("--duty", required=True, choices=[duty.value for duty in Duty])
    decide.add_argument("--every", default="", metavar="P3M", help="how often, as an ISO 8601 duration")
    decide.add_argument("--reason", required=True, metavar="TEXT", help="what the decision, or its end, rests on")
    decide.add_argument("--approved-by", default="", metavar="NAME", help="who answers for it")
    decide.add_argument("--approved-on", type=_day, metavar="DATE", help="the day (default: today)")
    decide.add_argument("--review", type=_day, metavar="DATE", help="the day it is looked at again")
    decide.add_argument("--end", action="store_true", help="end the decision: the rulebook's interval holds again")


def _add_packs(command: Callable[[str, Command, str], argparse.ArgumentParser]) -> None:
    pack = command("pack", packs.pack, "make a field pack for a laptop without network, open it, or send its work back")
    pack.add_argument("file", metavar="FILE", help="the pack (.fieldpack), or with --back the work (.fieldwork)")
    pack.add_argument("--site", action="append", default=[], metavar="CODE", help="a site of the pack; may be repeated")
    pack.add_argument("--visit", type=_day, metavar="DATE", help="the sites that a kept week visits on that day")
    pack.add_argument("--van", default="", metavar="NAME", help="the van of that day, where several go")
    pack.add_argument("--holder", default="", metavar="NAME", help="who works with it")
    pack.add_argument("--until", type=_day, metavar="DATE", help=f"the last day (default: in {packs.DAYS} days)")
    pack.add_argument("--open", action="store_true", help="open the pack as a new register, which --db names")
    pack.add_argument("--back", action="store_true", help="write what was done in the field register that --db names")
    command("packs", packs.packs, "list the field packs that were made: out, came back, expired")
    merge = command("merge", packs.merge, "merge field work into the register that made its pack")
    merge.add_argument("file", metavar="FILE", help="field work (.fieldwork)")
    merge.add_argument("--dry-run", action="store_true", help="show what would come and what clashes; keep nothing")
    merge.add_argument("--late", action="store_true", help="take it although its pack expired")


def _add_care(command: Callable[[str, Command, str], argparse.ArgumentParser]) -> None:
    backup = command("backup", care.backup, "make a copy of the register, read back and found whole")
    backup.add_argument("--to", type=Path, metavar="DIR", help="into this folder (default: where copies go)")
    moved = command("move", servers.move, "copy the register to a server or back, and hold the copy against it")
    moved.add_argument("--to", required=True, metavar="FILE-OR-URL", help="a file that isn't there, an empty database")
    team = command("team", servers.team, "let somebody into the team or out of it, or list who is in it")
    team.add_argument("login", nargs="?", default="", metavar="LOGIN", help="the name that he logs in with")
    team.add_argument("--role", choices=[role.value for role in Role], help="what he is")
    team.add_argument("--owner", action="append", default=[], metavar="NAME", help="sees only his sites; repeatable")
    team.add_argument("--end", action="store_true", help="let the login out again")
    restore = command("restore", care.restore, "put a copy in the place of the register, or list the copies there are")
    restore.add_argument("copy", nargs="?", type=Path, metavar="COPY", help="the copy's file")
    restore.add_argument("--newest", action="store_true", help="the newest copy that is whole")
    upgrade = command("upgrade", care.upgrade, "bring a register of an earlier version up to date, after a copy of it")
    server = upgrade.add_mutually_exclusive_group()
    server.add_argument("--copy-to", type=Path, metavar="DIR", help="copy one on a server into this folder")
    server.add_argument("--copied", action="store_true", help="make none: one on a server was copied by its own tools")
    on_share = command("share", sharing.share, "say whether the register is changed though it lies on a network drive")
    said = on_share.add_mutually_exclusive_group()
    said.add_argument("--change", dest="changes", action="store_true", default=None, help="change it there from now on")
    said.add_argument("--look", dest="changes", action="store_false", help="only look at it there from now on")
    kept = command("keeping", keeping.keeping, "show how long records are kept, and what is past that")
    kept.add_argument("--remove", action="store_true", help="remove what is past it, for good")


def _add_plans(command: Callable[[str, Command, str], argparse.ArgumentParser]) -> None:
    plan = command("plan", plans.plan, "plan a week: which sites, on which day, by which van, in which order")
    plan.add_argument(
        "--week", default="", metavar="WEEK", help="such as 2026-W49; else this one, from Friday the next"
    )
    plan.add_argument(
        "--pin", action="append", default=[], metavar="CODE=DATE", help="on that day (=DATE@VAN: in that van)"
    )
    plan.add_argument("--leave-out", action="append", default=[], metavar="CODE", help="don't visit a site")
    vans, seed = _whole(0, _MOST_VANS), _whole(0, _LAST_SEED)
    plan.add_argument("--vans", type=vans, metavar="N", help="with so many vans; more than there are is a trial")
    plan.add_argument("--seed", type=seed, default=1, metavar="N", help="another one may find another plan")
    plan.add_argument("--effort", type=_seconds, default=EFFORT, metavar="SECONDS", help="how long to seek, about")
    plan.add_argument("--keep", action="store_true", help="write the visits to the register")
    plan.add_argument("--ics", metavar="FILE", help="write a calendar; keeps the visits")
    plan.add_argument("--gpx", metavar="FILE", help="write the routes for a navigator")
    plan.add_argument("--geojson", metavar="FILE", help="write the routes for a map")
    plan.add_argument("--xlsx", metavar="FILE", help="write the day sheets")
    drives = command("drives", plans.drives, "take in the drives you know, as rows or as a square table")
    drives.add_argument("file", metavar="FILE", nargs="?", help="a .csv or .xlsx of from, to, km, minutes, or a square")
    drives.add_argument("--dry-run", action="store_true", help="show what would be taken and every problem")
    drives.add_argument("--forget", action="store_true", help="know none any more")
    forecast = command("forecast", plans.forecast, "show the work of the coming weeks against the crew's hours")
    forecast.add_argument("--weeks", type=int, default=52, metavar="N", help="how many weeks (default: 52)")
    more = _whole(-_MOST_VANS, _MOST_VANS)
    forecast.add_argument("--more-vans", type=more, default=0, metavar="N", help="as if there were more vans")
    forecast.add_argument("--interval", action="append", default=[], metavar="DUTY=P6M", help="as if it recurred so")
    forecast.add_argument("--new-site-like", default="", metavar="CODE", help="as if there were another site like one")
    forecast.add_argument("--new-site-items", type=int, metavar="N", help="with so many items of the same sorts")

"""The commands that ask: due, why, interval, judge, check."""

from dataclasses import asdict, replace
from typing import Any, Final

from register.cli.context import Context, read_document
from register.cli.output import cell, notice, print_json, print_table
from register.domain.explain import day_words
from register.domain.records import Judgement
from register.domain.text import clean_text
from register.domain.verdict import judge as judge_record
from register.domain.words import Kind, Standing, counted, first_word, spoken
from register.errors import Refused
from register.exchange.records_json import judgement_json, read_judge_request
from register.services.care import clock_behind, place_risk
from register.services.check import check as check_register
from register.services.items import find_item
from register.services.looking_after import note_check
from register.services.owners.written_report import told_by_report
from register.services.past_readings import CardRecord, past_readings
from register.services.places import known_site
from register.services.questions import DueDuty, ItemAnswer, due_duties, item_answer
from register.services.rulebooks import find_rulebook, interval_rows

WARNINGS = {
    Standing.OVERDUE: "overdue, do not use",
    Standing.WITHDRAWN: "withdrawn, do not use",
    Standing.UNTESTED: "untested, do not use",
}


def due(call: Context) -> None:
    """Print the duties due or overdue, each with its reason."""
    options = call.options
    on = options.on or call.today
    whose = {"contractor": True, "user": False, "all": None}[options.whose]
    with call.register() as register, register.read() as connection:
        site = known_site(connection, options.site) if options.site is not None else None
        found = due_duties(connection, on, within_days=options.within, site=site, contractors=whose)
    if call.json:
        print_json({"on": on, "within_days": options.within, "duties": [_due_json(each) for each in found]})
        return
    if not found:
        print(f"Nothing is due by {day_words(on)}{_and_days(options.within)}.")
        return
    heads = ("Site", "Tag", "What", "Duty", "Due", "Standing", "Why")
    print_table(heads, [_due_line(each) for each in found])
    print(f"\n{counted(len(found), 'duty', 'duties')} by {day_words(on)}{_and_days(options.within)}.")


def _and_days(within: int) -> str:
    return f" and {counted(within, 'day')} more" if within else ""


def standing_words(standing: Standing) -> str:
    """Return a standing as it is printed, with the warning that belongs to it."""
    return WARNINGS.get(standing, spoken(standing))


def _due_line(each: DueDuty) -> tuple[object, ...]:
    due_on = cell(each.due) if each.due is not None else "before use"
    return each.site, each.tag, each.description, spoken(each.duty), due_on, standing_words(each.standing), each.why[0]


def _due_json(each: DueDuty) -> dict[str, Any]:
    return {
        "site": each.site, "area": each.area, "tag": each.tag, "kind": each.kind, "description": each.description,
        "environment": each.environment, "duty": each.duty, "whose": "contractor" if each.contractors else "user",
        "last_done": each.last_done, "interval": each.interval, "due": each.due, "standing": each.standing,
        "why": each.why,
    }  # fmt: skip


def why(call: Context) -> None:
    """Print the full explanation of an item's dates."""
    options = call.options
    on = options.on or call.today
    with call.register() as register, register.read() as connection:
        answer = item_answer(connection, find_item(connection, options.tag, site=options.site), on)
        records, _histories = past_readings(connection, answer.item_id)
    if call.json:
        print_json({"on": on, **asdict(answer), "records": [_record_json(each) for each in records]})
        return
    _print_item(answer)
    for each in records:
        said = ", ".join(filter(None, (day_words(each.tested_on), each.verdict.value, each.tester)))
        print(f"\nRecord {each.id}: {said}.")
        print(f"  {each.corrected or each.why}")


def _record_json(each: CardRecord) -> dict[str, Any]:
    return {
        "id": each.id, "tested_on": each.tested_on, "verdict": each.verdict, "tester": each.tester, "why": each.why,
        "corrected": each.corrected,
    }  # fmt: skip


def _print_item(answer: ItemAnswer) -> None:
    print(f"{answer.tag}  {answer.description}  [{standing_words(answer.standing)}]")
    print(f"{first_word(answer.kind)} at {answer.site_name} ({answer.site}), {answer.area}.")
    print(f"Environment class: {answer.environment_title}. Rulebook: {answer.rulebook}.")
    if answer.earlier_tags:
        print(f"Earlier tags: {', '.join(answer.earlier_tags)}.")
    for sentence in _states(answer):
        print(sentence)
    for duty in answer.duties:
        whose = "contractor" if duty.contractors else "user"
        when = "not asked" if duty.relieved else _when(duty.due, duty.standing)
        print(f"\n{first_word(duty.duty)} ({whose}): {when}")
        for sentence in duty.why:
            print(f"  {sentence}")


def _when(due_on: object, standing: Standing) -> str:
    if due_on is not None:
        return f"due {cell(due_on)}, {standing_words(standing)}"
    return standing_words(standing) if standing is Standing.UNTESTED else "on occasion"


def _states(answer: ItemAnswer) -> list[str]:
    found = []
    if answer.out_of_scope:
        found.append(answer.out_of_scope)
    if answer.removed:
        found.append(f"Removed for good: {answer.removed}.")
    if answer.withdrawn is not None:
        out = answer.withdrawn
        tag = f", out-of-service tag {out.tag_number}" if out.tag_number else ", out-of-service tag still to be fixed"
        found.append(f"Withdrawn since {day_words(out.since)} ({out.reason.value}{tag}). {out.detail}".rstrip())
        needed = " and ".join(spoken(duty) for duty in out.needed)
        found.append(f"It returns after a complete pass of {needed or 'every duty due'}, dated after that.")
    if answer.not_found_on is not None:
        found.append(f"Not found on {day_words(answer.not_found_on)}; asked for again at the next visit.")
    if answer.last is not None:
        found.append(f"Last test {day_words(answer.last.tested_on)}: {answer.last.verdict.value}. {answer.last.why}")
    return found


def interval(call: Context) -> None:
    """Print the intervals that a rulebook sets for a kind in an environment class, with their sources."""
    options = call.options
    rows = interval_rows(
        find_rulebook(options.rulebook), _kind(options.kind), options.environment, options.place,
        has_switch=options.has_switch,
    )  # fmt: skip
    if call.json:
        print_json([row.as_json() for row in rows])
        return
    if not rows:
        print(f"{options.rulebook} asks nothing of this kind in this class.")
        return
    heads = ("Duty", "How often", "Standing of the source", "Source")
    lines = [(spoken(row.line.duty), row.words, row.line.source.confidence.value, _source(row.line)) for row in rows]
    print_table(heads, lines)


def _kind(word: str) -> Kind:
    try:
        return Kind(word)
    except ValueError:
        raise Refused(f"“{clean_text(word)}” is not a kind of item. Give one of: {', '.join(Kind)}.") from None


def _source(line: Any) -> str:  # noqa: ANN401 - an interval line
    others = "".join(f" Another source says {other.value}: {other.source}." for other in line.others)
    return f"{line.source.text}.{others}"


def judge(call: Context) -> None:
    """Print the verdict on readings in JSON, against a named rulebook, without any register."""
    request = read_judge_request(read_document(call.options.file), today=call.today)
    judgement = judge_record(request.record, request.item, find_rulebook(request.rulebook), request.plan)
    if call.json:
        print_json(judgement_json(judgement))
        return
    print_judgement(judgement)


def print_judgement(judgement: Judgement) -> None:
    """Print a verdict with its findings."""
    print(f"{judgement.verdict.value.upper()}: {judgement.why}")
    for finding in judgement.findings:
        print(f"  {finding.result.value:10} {finding.why}")
    for note in judgement.notes:
        print(f"  note       {note}")


_COUNTED: Final = {"items": ("item with those removed", "items with those removed"), "duties": ("duty", "duties")}


def check(call: Context) -> int:
    """Check the register: file, history and every date; the exit code is 1 where anything is wrong."""
    with call.register() as register, register.read(patient=True) as connection:
        found, risk = check_register(connection), place_risk(connection)
        note_check(connection, found, call.now)
        clock = "" if found.faults else clock_behind(connection, call.now.astimezone())
        if call.options.report and (wrong := told_by_report(connection, *call.options.report)):
            found = replace(found, faults=(*found.faults, wrong))
    if call.json:
        print_json({
            "ok": not found.faults, "risk": risk, "clock": clock, "counts": found.counts, "events": found.events,
            "head": found.head, "faults": found.faults, "more": found.more,
        })  # fmt: skip
    else:
        held = ", ".join(
            counted(number, *_COUNTED.get(name, (name[:-1], name))) for name, number in found.counts.items()
        )
        print(f"{register.name}: {held}; {counted(found.events, 'event')}, chain head {found.head[:8]}.")
        for fault in found.faults:
            print(f"  {fault}")
        if found.more:
            print(f"  ... and {found.more:,} more.")
        if not found.faults:
            print("Everything agrees: the file, the history, and every date with its records and rules.")
        if risk:
            print(f"Mind where it lies: {risk}")
        if clock:
            print(f"Mind the clock: {clock}")
    if found.faults:
        wrong = counted(len(found.faults) + found.more, "thing")
        notice(f"{register.name}: {wrong} wrong. Keep the file as it is, and go on from your last good copy.")
    return 1 if found.faults else 0

"""The verdict on a test record: every check against its limit, and everything that was asked for there or missing.

Fail beats incomplete beats pass. Every outlet and both half-cycles are needed; where a place was measured more than
once every value is judged, so the worse decides.
"""

from collections.abc import Iterable, Iterator, Sequence

from register.domain.asked import Asked, duties_of, what_is_asked
from register.domain.findings import look_finding, reading_finding
from register.domain.items import Item
from register.domain.places import LOOK, a_kind, in_order, place_of, place_words
from register.domain.records import Finding, Judgement, Place, Reading, ReadingPlan, TestRecord
from register.domain.rulebook import Rulebook
from register.domain.verdict_words import fail_words, incomplete_words, pass_words
from register.domain.words import CONTRACTORS_DUTIES, Bound, Duty, Result, spoken


def judge(
    record: TestRecord,
    item: Item,
    rulebook: Rulebook,
    plan: ReadingPlan,
    duties: tuple[Duty, ...] | None = None,
) -> Judgement:
    """Return the verdict on a record by the duties it set out to do, the reading plan and the rulebook.

    A record without duties set out to do every contractor's duty of its item. `duties` judges for some of the
    record's duties alone: a fail anywhere in the record still fails them, but what only the others lack doesn't
    hold them up. Readings beyond what was asked are judged too; one for which there is no limit becomes a note.
    """
    whole = record.duties or duties_of(item, rulebook)
    chosen = whole if duties is None else duties
    asked = what_is_asked(chosen, item, rulebook, plan)
    others = () if duties is None else tuple(each for each in whole if each not in chosen)
    asked_by_others = what_is_asked(others, item, rulebook, plan) if others else ()
    findings, notes = _findings(record, item, rulebook, asked, asked_by_others)
    missing = _unanswered(asked, findings)
    gaps = list(_gaps(chosen, item, rulebook))
    if not (findings or missing or gaps):
        gaps = ["Nothing was seen or measured."]
    verdict, why = _decide(findings, missing, gaps)
    outside = rulebook.out_of_scope(item)
    return Judgement(
        verdict=verdict,
        findings=tuple(findings),
        missing=tuple(each.place for each in missing),
        why=why,
        notes=tuple([*notes, outside] if outside else notes),
    )


def _decide(findings: Sequence[Finding], missing: Sequence[Asked], gaps: Sequence[str]) -> tuple[Result, str]:
    """Return the verdict and the sentence that names what decided it."""
    failed = [finding for finding in findings if finding.result is Result.FAIL]
    if failed:
        return Result.FAIL, fail_words(failed)
    undecided = [finding for finding in findings if finding.result is Result.INCOMPLETE]
    if undecided or missing or gaps:
        return Result.INCOMPLETE, incomplete_words(undecided, missing, gaps)
    return Result.PASS, pass_words(findings)


def _findings(
    record: TestRecord, item: Item, rulebook: Rulebook, asked: Sequence[Asked], asked_by_others: Sequence[Asked]
) -> tuple[list[Finding], list[str]]:
    """Return the finding of each check in working order, and the notes on readings that decided nothing."""
    findings: list[Finding] = []
    notes: list[str] = []
    if record.look is not None:
        findings.append(look_finding(record.look, _answered(LOOK, asked)))
    placed = _in_working_order(record.readings, item)
    measured = [place for place, reading in placed if reading.measure.bound is not Bound.NO_READING]
    for place, reading in placed:
        if reading.measure.bound is Bound.NO_READING and place in measured:
            notes.append(f"One set-up gave no reading of {place_words(place)}; what the other gave counts.")
            continue
        answered = _answered(place, asked)
        finding = reading_finding(reading, place, item, rulebook, answered)
        if isinstance(finding, str):
            notes.append(finding)
        elif finding.result is not Result.INCOMPLETE or answered or not _answered(place, asked_by_others):
            findings.append(finding)
    return findings, notes


def _in_working_order(readings: Iterable[Reading], item: Item) -> list[tuple[Place, Reading]]:
    placed = [(place_of(reading, item), reading) for reading in readings]
    if len(placed) == 1:
        return placed
    return sorted(placed, key=lambda each: (in_order(each[0]), each[1].measure.bound, each[1].measure.plain))


def _answered(place: Place, asked: Iterable[Asked]) -> Asked | None:
    """Return what is answered by a check at this place; None where nobody asked for it."""
    return next((each for each in asked if each.met_by(place)), None)


def _unanswered(asked: Iterable[Asked], findings: Sequence[Finding]) -> list[Asked]:
    """Return what was asked for and not found out."""
    seen = {finding.place.check for finding in findings}
    return [
        each
        for each in asked
        if seen.isdisjoint(each.checks) or not any(each.met_by(finding.place) for finding in findings)
    ]


def _gaps(duties: Sequence[Duty], item: Item, rulebook: Rulebook) -> Iterator[str]:
    """Yield a sentence for each contractor's duty of which the rulebook doesn't say what it asks of such an item."""
    known = duties_of(item, rulebook)
    if not duties:
        yield f"The rulebook {rulebook.id} lists no checks for {a_kind(item.kind)}."
    for duty in duties:
        if duty in CONTRACTORS_DUTIES and duty not in known:
            yield (
                f"The rulebook {rulebook.id} doesn't say what the {spoken(duty)} asks of {a_kind(item.kind)}: "
                "correct the record's duties."
            )

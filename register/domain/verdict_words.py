"""The sentence that names what decided a verdict."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from register.domain.asked import Asked
from register.domain.places import LOOK
from register.domain.records import Finding
from register.domain.words import Check, counted, spoken

MOST_NAMED: Final = 4
"""So many missing readings are named in a sentence; the rest are counted."""


def fail_words(failed: Sequence[Finding]) -> str:
    """Return the sentence of the worst fail, and how many others there are."""
    worst = max(failed, key=_severity)
    return " ".join([worst.why, *_others(len(failed) - 1, "other check fails too", "other checks fail too")])


def incomplete_words(undecided: Sequence[Finding], missing: Sequence[Asked], gaps: Sequence[str]) -> str:
    """Return the sentences on what is undecided and what is missing."""
    sentences = list(gaps)
    if undecided:
        sentences.append(undecided[0].why)
        sentences += _others(len(undecided) - 1, "other check is undecided too", "other checks are undecided too")
    if missing:
        names = [each.words for each in missing[:MOST_NAMED]]
        if len(missing) > MOST_NAMED:
            names.append(f"{len(missing) - MOST_NAMED} more")
        sentences.append(f"Missing: {_listed(names)}.")
    return " ".join(sentences)


def pass_words(findings: Sequence[Finding]) -> str:
    """Return the sentence of a pass: the slowest trip and its limit, or what was checked where nothing trips."""
    if len(findings) == 1:
        return findings[0].why
    timed = [
        (finding.measure.value, finding.why)
        for finding in findings
        if finding.measure and finding.measure.value and finding.place.check is Check.TRIP_TIME
        if finding.place.multiple == 1
    ]
    if timed:
        _, slowest = max(timed, key=lambda each: each[0])
        return f"All {len(findings)} checks passed. Slowest trip: {slowest}"
    checked = dict.fromkeys(spoken(finding.place.check) for finding in findings)
    return f"All {len(findings)} checks passed: {_listed(list(checked))}."


def _severity(finding: Finding) -> tuple[int, Decimal]:
    """Return how bad a fail is: damage before no trip and wrong polarity, those before how far beyond the limit."""
    if finding.place == LOOK:
        return 3, Decimal(0)
    if finding.measure is None or not finding.measure.value:
        return 2, Decimal(0)
    value = finding.measure.value
    if finding.most and value >= finding.most:
        return 1, value / finding.most
    return 1, (finding.least or value) / value


def _others(number: int, one: str, many: str) -> list[str]:
    return [f"{counted(number, one, many)}."] if number else []


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

"""Why a duty falls due when it does, in whole sentences: what was done, what is asked, where that stands."""

from collections.abc import Mapping
from datetime import date
from typing import Final

from register.domain.intervals import occasion_words
from register.domain.items import Item
from register.domain.rulebook import Rulebook, Strength
from register.domain.schedule import Basis, DutyDue, new_to_service, repair_untested
from register.domain.terms import Terms
from register.domain.words import Condition, spoken

_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(day: date) -> str:
    """Return a date as it stands in a sentence, the same in every locale: "3 Mar 2026"."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def why(item: Item, duty: DutyDue, rulebooks: Mapping[str, Rulebook]) -> tuple[str, ...]:
    """Return the reasons of a duty's date as sentences, the nearest first and the rulebook's sources last."""
    if duty.terms.relieved:
        return (duty.terms.relieved,)
    if duty.contractors and repair_untested(item, duty.done):
        when = f" on {day_words(item.since)}" if item.since else ""
        return (f"Repaired{when}: it must pass this before it returns to service.", *_rule(duty.terms))
    if duty.basis is not None:
        sentences = (_start(item, duty), *_date(duty.basis, rulebooks))
        return (*sentences, *_rule(duty.basis.terms), *duty.terms.doubts, *_stored(item))
    opening = (_never(duty),) if duty.terms.interval is not None else (_occasions(duty.terms),)
    return (*opening, *_rule(duty.terms), *duty.terms.doubts, *_stored(item))


def _start(item: Item, duty: DutyDue) -> str:
    if duty.done is not None:
        return f"Last done {day_words(duty.done.on)} ({duty.done.how})."
    started = new_to_service(item, duty.terms)
    assert started is not None
    return f"New to service on {day_words(started)}: looked over, not yet tested; the first interval counts from then."


def _never(duty: DutyDue) -> str:
    if not duty.first_needed:
        return "Never reported as done."
    if duty.terms.first is not None:
        return f"Never done: it must be done {occasion_words(duty.terms.first)}."
    return "Never done: it must be done before the item is used."


def _occasions(terms: Terms) -> str:
    words = ", and ".join(occasion_words(each) for each in terms.occasions)
    return f"{words[:1].upper()}{words[1:]}."


def _date(basis: Basis, rulebooks: Mapping[str, Rulebook]) -> tuple[str, ...]:
    assert basis.terms.interval is not None
    exposure = basis.exposure
    environment = rulebooks[exposure.rulebook].environments[exposure.environment].title
    if basis.override is None:
        sentences = [f"{environment}: every {basis.terms.interval.words}, so due {day_words(basis.due)}."]
    else:
        sentences = [_override(basis), f"Due {day_words(basis.due)}."]
    if basis.until is not None:
        sentences.append(
            f"It was there until {day_words(basis.until)}; until the next test the strictest place since the last one "
            "counts."
        )
    return tuple(sentences)


def _override(basis: Basis) -> str:
    override = basis.override
    assert override is not None
    said = (
        f"Every {override.interval.words} by decision of {override.approver} on {day_words(override.approved_on)}: "
        f"{override.reason.rstrip('.')}."
    )
    if basis.cut and basis.terms.longest is not None:
        said += f" Held to {basis.terms.longest.words}, the binding maximum."
    if basis.lapsed:
        said += f" That decision lapses after its review date, {day_words(override.review_on)}."
    return said


def _rule(terms: Terms) -> tuple[str, ...]:
    """Return the sentences about the line: what it says, whether it binds, where it stands, who disagrees."""
    line = terms.line
    binds = "a binding maximum" if line.strength is Strength.MAXIMUM else "guidance"
    place = f" of the place ({terms.binding_place})" if terms.binding_place else ""
    asked = f"{spoken(line.duty).capitalize()} {_asked(terms)}, {binds}{place}"
    sentences = [f"{asked}: {line.source.text} ({line.source.confidence.value}), rulebook {line.rulebook}."]
    if line.note:
        sentences.append(line.note)
    sentences += [f"Another source says {other.value}: {other.source}." for other in line.others]
    return tuple(sentences)


def _asked(terms: Terms) -> str:
    line = terms.line
    if line.every is not None:
        longer = f" to {line.up_to.words}" if line.up_to is not None else ""
        return f"every {line.every.words}{longer}"
    return ", and ".join(occasion_words(each) for each in terms.occasions)


def _stored(item: Item) -> tuple[str, ...]:
    if item.condition is not Condition.STORED:
        return ()
    when = f" since {day_words(item.since)}" if item.since else ""
    return (f"In store{when}: left out of the plan; test it again before it is used (common practice, no source).",)

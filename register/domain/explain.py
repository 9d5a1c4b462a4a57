"""Why a duty falls due when it does, in whole sentences: what was done, what is asked, where that stands."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Final

from register.domain.intervals import every_words, occasion_words
from register.domain.items import Exposure, Item
from register.domain.rulebook import IntervalLine, Rulebook, Strength
from register.domain.rulebook_lookup import condition_words, interval_words
from register.domain.schedule import Basis, DutyDue, Override, Scope, repair_untested
from register.domain.terms import Rule, Terms
from register.domain.words import Condition

_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_FOR: Final = {Scope.SITE: "for the site", Scope.AREA: "for the area", Scope.ITEM: "for this item"}


def day_words(day: date) -> str:
    """Return a date as it stands in a sentence, the same in every locale: "3 Mar 2026"."""
    return f"{short_day(day)} {day.year}"


def short_day(day: date) -> str:
    """Return a day of a year that is plain from where it stands: "3 Mar"."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def month_words(day: date) -> str:
    """Return the month that a day is in: "Mar 2026"."""
    return f"{_MONTHS[day.month - 1]} {day.year}"


def why(item: Item, duty: DutyDue, rulebooks: Mapping[str, Rulebook]) -> tuple[str, ...]:
    """Return why a duty has its date as sentences: the reasons, then the rules."""
    return (*reasons(item, duty, rulebooks), *rules(duty))


def reasons(item: Item, duty: DutyDue, rulebooks: Mapping[str, Rulebook]) -> tuple[str, ...]:
    """Return what led to a duty's date as sentences, first the one that matters in a list."""
    if duty.terms.relieved:
        return (duty.terms.relieved,)
    if duty.contractors and repair_untested(item, duty.done):
        first = [f"Repaired{_since(item, ' on ')} and not tested since: it must pass before it returns to service."]
    elif duty.basis is not None:
        first = list(_dated(item, duty, duty.basis, rulebooks))
    else:
        first = [_undated(item, duty)]
        if duty.until is not None:
            where = _class(duty.terms, duty.exposure, rulebooks)
            first.append(f"That is asked where it was until {day_words(duty.until)} ({where}).")
    terms = duty.basis.terms if duty.basis is not None else duty.terms
    doubt = [terms.doubt] if terms.doubt else []
    return (*first, *doubt, *_condition(item, duty, rulebooks))


def rules(duty: DutyDue) -> tuple[str, ...]:
    """Return the lines behind a duty's date as sentences: what each asks, whether it binds, where it stands.

    The first names the source of `duty.line`; notes and sources that disagree follow each line. Empty where the duty
    is not asked.
    """
    if duty.terms.relieved:
        return ()
    terms = duty.basis.terms if duty.basis is not None else duty.terms
    return tuple(sentence for rule in terms.rules for sentence in _rule(rule))


def _dated(item: Item, duty: DutyDue, basis: Basis, rulebooks: Mapping[str, Rulebook]) -> Iterator[str]:
    if duty.done is None:
        start, due = f"New to service{_since(item, ' on ')}", "first due"
    else:
        how = "" if duty.done.how == "measured" else f" ({duty.done.how})"
        start, due = f"Last done {day_words(duty.done.on)}{how}", "due"
    yield f"{start}, {_counted(basis, rulebooks)}: {due} {day_words(basis.due)}."
    if basis.override is not None:
        yield from _override(basis, basis.override)
    if basis.lapsed is not None:
        yield f"{_decision(basis.lapsed)} lapses on its review date, {day_words(basis.lapsed.review_on)}."
    if basis.until is not None:
        yield f"It left there on {day_words(basis.until)}; the strictest place counts until this is done again."
    if basis.terms.occasions:
        yield f"Also asked {_occasions(basis.terms)}."


def _counted(basis: Basis, rulebooks: Mapping[str, Rulebook]) -> str:
    """Return which interval was counted, and by whose word."""
    every = every_words(basis.interval)
    if basis.override is None:
        return f"{every} ({_class(basis.terms, basis.exposure, rulebooks)})"
    if basis.reviewed:
        return f"{every} by decision of {basis.override.approver}, but not beyond its review date"
    return f"{every}, the binding maximum" if basis.cut else f"{every} by decision of {basis.override.approver}"


def _class(terms: Terms, exposure: Exposure, rulebooks: Mapping[str, Rulebook]) -> str:
    """Return the environment class by which the governing line holds: the item's, the place's, or both."""
    rule, environments = terms.rules[0], rulebooks[exposure.rulebook].environments
    own = environments[exposure.environment].title
    if rule.place:
        return rule.place
    return f"{own}, {environments[exposure.place].title}" if rule.line.place else own


def _override(basis: Basis, override: Override) -> Iterator[str]:
    if basis.cut:
        yield f"{_decision(override)} can't run beyond that."
    else:
        yield f"Decided on {day_words(override.approved_on)} {_FOR[override.scope]}: {override.reason.rstrip('.')}."
    if basis.reviewed:
        yield "After that day the shorter interval counts again."


def _decision(override: Override) -> str:
    return (
        f"The decision of {override.approver} on {day_words(override.approved_on)} {_FOR[override.scope]}"
        f" ({override.interval.words}; {override.reason.rstrip('.')})"
    )


def _undated(item: Item, duty: DutyDue) -> str:
    """Return why there is no date to count from: never done, or asked on occasions alone."""
    if duty.first_needed:
        when = "before the item is used" if duty.terms.first is None else occasion_words(duty.terms.first)
        start = "New to service" if item.condition is Condition.NEW else "Never done"
        return f"{start}: it must be done {when}."
    if duty.terms.interval is not None:
        every = every_words(duty.terms.interval)
        return f"{every[:1].upper()}{every[1:]}; not yet reported as done."
    words = _occasions(duty.terms)
    return f"{words[:1].upper()}{words[1:]}."


def _occasions(terms: Terms) -> str:
    return "; ".join(occasion_words(each) for each in terms.occasions)


def _condition(item: Item, duty: DutyDue, rulebooks: Mapping[str, Rulebook]) -> Iterator[str]:
    """Yield what the rulebook says of new, repaired and stored items, where that has a part in the date."""
    if item.condition is Condition.STORED:
        yield f"In store{_since(item, ' since ')}."
    plays = {
        Condition.NEW: duty.contractors and duty.done is None and not duty.first_needed,
        Condition.REPAIRED: duty.contractors and repair_untested(item, duty.done),
        Condition.STORED: True,
    }
    rule = rulebooks[duty.exposure.rulebook].conditions.get(item.condition)
    if rule is not None and plays[item.condition]:
        yield f"{rule.rule.rstrip('.')}: {rule.source.text}."


def _since(item: Item, link: str) -> str:
    return "" if item.since is None else f"{link}{day_words(item.since)}"


def _rule(rule: Rule) -> Iterator[str]:
    line, condition = rule.line, condition_words(rule.line)
    asked = f"{interval_words(line)}, {condition}" if condition else interval_words(line)
    place = f" of the place ({rule.place})" if rule.place else ""
    yield f"{_strength(line)}{place}: {asked}, by {line.source.words} (rulebook {line.rulebook})."
    if line.note:
        yield line.note
    if line.others:
        others = "; ".join(f"{other.value} ({other.source})" for other in line.others)
        yield f"Other sources say: {others}."


def _strength(line: IntervalLine) -> str:
    if line.strength is Strength.GUIDE:
        return "Guidance"
    return "Binding maximum" if line.every is not None else "Binding rule"

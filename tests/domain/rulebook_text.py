"""A small rulebook file for the tests of the reader, and a way to change one thing in it."""

from register.domain.rulebook import Rulebook
from register.domain.rulebook_reader import read_rulebook

SMALL = """\
id = "small"
title = "Small rules"
version = "1"
about = "Made up for the tests."
cautions = ["A trip test cuts the supply."]

[scope]
max_rated_current_a = 20
battery_run = false
source = "Rule 1:2020 scope"
edition = "rule-2020"
confidence = "restated"

[edition.rule-2020]
title = "Rule 1:2020"

[edition.rule-2001]
title = "Rule 1:2001"
in_force = false

[kinds]
tools = ["appliance-class-1", "appliance-class-2"]

[environment.shed]
title = "Shed"
about = "Sheds and barns."

[environment.let]
title = "Let on hire"
about = "Whatever is let."
of_equipment = true

[condition.repaired]
rule = "Tested before it returns."
source = "Rule 1:2020 clause 4"
edition = "rule-2020"
confidence = "memory"

[[interval]]
duty = "inspection-and-test"
kinds = ["tools", "cord-set"]
environments = ["shed"]
every = "P6M"
up_to = "P12M"
first = "before-first-use"
strength = "maximum"
only_if = ["moved-in-use"]
unless = ["protected-by-switch"]
source = "Rule 1:2020 Table 1"
edition = "rule-2020"
confidence = "restated"
others = [{ value = "3 months", source = "a trade page" }]

[[interval]]
duty = "inspection-and-test"
kinds = ["tools"]
environments = ["let"]
every = "P3M"
source = "Rule 1:2020 Table 1"
edition = "rule-2020"
confidence = "restated"

[[interval]]
duty = "inspection-and-test"
kinds = ["tools"]
environments = ["let"]
place = ["shed"]
every = "P1M"
note = "Hired into a shed."
source = "Rule 1:2020 Table 1"
edition = "rule-2020"
confidence = "disputed"

[[interval]]
duty = "button-press"
kinds = ["tools", "portable-safety-switch"]
only_with_switch = true
environments = ["shed", "let"]
on = "each-day"
source = "Rule 1:2020 Table 2"
edition = "rule-2020"
confidence = "read"

[[interval]]
duty = "inspection-and-test"
kinds = ["tools"]
environments = ["shed"]
every = "P12M"
source = "Rule 1:2001 Table 1"
edition = "rule-2001"
confidence = "restated"

[[checklist]]
duty = "inspection-and-test"
kinds = ["tools"]
per_item = ["look", "insulation-resistance or leakage-current"]
per_outlet = ["earth-resistance"]
source = "Rule 1:2020 clause 3"
edition = "rule-2020"
confidence = "restated"

[[checklist]]
duty = "operating-time"
kinds = ["portable-safety-switch"]
trip_time_at = [1, "5"]
source = "Rule 1:2020 clause 5"
edition = "rule-2020"
confidence = "restated"

[[limit]]
check = "earth-resistance"
kinds = ["tools"]
at_most = 1
unit = "ohm"
source = "Rule 1:2020 Table 3"
edition = "rule-2020"
confidence = "restated"

[[limit]]
check = "polarity"
must_be = "right"
source = "Rule 1:2020 Table 3"
edition = "rule-2020"
confidence = "restated"

[[limit]]
check = "trip-time"
multiple = "1"
types = ["IV"]
delays = ["selective"]
at_least = "130"
at_most = "500"
unit = "ms"
source = "Rule 1:2020 Table 4"
edition = "rule-2020"
confidence = "restated"

[[limit]]
check = "trip-time"
multiple = "0.5"
must_hold = true
source = "Rule 1:2020 Table 4"
edition = "rule-2020"
confidence = "restated"

[[limit]]
check = "trip-current"
test_current = "half-wave"
waveforms = ["A"]
rated_above = 10
rated_up_to = "30"
of_rated = true
above = "0.35"
below = "1.4"
source = "Rule 1:2020 Table 5"
edition = "rule-2020"
confidence = "restated"
"""


def changed(old: str, new: str, text: str = SMALL) -> str:
    """Return the text with the first occurrence of something replaced. It must be there."""
    assert old in text
    return text.replace(old, new, 1)


def read(text: str, base: Rulebook | None = None) -> Rulebook:
    """Return the rulebook of a text that has nothing wrong in it."""
    rulebook, problems = read_rulebook(text, name="small.toml", base=base)
    assert problems == []
    assert rulebook is not None
    return rulebook


def line_with(text: str, fragment: str) -> int:
    """Return the line, counted from 1, on which a fragment first stands."""
    return text[: text.index(fragment)].count("\n") + 1

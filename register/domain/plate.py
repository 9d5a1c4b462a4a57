"""What the rating plate of a safety switch must say before its readings can be judged, and can't say at once.

Ranges of the types: AS/NZS 3190, restated second-hand for types I and II, from memory for III and IV. Selective
switches: IEC 61008-1 / 61009-1, restated second-hand.
"""

from decimal import Decimal
from typing import Final

from register.domain.items import SafetySwitch
from register.domain.measures import plain_number
from register.domain.words import Delay, SwitchType, TestCurrent, Waveform

TYPE_RANGES: Final[dict[SwitchType, tuple[Decimal, Decimal]]] = {
    SwitchType.I: (Decimal(0), Decimal(10)),
    SwitchType.II: (Decimal(10), Decimal(30)),
    SwitchType.III: (Decimal(30), Decimal(300)),
    SwitchType.IV: (Decimal(30), Decimal(300)),
}
"""The rated residual currents of each declared type of AS/NZS 3190, in mA: above the first, up to the second."""

SELECTIVE_ABOVE_MA: Final = Decimal(30)

SEES: Final[dict[Waveform, frozenset[TestCurrent]]] = {
    Waveform.AC: frozenset({TestCurrent.AC}),
    Waveform.A: frozenset({TestCurrent.AC, TestCurrent.HALF_WAVE}),
    Waveform.F: frozenset({TestCurrent.AC, TestCurrent.HALF_WAVE}),
    Waveform.B: frozenset(TestCurrent),
}
"""The test currents at which each kind of safety switch is made to trip (IEC 61008-1 and IEC 62423, restated)."""


def delay_of(switch: SafetySwitch) -> Delay:
    """Return the delay of a switch. Type IV is the delayed type, whether or not its delay was recorded."""
    return Delay.SELECTIVE if switch.type is SwitchType.IV else switch.delay


def current_sent_ma(rated_residual_ma: Decimal, multiple: Decimal) -> Decimal:
    """Return the current that a tester sends at a multiple of the rated residual current, in mA."""
    return rated_residual_ma * multiple


def contradiction(switch: SafetySwitch) -> str:
    """Return what on the rating plate can't be true at once, as a sentence; empty where it holds together."""
    rated, declared = switch.rated_residual_ma, switch.type
    if rated is None or declared is None:
        return ""
    given = f"the plate is recorded as {plain_number(rated)} mA"
    if declared not in TYPE_RANGES:
        if switch.delay is Delay.SELECTIVE and rated <= SELECTIVE_ABOVE_MA:
            return f"A selective switch is made above {SELECTIVE_ABOVE_MA} mA (IEC 61008-1), but {given}."
        return ""
    above, up_to = TYPE_RANGES[declared]
    if not above < rated <= up_to:
        reach = f"above {above} mA and up to {up_to} mA" if above else f"up to {up_to} mA"
        return f"Type {declared.value} of AS/NZS 3190 is {reach}, but {given}."
    if switch.delay is Delay.SELECTIVE and declared is not SwitchType.IV:
        return f"Type {declared.value} of AS/NZS 3190 has no delay, but the switch is recorded as selective."
    return ""

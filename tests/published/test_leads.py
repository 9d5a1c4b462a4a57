"""Longest extension leads against what a regulator published.

Source: WorkSafe Victoria, electrical hazards checklist (2002 to 2006), as restated. The figures for larger conductors
in the program are from memory of AS/NZS 3199 and AS/NZS 3012 and are not checked here. For 15 A and 1.5 mm² the page
prints 5 m, which looks like a dropped digit, so nothing is judged by it.
"""

from decimal import Decimal

import pytest

from register.domain.items import Item, LeadSize
from register.domain.leads import LIMITS, length_found
from register.domain.rulebook import Confidence
from register.domain.words import Kind


@pytest.mark.parametrize(("rated", "conductor", "most"), [("10", "1.0", 25), ("10", "1.5", 35), ("15", "2.5", 40)])
def test_a_lead_of_the_published_length_is_right_and_a_metre_more_is_not(rated: str, conductor: str, most: int) -> None:
    def found(metres: int) -> bool | None:
        size = LeadSize(Decimal(metres), Decimal(conductor))
        said = length_found(Item(Kind.EXTENSION_LEAD, 1, rated_current_a=Decimal(rated), lead=size))
        assert said is not None
        return said.too_long

    assert found(most) is False
    assert found(most + 1) is True


def test_each_figure_says_how_far_it_can_be_trusted() -> None:
    assert {each.confidence for each in LIMITS if "checklist" in each.source} == {Confidence.READ, Confidence.DISPUTED}
    assert {each.confidence for each in LIMITS if "memory" in each.source} == {Confidence.MEMORY}

"""A lead's length against its conductors and rating."""

from decimal import Decimal

import pytest

from register.domain.items import Item, LeadSize
from register.domain.leads import length_found
from register.domain.words import Kind


def lead(rated: str | None, conductor: str | None, length: str | None, kind: Kind = Kind.EXTENSION_LEAD) -> Item:
    def number(text: str | None) -> Decimal | None:
        return None if text is None else Decimal(text)

    return Item(kind, 1, rated_current_a=number(rated), lead=LeadSize(number(length), number(conductor)))


@pytest.mark.parametrize(
    ("item", "too_long", "said"),
    [
        (lead("10", "1.0", "25"), False, "25 m is within the 25 m for 10 A and 1 mm²"),
        (lead("10", "1.0", "25.5"), True, "25.5 m is too long: at most 25 m for 10 A and 1 mm²"),
        (lead("15", "1.5", "20"), None, "Sources differ for 15 A and 1.5 mm²"),
        (lead("32", "6", "20"), None, "No longest length is known here for 32 A and 6 mm²"),
        (lead(None, "0.75", None), True, "Conductors of 0.75 mm² are too thin"),
    ],
)
def test_a_length_is_held_against_the_size(item: Item, too_long: bool | None, said: str) -> None:  # noqa: FBT001
    found = length_found(item)
    assert found is not None
    assert found.too_long is too_long
    assert found.said.startswith(said)


@pytest.mark.parametrize(
    "item",
    [
        lead(None, "1.5", "20"),
        lead("10", "1.5", None),
        lead("10", None, "20"),
        lead("10", "1", "50", Kind.CORD_SET),
        Item(Kind.EXTENSION_LEAD, 1),
    ],
)
def test_nothing_is_said_of_what_is_not_known_or_no_extension_lead(item: Item) -> None:
    assert length_found(item) is None

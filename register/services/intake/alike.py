"""New items of a file that look like known ones: offered as the same, never merged by themselves."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from sqlalchemy.engine import Row

from register.domain.text import clean_text
from register.services.intake.rows import IntakeItem, RowProblem

LEAST_SERIAL: Final = 3
"""A shorter serial number is none that tells two items apart."""

_MISREAD: Final = str.maketrans({"O": "0", "I": "1", "L": "1", "S": "5", "B": "8"})
"""Letters that are taken for digits when a tag is read or typed."""


def alike(known: Mapping[tuple[str, str], Row[Any]], fresh: Iterable[IntakeItem]) -> Iterator[RowProblem]:
    """Yield, for each new item that has the serial number or nearly the tag of a known one, what to do if it is that.

    `known` are the items of the rows' sites by site code and each tag they have or had.
    """
    if not known:
        return
    serials: dict[tuple[str, str], str] = {}
    tags: dict[tuple[str, str], str] = {}
    for (code, number), row in known.items():
        if len(row.serial) >= LEAST_SERIAL:
            serials.setdefault((code, row.serial.casefold()), number)
        tags.setdefault((code, squeezed(number)), number)
    for item in fresh:
        serial = clean_text(item.serial).casefold()
        found = serials.get((item.site, serial)) if len(serial) >= LEAST_SERIAL else None
        if found is not None:
            yield _offered(item, "serial", item.serial, f"{found} has the same serial number", found)
            continue
        near = tags.get((item.site, squeezed(clean_text(item.tag).upper())))
        if near is not None:
            yield _offered(item, "tag", item.tag, f"{near} has nearly the same tag", near)


def squeezed(tag: str) -> str:
    """Return what is left of a tag where signs, noughts in front, and letters read as digits don't count."""
    return "".join(filter(str.isalnum, tag)).translate(_MISREAD).lstrip("0")


def _offered(item: IntakeItem, column: str, value: str, why: str, known: str) -> RowProblem:
    reason = f"Taken as a new item, though {why}. If it is that one, say so."
    in_mapping = f'[values.tag] "{item.tag}" = "{known}"'
    return RowProblem(item.place, column, value, reason, refused=False, same_as=known, in_mapping=in_mapping)

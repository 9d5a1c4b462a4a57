"""What has to be asked before a sheet can be taken in: its tag, its site, the results of its tests."""

import re
from collections.abc import Iterator
from typing import Final

from register.exchange.sheets.fields import Field
from register.exchange.sheets.headings import makes_items
from register.exchange.sheets.layout import Layout
from register.exchange.sheets.question import Question

LEAST_DAYS: Final = 3
"""So many headings of days or months make a table of days across its top."""

_OF_TIME: Final = re.compile(
    r"\d{1,2}|(?:19|20)\d\d|q[1-4]|(?:week|wk)|"
    r"jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?|"
    r"nov(?:ember)?|dec(?:ember)?"
)

KNOWN_ENOUGH: Final = 2
"""With so many known headings a sheet without a tag is a list all the same, and is asked about."""


def questions_of(layout: Layout) -> list[Question]:
    """Return the questions of one sheet, each saying what to write into a mapping."""
    if not layout.is_list:
        return [*layout.questions, *_of_tag(layout)]
    # two columns for the results are asked about already, where there seem to be none
    of_results = () if layout.questions else _of_results(layout)
    return [*layout.questions, *_of_site(layout), *of_results]


def only_tags(layout: Layout) -> Question:
    """Return the question about a sheet with a tag and no other column that is known.

    Where days or months stand along its top, as in a table made by pivoting, no answer would do.
    """
    headings = [column.heading for column in layout.columns if column.use is None]
    days = [heading for heading in headings if _is_of_time(heading)]
    if len(days) >= LEAST_DAYS:
        listed = ", ".join(f"“{heading}”" for heading in days[:LEAST_DAYS])
        return Question(
            f"Sheet “{layout.sheet}” has days or months along its top ({listed}), where each test needs a row of its "
            "own with its day in a column.",
            "Write a row for each test in a spreadsheet program, or leave the sheet out: "
            f'[sheets."{layout.sheet}"] skip = true.',
        )
    listed = ", ".join(f"“{heading}”" for heading in headings) or "no other"
    return Question(
        f"Sheet “{layout.sheet}” has a column for the tag and none that surely says what an item is or when it was "
        "tested.",
        f"Its other headings are {listed}. Say what they are in the mapping: "
        f'[sheets."{layout.sheet}".columns] "…" = "kind".',
    )


def _is_of_time(heading: str) -> bool:
    """Whether a heading is a day, a month, a quarter or a year, alone or together."""
    words = heading.casefold().replace("/", " ").replace("-", " ").replace(".", " ").split()
    return bool(words) and all(_OF_TIME.fullmatch(word) for word in words)


def _of_tag(layout: Layout) -> Iterator[Question]:
    known = [column for column in layout.columns if column.use and column.use.field is not Field.IGNORE]
    if layout.is_list or len(known) < KNOWN_ENOUGH:
        return
    listed = ", ".join(f"“{column.heading}”" for column in layout.columns)
    yield Question(
        f"Sheet “{layout.sheet}” has no column that is surely the tag.",
        f"Its headings are {listed}. Say which it is in the mapping: "
        f'[sheets."{layout.sheet}".columns] "…" = "tag"; or leave the sheet out with skip = true.',
    )


def _of_site(layout: Layout) -> Iterator[Question]:
    if not makes_items(layout.columns) or layout.constants.site or layout.constants.site_name:
        return
    if layout.place_of(Field.SITE) is None and layout.place_of(Field.SITE_NAME) is None:
        yield Question(
            f"Sheet “{layout.sheet}” doesn't say at which site its items are.",
            "Give the site's code, or say which column names it: "
            f'[sheets."{layout.sheet}".columns] "…" = "site", or [constants] site = "…".',
        )


def _of_results(layout: Layout) -> Iterator[Question]:
    dates = [each for each in layout.columns if each.use and each.use.field is Field.TESTED_ON]
    for column in dates:
        test = column.use.test if column.use else 1
        told = {Field.RESULT, Field.READING, Field.LOOK, Field.WORK_DONE}
        if layout.constants.result or any(
            each.use and each.use.test == test and each.use.field in told for each in layout.columns
        ):
            continue
        yield Question(
            f"Sheet “{layout.sheet}” gives test dates (“{column.heading}”) but neither results nor readings.",
            'If all those tests were passed, write [constants] result = "pass" in the mapping; if not, '
            f'[sheets."{layout.sheet}".columns] "{column.heading}" = "ignore".',
        )

"""All rows of a file together: one item a tag, tests with their item, what is said twice or contradicts itself."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final

from register.domain.items import WITH_OUTLETS, SafetySwitch, outlets_of
from register.domain.measures import TRIPS
from register.domain.words import Result, counted
from register.exchange.sheets.fields import Field
from register.exchange.sheets.headings import makes_records
from register.exchange.sheets.record_row import RowTest
from register.exchange.sheets.row import Sheet
from register.exchange.sheets.rows import RowSays, SheetSays
from register.services.intake.rows import IntakeItem, IntakeRecord, RowPlace, RowProblem

SHARE_OF_HISTORY: Final = 0.1
"""Where so many rows carry a tag that stood above already, a row is a test, not an item."""

_COMPARED: Final = (
    (Field.KIND, "kind"), (Field.SERIAL, "serial"), (Field.OUTLETS, "outlets"), (Field.SITE, "site"),
)  # fmt: skip


@dataclass(slots=True)
class Gathered:
    """The items and tests of a file, and every problem found on the way."""

    items: dict[str, IntakeItem] = field(default_factory=dict)
    tests: list[RowTest] = field(default_factory=list)
    problems: list[RowProblem] = field(default_factory=list)


def gather(sheets: Iterable[SheetSays]) -> Gathered:
    """Return what all sheets of a file say together."""
    found = Gathered()
    sheets = list(sheets)
    told_in_parts = _told_in_parts(sheets)
    for says in sheets:
        found.problems += says.problems
        if _is_history(says) or says.sheet.layout.sheet in told_in_parts:
            _take_history(says, found)
        else:
            _take_items(says, found)
    tests = _once_each(found)
    by_tag: dict[str, list[RowTest]] = defaultdict(list)
    for test in tests:
        by_tag[test.record.tag].append(test)
    for tag, item in found.items.items():
        found.items[tag] = _completed(item, by_tag[tag], found.problems)
    found.tests = [
        test
        for test in (_with_site(test, found.items) for test in tests)
        if _has_outlets(test, found.items, found.problems)
    ]
    return found


def _is_history(says: SheetSays) -> bool:
    """Whether each row is a test rather than an item: as the mapping says, or because so many tags come again."""
    described = [row.tag for row in says.rows if row.item]
    said = says.sheet.mapping.for_sheet(says.sheet.layout.sheet).rows_are
    if said or not described or not makes_records(says.sheet.layout.columns):
        return said == "tests" or not described
    return len(described) - len(set(described)) >= SHARE_OF_HISTORY * len(described)


def _told_in_parts(sheets: Sequence[SheetSays]) -> set[str]:
    """Return the sheets that are parts of one list of tests, as one for each month: alike, with many tags again."""
    alike: dict[tuple[object, ...], list[SheetSays]] = defaultdict(list)
    for says in sheets:
        columns = says.sheet.layout.columns
        if makes_records(columns) and not says.sheet.mapping.for_sheet(says.sheet.layout.sheet).rows_are:
            alike[tuple((each.heading, each.use) for each in columns)].append(says)
    found: set[str] = set()
    for parts in alike.values():
        tags = [tag for says in parts for tag in {row.tag for row in says.rows}]
        if len(parts) > 1 and len(tags) - len(set(tags)) >= SHARE_OF_HISTORY * len(tags):
            found |= {says.sheet.layout.sheet for says in parts}
    return found


def _take_items(says: SheetSays, found: Gathered) -> None:
    """Take one item a tag: a further row with the same tag is refused, or noted where it says the same."""
    first: dict[str, RowSays] = {}
    for row, item in _described(says):
        earlier = found.items.get(row.tag)
        if earlier is None:
            first[row.tag] = row
            found.items[row.tag] = item
            found.tests += row.tests
        else:
            found.problems += _again(says.sheet, first.get(row.tag), earlier, row, item)


def _described(says: SheetSays) -> Iterator[tuple[RowSays, IntakeItem]]:
    return ((row, row.item) for row in says.rows if row.item)


def _again(
    sheet: Sheet, before: RowSays | None, earlier: IntakeItem, row: RowSays, item: IntakeItem
) -> Iterator[RowProblem]:
    """Yield what is to be said of a row whose tag stood above already, in row `before` where on the same sheet."""
    heading = sheet.single[Field.TAG].heading
    place = _place_words(earlier.place, item.place.sheet)
    if before and _bare(before) == _bare(row):
        reason = f"This row says the same as {place}; it was taken once."
        yield RowProblem(item.place, heading, row.tag, reason, refused=False)
        return
    here = _place_words(item.place, earlier.place.sheet)
    note = f"The tag stands in {here} as well, with something else; that row was left out, this one taken."
    yield RowProblem(earlier.place, heading, row.tag, note, refused=False)
    reason = f"The tag stands in {place} already. Tags are not reused: this row was left out. Mend one of the two."
    yield RowProblem(item.place, heading, row.tag, reason)


def _bare(row: RowSays) -> tuple[object, ...]:
    nowhere = RowPlace("", 0)
    item = replace(row.item, place=nowhere) if row.item else None
    return item, [replace(test.record, place=nowhere) for test in row.tests]


def _take_history(says: SheetSays, found: Gathered) -> None:
    """Take every test, and of each item what the row of its newest test says; contradictions are noted."""
    for row in says.rows:
        found.tests += row.tests
    of_tags: dict[str, list[tuple[RowSays, IntakeItem]]] = defaultdict(list)
    for row, item in _described(says):
        of_tags[row.tag].append((row, item))
    for tag, of_tag in of_tags.items():
        newest = max(of_tag, key=lambda each: _newness(*each))[1]
        if tag not in found.items:
            found.items[tag] = newest
            for _, item in of_tag:
                found.problems += _contradictions(says.sheet, item, newest)


def _newness(row: RowSays, item: IntakeItem) -> tuple[date, int]:
    return max((test.record.record.tested_on for test in row.tests), default=date.min), item.place.row


def _contradictions(sheet: Sheet, older: IntakeItem, newest: IntakeItem) -> Iterator[RowProblem]:
    for name, attribute in _COMPARED:
        was, is_now = getattr(older, attribute), getattr(newest, attribute)
        column = sheet.single.get(name)
        if column and was and is_now and was != is_now:
            reason = (
                f"Row {newest.place.row}, the newest with tag {older.tag}, says “{is_now}” instead; that was taken. "
                "Look whether two items carry one tag."
            )
            yield RowProblem(older.place, column.heading, str(was), reason, refused=False)


def _once_each(found: Gathered) -> list[RowTest]:
    """Return the tests without those that say word for word what an earlier row said."""
    seen: dict[IntakeRecord, RowPlace] = {}
    kept = []
    for test in found.tests:
        bare = replace(test.record, place=RowPlace("", 0), site="")
        first = seen.setdefault(bare, test.record.place)
        if first is test.record.place:
            kept.append(test)
        else:
            place = _place_words(first, test.record.place.sheet)
            reason = (
                f"The test of {test.record.record.tested_on.isoformat()} is the same as in {place}; it was taken once."
            )
            found.problems.append(
                RowProblem(test.record.place, test.tag_heading, test.record.tag, reason, refused=False)
            )
    return kept


def _completed(item: IntakeItem, tests: Sequence[RowTest], problems: list[RowProblem]) -> IntakeItem:
    """Return an item with what only its tests tell: outlets that nobody counted, a safety switch that is built in."""
    readings = [reading for test in tests for reading in test.record.record.readings]
    if item.outlets is None and item.kind in WITH_OUTLETS:
        most = max((reading.outlet or 1 for reading in readings), default=1)
        item = replace(item, outlets=most) if most > 1 else item
    trips = any(reading.check in TRIPS for reading in readings)
    if trips and item.safety_switch is None and item.kind in WITH_OUTLETS:
        item = replace(item, safety_switch=SafetySwitch())
    last = max(tests, key=lambda test: test.record.record.tested_on, default=None)
    if item.out_of_service and (last is None or last.record.as_found is not Result.FAIL):
        problems.append(_unexplained(item))
    return item


def _unexplained(item: IntakeItem) -> RowProblem:
    reason = "The sheet says that the item is out of service, but no failed test of it is in the file. Withdraw it."
    return RowProblem(item.place, "", item.tag, reason, refused=False)


def _with_site(test: RowTest, items: Mapping[str, IntakeItem]) -> RowTest:
    """Return a test at the site that its row says, or else at that of its item, wherever in the file that stands."""
    item = items.get(test.record.tag)
    if item is None or (test.sited and test.record.site):
        return test
    return replace(test, record=replace(test.record, site=item.site))


def _has_outlets(test: RowTest, items: Mapping[str, IntakeItem], problems: list[RowProblem]) -> bool:
    """Whether every reading is of an outlet that the item has; those that are not are kept as problems."""
    item = items.get(test.record.tag)
    if item is None or item.kind is None:
        return True
    most = outlets_of(item.kind, item.outlets)
    wrong = [
        (reading.outlet, cell)
        for reading, cell in zip(test.record.record.readings, test.cells, strict=True)
        if reading.outlet is not None and reading.outlet > max(most, 1)
    ]
    for outlet, (heading, text) in wrong:
        has = counted(most, "outlet") if most else "no outlets"
        reason = f"Outlet {outlet} does not exist: the item has {has}. Check the outlet and the tag."
        problems.append(RowProblem(test.record.place, heading, text, reason))
    return not wrong


def _place_words(place: RowPlace, sheet: str) -> str:
    return f"row {place.row}" if place.sheet == sheet else f"row {place.row} of sheet “{place.sheet}”"

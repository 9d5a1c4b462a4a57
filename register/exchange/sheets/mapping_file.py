"""Mapping files: TOML, read with every mistake named by table and key, and written as a starting point."""

import json
from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Final

from register.domain.items import MOST_OUTLETS
from register.domain.records import HALF_CYCLES, MULTIPLES
from register.domain.toml_table import Complaints, Table, parse_toml
from register.domain.words import Check, Kind, TestCurrent
from register.errors import Problem, Refused, Unavailable
from register.exchange.files import spare_register
from register.exchange.sheets.fields import MOST_TESTS, OF_TESTS, ColumnUse, DateStyle, Field, ReadingHead
from register.exchange.sheets.mapping import Constants, Mapping, SheetMapping
from register.exchange.sheets.values import FREE_TABLES, tables

LARGEST: Final = 1_000_000
ROWS_ARE: Final = ("items", "tests")
TITLES_ARE: Final = ("area",)
_CONSTANTS: Final = tuple(Constants.__dataclass_fields__)


def read_mapping(path: Path) -> Mapping:
    """Return the mapping in a file.

    Unavailable when there is no such file; Refused, with table and key, at the first thing wrong in it.
    """
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except OSError as problem:
        raise Unavailable(f"The mapping “{path.name}” can't be read: {problem.strerror}. Check its name.") from None
    if len(data) > LARGEST:
        raise Refused(f"The mapping “{path.name}” has more than {LARGEST:,} bytes; choose a mapping.")
    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise Refused(f"The mapping “{path.name}” is not UTF-8 text. Save it as UTF-8.") from None
    mapping, problems = parse_mapping(text, path.name)
    if mapping is None:
        more = f" ({len(problems) - 1} more like this)" if len(problems) > 1 else ""
        raise Refused(f"{problems[0]}{more}")
    return mapping


def write_mapping(mapping: Mapping, path: Path) -> None:
    """Write a mapping to a file, whole or not at all.

    Unavailable when the place can't be written, refused over a register.
    """
    spare_register(path)
    made = path.with_name(f".{path.name}.new")
    try:
        made.write_text(mapping_text(mapping), encoding="utf-8", newline="\n")
        made.replace(path)
    except OSError as problem:
        made.unlink(missing_ok=True)
        raise Unavailable(
            f"The mapping can't be written to “{path}”: {problem.strerror}. Choose another place."
        ) from None


def parse_mapping(text: str, name: str) -> tuple[Mapping | None, list[Problem]]:
    """Return the mapping in a TOML text, or None and what is wrong with it."""
    values = parse_toml(text, name)
    if isinstance(values, Problem):
        return None, [values]
    complaints = Complaints(name)
    top = Table(values, (), complaints)
    mapping = Mapping(
        source=top.text("source"),
        decimal=_choice(top, "decimal", (".", ",")),
        allow_old_dates=top.flag("allow_old_dates"),
        constants=_constants(top),
        values={key: dict(_words(table, key)) for key, table in _named(top, "values").items()},
        sheets={
            key: _sheet(table, _inside(values, "sheets", key)) for key, table in top.named_tables("sheets").items()
        },
    )
    top.close()
    return (None, complaints.problems(text)) if complaints else (mapping, [])


def _inside(values: object, *path: str) -> dict[str, object]:
    """Return the table at the end of a path as TOML has it; empty where there is none."""
    for key in path:
        values = values.get(key) if isinstance(values, dict) else None
    return values if isinstance(values, dict) else {}


def _named(top: Table, key: str) -> dict[str, Table]:
    known = {*(FREE_TABLES), *(table.name for table in tables(frozenset(), {}).values())}
    found = top.named_tables(key)
    for name in found:
        if name not in known:
            top.complain(key, f"There is no table of values “{name}”. There can be: {', '.join(sorted(known))}.")
    return found


def _words(table: Table, name: str) -> Iterator[tuple[str, str]]:
    """Yield each written text and its word. Classes differ by rulebook, so theirs are checked when they are met."""
    choices = next((each.choices for each in tables(frozenset(), {}).values() if each.name == name), ())
    for written in table.written():
        word = table.text(written)
        if choices and word not in choices:
            table.complain(written, f"“{word}” is none of {', '.join(choices)}. Write one of them.")
        yield written, word


def _constants(table: Table) -> Constants:
    inner = table.table("constants")
    found = {key: inner.text(key) for key in _CONSTANTS}
    if found["result"] not in {"", "pass", "fail", "incomplete"}:
        inner.complain("result", f"“{found['result']}” is none of pass, fail, incomplete.")
    if found["kind"] not in {"", *Kind}:
        inner.complain("kind", f"“{found['kind']}” is none of {', '.join(Kind)}.")
    inner.close()
    return Constants(**found)


def _choice(table: Table, key: str, choices: Iterable[str]) -> str:
    value = table.text(key)
    if value and value not in choices:
        table.complain(key, f"“{value}” is none of {', '.join(choices)}. Write one of them.")
    return value


def _sheet(table: Table, plain: dict[str, object]) -> SheetMapping:
    row = table.number("heading_row")
    if row is not None and (row < 1 or row != int(row)):
        table.complain("heading_row", "Rows are counted from 1, as the spreadsheet shows them.")
    sheet = SheetMapping(
        heading_row=int(row) if row is not None else None,
        skip=table.flag("skip"),
        rows_are=_choice(table, "rows_are", ROWS_ARE),
        titles_are=_choice(table, "titles_are", TITLES_ARE),
        columns=dict(_columns(table.table("columns"), _inside(plain, "columns"))),
        constants=_constants(table),
    )
    table.close()
    return sheet


def _columns(columns: Table, plain: dict[str, object]) -> Iterator[tuple[str, ColumnUse]]:
    for heading in columns.written():
        if isinstance(plain[heading], dict):
            yield heading, _use(columns.table(heading), _inside(plain, heading))
        else:
            yield heading, ColumnUse(_field(columns, heading))


def _field(table: Table, key: str) -> Field:
    return table.word(key, Field, "Say what the column is taken for.") or Field.IGNORE


def _use(table: Table, plain: dict[str, object]) -> ColumnUse:
    test = _whole(table, "test", range(1, MOST_TESTS + 1)) or 1
    styles = _styles(table, several=isinstance(plain.get("date_style"), list))
    if "reading" in table:
        use = ColumnUse(Field.READING, test, _reading(table, plain), styles)
    else:
        use = ColumnUse(_field(table, "field"), test, None, styles)
    if test > 1 and use.field not in OF_TESTS:
        table.complain("test", f"Only what is said of a test has a number of the test; {use.field} has none.")
    table.close()
    return use


def _styles(table: Table, *, several: bool) -> tuple[DateStyle, ...]:
    if several:
        styles = table.words("date_style", DateStyle)
    else:
        style = table.word("date_style", DateStyle)
        styles = () if style is None else (style,)
    if {DateStyle.DAY_MONTH_YEAR, DateStyle.MONTH_DAY_YEAR} <= set(styles):
        table.complain("date_style", "“d/m/y” and “m/d/y” can't hold for one column: 3/4/2026 would be two days.")
    return styles


def _reading(table: Table, plain: dict[str, object]) -> ReadingHead:
    check = table.word("reading", Check) or Check.TRIP_TIME
    if check is Check.LOOK:
        table.complain("reading", "The look is no reading. Write “look” alone, as a field.")
    half = table.text("half_cycle") if isinstance(plain.get("half_cycle"), str) else ""
    if half and half != "0/180":
        table.complain("half_cycle", "Write half_cycle = 0, 180, or “0/180” where a cell holds both times.")
    multiple = table.number("multiple")
    if multiple is not None and multiple not in MULTIPLES:
        table.complain("multiple", f"A multiple is one of {', '.join(f'{each:f}' for each in MULTIPLES)}.")
    return ReadingHead(
        check=check,
        outlet=_whole(table, "outlet", range(1, MOST_OUTLETS + 1)),
        half_cycle=None if half else _whole(table, "half_cycle", HALF_CYCLES),
        both_halves=bool(half),
        multiple=multiple or (Decimal(1) if check is Check.TRIP_TIME else None),
        test_current=table.word("test_current", TestCurrent),
        unit=table.text("unit") or None,
    )


def _whole(table: Table, key: str, choices: Iterable[int]) -> int | None:
    number = table.number(key)
    if number is None:
        return None
    known = list(choices)
    if number not in known:
        said = f"from {known[0]} to {known[-1]}" if len(known) > len(HALF_CYCLES) else " or ".join(map(str, known))
        table.complain(key, f"“{number:f}” is not {said}.")
        return None
    return int(number)


def mapping_text(mapping: Mapping) -> str:
    """Return a mapping as the TOML that `read_mapping` reads back."""
    lines = [f"source = {_quoted(mapping.source)}"] if mapping.source else []
    if mapping.decimal:
        lines.append(f"decimal = {_quoted(mapping.decimal)}")
    if mapping.allow_old_dates:
        lines.append("allow_old_dates = true")
    lines += _constant_lines("constants", mapping.constants)
    for name, words in mapping.values.items():
        lines += [
            "",
            f"[values.{name}]",
            *(f"{_quoted(text)} = {_quoted(word)}" for text, word in words.items()),
        ]
    for name, sheet in mapping.sheets.items():
        lines += _sheet_lines(f"sheets.{_quoted(name)}", sheet)
    return "\n".join(lines).strip() + "\n"


def _sheet_lines(name: str, sheet: SheetMapping) -> list[str]:
    lines = ["", f"[{name}]"]
    if sheet.heading_row:
        lines.append(f"heading_row = {sheet.heading_row}")
    if sheet.skip:
        lines.append("skip = true")
    if sheet.rows_are:
        lines.append(f"rows_are = {_quoted(sheet.rows_are)}")
    if sheet.titles_are:
        lines.append(f"titles_are = {_quoted(sheet.titles_are)}")
    lines += _constant_lines(f"{name}.constants", sheet.constants)
    if sheet.columns:
        lines += ["", f"[{name}.columns]"]
        lines += [f"{_quoted(heading)} = {_use_text(use)}" for heading, use in sheet.columns.items()]
    return lines


def _constant_lines(name: str, constants: Constants) -> list[str]:
    said = [f"{key} = {_quoted(value)}" for key in _CONSTANTS if (value := getattr(constants, key))]
    return ["", f"[{name}]", *said] if said else []


def _use_text(use: ColumnUse) -> str:
    head = use.reading
    parts = [f"reading = {_quoted(head.check)}"] if head else [f"field = {_quoted(use.field)}"]
    if head:
        if head.outlet is not None:
            parts.append(f"outlet = {head.outlet}")
        if head.both_halves or head.half_cycle is not None:
            parts.append(f"half_cycle = {_quoted('0/180') if head.both_halves else head.half_cycle}")
        if head.multiple is not None:
            parts.append(f'multiple = "{head.multiple:f}"')
        if head.test_current is not None:
            parts.append(f"test_current = {_quoted(head.test_current)}")
        if head.unit is not None:
            parts.append(f"unit = {_quoted(head.unit)}")
    if use.test > 1:
        parts.append(f"test = {use.test}")
    if use.date_styles:
        styles = ", ".join(_quoted(style) for style in use.date_styles)
        parts.append(f"date_style = {styles}" if len(use.date_styles) == 1 else f"date_style = [{styles}]")
    return _quoted(use.field) if len(parts) == 1 and not head else f"{{ {', '.join(parts)} }}"


def _quoted(text: str) -> str:
    # JSON's escapes are TOML's, but for the two that TOML has no form of: lone surrogates, which clean text has none of
    return json.dumps(str(text), ensure_ascii=False).replace("\x7f", "\\u007f")

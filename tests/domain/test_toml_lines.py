"""Where each table and key of a TOML text stands."""

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from register.domain.toml_lines import line_of, toml_lines

TEXT = '''\
# a comment with [brackets] and = signs
top = 1
"quoted name" = "a # no comment, a [ and a \\" in it"
'literal name' = 'C:\\'
long = """
[not a table]
key = "no"
"""
raw = \'\'\'
[[neither]]
\'\'\'
list = [
    "one", # with ] in a comment
    { inner = 1 },
]

[table] # after it
key = 1
a.dotted.key = 2

[outer.inner]
key = 2

[[many]]
key = 1

[[many]]
other = { inline = 1, list = [1, 2] }
key = 2

[[many.part]]
key = 3

[[many.part]]
key = 4

[many.single]
key = 5
'''


def test_every_key_and_header_has_its_line() -> None:
    assert toml_lines(TEXT) == {
        ("top",): 2,
        ("quoted name",): 3,
        ("literal name",): 4,
        ("long",): 5,
        ("raw",): 9,
        ("list",): 12,
        ("table",): 17,
        ("table", "key"): 18,
        ("table", "a"): 19,
        ("table", "a", "dotted"): 19,
        ("table", "a", "dotted", "key"): 19,
        ("outer", "inner"): 21,
        ("outer", "inner", "key"): 22,
        ("many", 0): 24,
        ("many", 0, "key"): 25,
        ("many", 1): 27,
        ("many", 1, "other"): 28,
        ("many", 1, "key"): 29,
        ("many", 1, "part", 0): 31,
        ("many", 1, "part", 0, "key"): 32,
        ("many", 1, "part", 1): 34,
        ("many", 1, "part", 1, "key"): 35,
        ("many", 1, "single"): 37,
        ("many", 1, "single", "key"): 38,
    }


def test_what_has_no_line_of_its_own_has_that_of_the_table_around_it() -> None:
    lines = toml_lines(TEXT)
    assert line_of(lines, ("many", 1, "other", "list", 0)) == 28
    assert line_of(lines, ("many", 1, "missing")) == 27
    assert line_of(lines, ("missing",)) == 1


NAMES = st.text(alphabet="abc-_1", min_size=1, max_size=4)
VALUES = st.sampled_from(
    ["1", '"x"', "'#'", "[\n1,\n2]", '"""\na = 1\n"""', "'''\n[b]'''", '""""a"""""', "{ d = [1] }"]
)


@given(st.lists(st.tuples(NAMES, VALUES, st.integers(0, 2)), max_size=8, unique_by=lambda entry: entry[0]))
def test_keys_of_any_valid_text_are_found_where_they_were_written(entries: list[tuple[str, str, int]]) -> None:
    text, expected = "", {}
    for name, value, blank in entries:
        text += "\n" * blank
        expected[(name,)] = text.count("\n") + 1
        text += f"{name} = {value}  # c = 1\n"
    assert set(tomllib.loads(text)) == {name for name, _, _ in entries}
    assert toml_lines(text) == expected

"""What a rulebook file says of tags: each [[tag]] and each [[tag-colour]] read and checked by itself."""

from register.domain.rulebook import TagColourLine, TagLine
from register.domain.rulebook_lines import Names, classes_named, read_source
from register.domain.tag_words import TagColour, TagField, TagKind
from register.domain.toml_table import Table, shown

_MONTHS = range(1, 13)


def read_tag(table: Table, names: Names) -> TagLine | None:
    """Return one [[tag]], or None where something in it is wrong."""
    tags = table.words("tags", TagKind, f"Write on which tags it stands: {', '.join(TagKind)}.")
    shows = table.words("shows", TagField, f"Write what stands there: {', '.join(TagField)}.")
    cites, optional = table.text("cites"), table.flag("optional")
    source = read_source(table, names)
    if not cites and {TagField.STANDARD, TagField.UNTESTED} & set(shows):
        table.complain("cites", "Write the standard that is printed on the tag, such as AS/NZS 3760.")
    table.close()
    if table.faulty or source is None:
        return None
    return TagLine(frozenset(tags), shows, source, cites, optional)


def read_tag_colour(table: Table, names: Names) -> TagColourLine | None:
    """Return one [[tag-colour]], or None where something in it is wrong."""
    colour = table.word("colour", TagColour, f"Write the colour: {', '.join(TagColour)}.")
    months = table.numbers("months")
    if not months or not all(month in _MONTHS for month in months):
        given = shown(", ".join(map(str, months)))
        table.complain("months", f"{given} are not months. Write a list of numbers from 1 to 12.")
    environments = classes_named(table, "environments", names, "Write in which environment classes it counts.")
    source = read_source(table, names)
    table.close()
    if table.faulty or colour is None or source is None:
        return None
    return TagColourLine(frozenset(map(int, months)), colour, environments, source)

"""What a rulebook file says of tags: read, taken over by a rulebook on top, and each mistake with its place."""

import pytest

from register.domain.rulebook_reader import read_rulebook
from register.domain.tag_words import TagColour, TagField, TagKind
from tests.domain.rulebook_text import SMALL, read

SOURCE = 'source = "Rule 1:2020 clause 9"\nedition = "rule-2020"\nconfidence = "restated"\n'
TAG = '\n[[tag]]\ntags = ["pass"]\nshows = ["tester", "standard"]\ncites = "Rule 1"\n' + SOURCE
COLOUR = '\n[[tag-colour]]\nmonths = [12, 1, 2]\ncolour = "red"\nenvironments = ["shed"]\n' + SOURCE
WHOLE = SMALL + TAG + COLOUR
TOP = 'id = "own"\ntitle = "Own rules"\nversion = "1"\nabout = "Made up."\nextends = "small"\n'


def test_tags_and_colours_are_read_with_their_sources() -> None:
    book = read(WHOLE)
    (line,) = book.tags
    assert line.tags == {TagKind.PASS}
    assert line.shows == (TagField.TESTER, TagField.STANDARD)
    assert (line.cites, line.optional) == ("Rule 1", False)
    assert line.source.words == "Rule 1:2020 clause 9, restated second-hand"
    (colour,) = book.tag_colours
    assert (colour.colour, colour.months, colour.environments) == (TagColour.RED, {12, 1, 2}, {"shed"})


def test_what_stands_on_tags_adds_up_and_own_colours_replace_the_base_s() -> None:
    base = read(WHOLE)
    assert len(read(TOP + TAG, base).tags) == 2
    assert read(TOP, base).tag_colours == base.tag_colours
    own = read(TOP + COLOUR.replace("red", "blue"), base).tag_colours
    assert [line.colour for line in own] == [TagColour.BLUE]


def test_a_class_that_is_like_another_has_its_colours_and_one_that_is_not_has_none() -> None:
    like = '[environment.barn]\ntitle = "Barn"\nabout = "Barns."\nlike = "{}"\nbecause = "it is used like that."\n'
    assert [line.environments for line in read(TOP + like.format("shed"), read(WHOLE)).tag_colours] == [{"barn"}]
    assert read(TOP + like.format("let"), read(WHOLE)).tag_colours == ()


@pytest.mark.parametrize(
    ("old", "new", "where", "said"),
    [
        ('tags = ["pass"]', 'tags = ["past"]', "[[tag]] 1, tags", "Did you mean “pass”?"),
        ('cites = "Rule 1"\n', "", "[[tag]] 1, cites", "Write the standard that is printed on the tag"),
        ('shows = ["tester", "standard"]\n', "", "[[tag]] 1, shows", "Write what stands there"),
        ("months = [12, 1, 2]", "months = [12, 13]", "[[tag-colour]] 1, months", "“12, 13” are not months."),
        ("months = [12, 1, 2]\n", "", "[[tag-colour]] 1, months", "are not months."),
        ('colour = "red"', 'colour = "rot"', "[[tag-colour]] 1, colour", "“rot” is not known here."),
        ("months = [12", 'like = "x"\nmonths = [12', "[[tag-colour]] 1, like", "is not a key of this table."),
        ('environments = ["shed"]\nsource = "Rule 1:2020 clause 9"', 'environments = ["shack"]\nsource = "x"',
         "[[tag-colour]] 1, environments", "“shack” is not an environment class"),
    ],
)  # fmt: skip
def test_each_mistake_has_its_place(old: str, new: str, where: str, said: str) -> None:
    text = SMALL + (TAG + COLOUR).replace(old, new, 1)
    book, problems = read_rulebook(text, name="small.toml")
    assert book is None
    (found,) = [problem for problem in problems if problem.where.endswith(where)]
    assert said in found.message


def test_two_colours_for_the_same_month_are_a_mistake() -> None:
    book, problems = read_rulebook(WHOLE + COLOUR.replace("red", "blue"), name="small.toml")
    assert book is None
    assert [problem.where for problem in problems] == ["small.toml, [[tag-colour]] 2, months"]
    assert "already says this of month 1 in shed" in problems[0].message

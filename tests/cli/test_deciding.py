"""Another interval by decision from the command line: for an item, an area and a site, refused aloud, ended again."""

import pytest

from tests.cli.conftest import Shell

DUTY = ("--duty", "inspection-and-test")
WHO = ("--reason", "much handled", "--approved-by", "Ona Petrie", "--review", "2027-11-24")


def due(shell: Shell, tag: str) -> str:
    (found,) = [each for each in shell.json("why", tag)["duties"] if each["duty"] == "inspection-and-test"]
    return str(found["due"])


@pytest.mark.parametrize(
    ("about", "scope", "items"),
    [
        (("YD-0003",), "item", 1),
        (("--site", "yard", "--area", "Office"), "area", 1),
        (("--site", "YARD"), "site", 3),
    ],
)
def test_an_interval_is_decided_and_ended_again(yard: Shell, about: tuple[str, ...], scope: str, items: int) -> None:
    before = due(yard, "YD-0003")
    done = yard.json("decide", *about, *DUTY, "--every", "P2W", *WHO)
    assert (done["scope"], done["items"], done["later"], done["every"]) == (scope, items, 0, "P2W")
    assert done["earlier"] == items
    assert due(yard, "YD-0003") == "2026-11-16"
    assert "every 2 weeks by decision of Ona Petrie" in yard.run("why", "YD-0003")
    said = yard.run("decide", *about, *DUTY, "--end", "--reason", "kept in the office")
    assert said.startswith("Inspection and test by the rulebook again. ")
    assert due(yard, "YD-0003") == before


def test_a_decision_says_in_words_what_it_did(yard: Shell) -> None:
    said = yard.run("decide", "yd-0003", *DUTY, "--every", "P2W", *WHO)
    assert said == (
        "Inspection and test every 2 weeks. 1 of 1 item gets another date, 1 earlier."
        " The first of them is 16 Nov 2026.\n"
    )


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("YD-0003", "--every", "P2W", "--area", "Office", *WHO), "Give the tag or --area, not both."),
        (("--every", "P2W", *WHO), "Give the tag of an item, or --site CODE."),
        (
            ("--site", "YARD", "--area", "Attic", "--every", "P2W", *WHO),
            "The site has no area “Attic”. It has: Office, ",
        ),
        (("YD-0003", "--reason", "handled"), "Another interval needs --every, such as P3M, and --review"),
        (("YD-0003", "--every", "often", *WHO), "“often” is not an interval"),
        (("YD-0002", "--every", "P1Y", *WHO), "is a binding maximum by"),
        (("YD-0003", "--end", "--reason", "handled"), "No decision holds for inspection and test there"),
    ],
)
def test_what_can_not_be_decided_is_said_in_a_sentence(yard: Shell, words: tuple[str, ...], why: str) -> None:
    assert why in yard.refused("decide", *words, *DUTY)

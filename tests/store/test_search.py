"""Searching finds an item by any words of its text, and takes whatever is typed for words."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from register.domain.words import Kind
from register.services.moves import move_item
from register.store.engine import open_register
from register.store.lists import ItemFilter, Sort, count_items, item_page
from tests.desk import Desk
from tests.registers import TODAY

ITEMS = (
    ("B-0012", "YARD", "Slipway", "Angle grinder 125 mm", "GR 55/7", ("OLD-9",)),
    ("B-0013", "YARD", "Slipway", "Wet & dry vacuum “big one”", "", ()),
    ("R7", "YARD", "Office", "Straße lamp 50%_off", "", ()),
    ("C-2", "MILL", "Café", "Coffee machine (NEAR the door)", "", ()),
    ("🚤1", "MILL", "Jetty", "Bilge pump OR float 😀😀😀", "", ()),
)


def entered(desk: Desk) -> Desk:
    for code in ("YARD", "MILL"):
        desk.site(code)
    for tag, site, area, description, serial, earlier in ITEMS:
        desk.item(tag, Kind.APPLIANCE_CLASS_1, site, area, description=description, serial=serial, earlier_tags=earlier)
    return desk


@pytest.fixture(scope="module")
def read_only(tmp_path_factory: pytest.TempPathFactory, empty_file: Path) -> Desk:
    """The items in a register that no test changes."""
    path = tmp_path_factory.mktemp("searched") / "own.register"
    path.write_bytes(empty_file.read_bytes())
    return entered(Desk(open_register(path)))


@pytest.fixture
def fleet(desk: Desk) -> Desk:
    return entered(desk)


def found(desk: Desk, text: str) -> list[str]:
    wanted = ItemFilter(TODAY, text=text)
    with desk.read() as connection:
        tags = [row.tag_number for row in item_page(connection, wanted, sort=Sort.TAG)]
        assert count_items(connection, wanted) == len(tags)
    return tags


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("grinder", ["B-0012"]),
        ("GRIND", ["B-0012"]),
        ("125 rind", ["B-0012"]),
        ("grinder vacuum", []),
        ("slipway", ["B-0012", "B-0013"]),
        ("slipway vac", ["B-0013"]),
        ("old-9", ["B-0012"]),
        ("gr 55/7", ["B-0012"]),
        ("b- 55/7", ["B-0012"]),
        ("ri 55/7", []),
        ("% lamp", []),
        ("_ lamp", []),
        ("001", ["B-0012", "B-0013"]),
        ("class i app", ["B-0012", "B-0013", "R7", "C-2", "🚤1"]),
        ("b", ["B-0012", "B-0013"]),
        ("r7", ["R7"]),
        ("7", []),
        ("mill of the", ["C-2", "🚤1"]),
        ("strasse", ["R7"]),
        ("STRAẞE", ["R7"]),
        ("café", ["C-2"]),
        ("\uff23\uff2f\uff26\uff26\uff25\uff25", ["C-2"]),
        ("co\u200bffee", ["C-2"]),
        ("🚤", ["🚤1"]),
        ("😀😀😀", ["🚤1"]),
        ("50%_off", ["R7"]),
        ("50%%off", []),
        ("%", []),
        ("___", []),
        ("“big", ["B-0013"]),
        ("(near", ["C-2"]),
        ("NEAR(coffee door)", []),
        ("pump OR grinder", []),
        ("pump or", ["🚤1"]),
        ("pump flo", ["🚤1"]),
        ("pump lo", []),
        ("grind*", []),
        ("", ["B-0012", "B-0013", "C-2", "R7", "🚤1"]),
        (" \t\n", ["B-0012", "B-0013", "C-2", "R7", "🚤1"]),
    ],
)
def test_every_word_stands_somewhere_and_one_or_two_letters_begin_one_or_the_tag(
    read_only: Desk, text: str, tags: list[str]
) -> None:
    assert found(read_only, text) == sorted(tags)


@pytest.mark.parametrize(
    "text",
    ['"', '""', '"""', 'a"b"c', "'; DROP TABLE item; --", "*", "a*", "^abc", "abc AND", "OR", "NOT abc", "NEAR(", ")",
     "text:abc", "{text} : abc", "abc + def", "-abc", "abc\0def", "\0\0\0", "\ud800\ud800\ud800", "😀", "é",
     "\u0301\u0301\u0301", "\\", "%", "_", "x" * 5000, "a b c d e f g " * 50],
)  # fmt: skip
def test_nothing_that_can_be_typed_is_taken_for_a_command(read_only: Desk, text: str) -> None:
    found(read_only, text)
    assert len(found(read_only, "")) == len(ITEMS)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=30))
def test_any_text_at_all_is_answered(read_only: Desk, text: str) -> None:
    assert set(found(read_only, text)) <= {each[0] for each in ITEMS}


@settings(max_examples=100, deadline=None)
@given(item=st.sampled_from(ITEMS), data=st.data())
def test_any_three_letters_of_a_word_of_an_items_text_find_it(
    read_only: Desk, item: tuple[str, ...], data: st.DataObject
) -> None:
    words = [word for word in item[3].casefold().split() if len(word) >= 3]
    word = data.draw(st.sampled_from(words))
    start = data.draw(st.integers(0, len(word) - 3))
    assert item[0] in found(read_only, word[start : start + 3])


def test_after_a_move_the_new_places_words_find_an_item_and_the_old_ones_do_not(fleet: Desk) -> None:
    jetty = fleet.area("MILL", "Jetty")
    with fleet.change() as change:
        move_item(change, fleet._id(change, "R7"), jetty)
    assert "R7" in found(fleet, "jetty")
    assert "R7" in found(fleet, "mill")
    assert found(fleet, "office") == []
    assert "R7" not in found(fleet, "yard")
    assert found(fleet, "lamp") == ["R7"]


def test_a_change_that_is_dropped_leaves_the_search_as_it_was(fleet: Desk) -> None:
    jetty = fleet.area("MILL", "Jetty")
    with fleet.change(keep=False) as change:
        move_item(change, fleet._id(change, "R7"), jetty)
    assert found(fleet, "office") == ["R7"]
    assert "R7" not in found(fleet, "jetty")

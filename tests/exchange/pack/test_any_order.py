"""Three laptops with overlapping sites do anything at all; whichever comes back first, the register says the same."""

import shutil
from datetime import date
from itertools import permutations
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from register.store.engine import create_register, open_register
from tests.content import content_lines
from tests.desk import SLOW, SOUND, Desk
from tests.exchange.pack.crew import MADE, Laptop, copied, merged, pack_for, sent_back, unpacked
from tests.exchange.pack.deeds import WAYS, Deed, do

PACKS = {"a": ("YARD",), "b": ("YARD", "DOCK"), "c": ("DOCK",)}

deeds = st.builds(Deed, st.integers(1, 8_000), st.sampled_from(sorted(WAYS)), st.integers(0, 3), st.integers(0, 2))
days = st.lists(deeds, max_size=7).map(lambda found: sorted(found, key=lambda each: each.minute))


@pytest.fixture(scope="module")
def outfit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with an office's register and the field registers of three packs, which no test changes."""
    folder = tmp_path_factory.mktemp("outfit")
    register = create_register(folder / "office.register")
    desk = Desk(register, date(2026, 11, 2))
    for code, owner in (("YARD", "Owner of the yard"), ("DOCK", "Owner of the dock")):
        desk.site(code, owner=owner)
        for number in range(2):
            desk.item(f"{code}-{number}", site=code)
    desk.test("YARD-0")
    desk.test("DOCK-0", readings=(*SOUND, *SLOW))
    desk.withdraw("YARD-1", number="OUT-9")
    for name, sites in PACKS.items():
        unpacked(pack_for(register, folder / f"{name}.fieldpack", *sites), folder / f"{name}.register").register.close()
    register.close()
    return folder


TAGGED_ALIKE = {
    "b": [
        Deed(30, "withdraw", 3, 2), Deed(128, "retag", 0, 0), Deed(309, "move", 1, 2), Deed(350, "move", 0, 0),
        Deed(1212, "void", 0, 1), Deed(2252, "miss", 0, 0), Deed(2361, "miss", 0, 2),
    ],
    "c": [
        Deed(367, "miss", 0, 1), Deed(809, "void", 3, 2), Deed(1590, "press", 3, 2), Deed(1718, "retag", 3, 1),
        Deed(1718, "retag", 3, 1),
    ],
    "a": [Deed(80, "add", 0, 2), Deed(1138, "retag", 0, 1)],
}  # fmt: skip
"""One number put on two items by two laptops, one of which had been settled before the other's pack came."""


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(work=st.fixed_dictionaries(dict.fromkeys(PACKS, days)))
@example(work=TAGGED_ALIKE)
def test_three_packs_in_any_order_end_in_the_same_state(outfit: Path, work: dict[str, list[Deed]]) -> None:
    with TemporaryDirectory(dir=outfit) as own:
        folder = Path(own)
        files = {name: _worked(outfit, folder, name, day) for name, day in work.items()}
        ends = {order: _merged_in(outfit, folder, order, files) for order in permutations(PACKS)}
    first = ends.pop(("a", "b", "c"))
    for order, found in ends.items():
        assert set(found) ^ set(first) == set(), order


def _worked(outfit: Path, folder: Path, name: str, day: list[Deed]) -> Path:
    """Do a day's deeds on a laptop of its own, and return what it sends back."""
    register = open_register(Path(shutil.copy(outfit / f"{name}.register", folder / f"field-{name}.register")))
    try:
        for deed in day:
            do(Laptop(register, MADE), deed)
        assert Desk(register).faults() == ()
        return sent_back(Desk(register), folder / f"{name}.fieldwork")
    finally:
        register.close()


def _merged_in(outfit: Path, folder: Path, order: tuple[str, ...], files: dict[str, Path]) -> list[str]:
    """Merge each file twice, in an order, and return what the office's register says then."""
    office = copied(outfit / "office.register", folder / f"{''.join(order)}.register")
    try:
        for name in order:
            merged(office, files[name])
            assert merged(office, files[name]).nothing_new, (order, name)
        assert Desk(office).faults() == (), order
        with office.read() as connection:
            return content_lines(connection)
    finally:
        office.close()

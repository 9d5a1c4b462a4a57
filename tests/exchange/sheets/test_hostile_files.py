"""Files that are damaged, hostile or something else: each ends soon with a sentence, and nothing is kept."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any, Final

import pytest

from register.errors import Refused, Unavailable
from register.store.engine import create_register
from tests.desk import Desk
from tests.exchange.sheets.hostile_files import HEAVY, ODD, REFUSED
from tests.exchange.sheets.made_files import read
from tests.exchange.sheets.stranger_files import STRANGE

TOP: Final = Path(__file__).parents[3]
MOST_MEGABYTES: Final = 300
MOST_SECONDS: Final = 20
"""Of the processor, on a slow machine; five on the one it was written on, where most need a tenth of one."""


@pytest.fixture(scope="module")
def became(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """What became of each file, taken in by the command line in a process of its own."""
    folder = tmp_path_factory.mktemp("hostile")
    database = folder / "own.register"
    register = create_register(database)
    Desk(register).site("YARD")
    register.close()
    (folder / "files").mkdir()
    call = [sys.executable, "-m", "tests.exchange.sheets.measured", str(folder / "files"), str(database)]
    call += ["--heavy"] if request.config.getoption("--long") else []
    done = subprocess.run(call, cwd=TOP, capture_output=True, text=True, check=True, timeout=1_800)
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def test_there_are_more_than_forty_of_them() -> None:
    assert len({**REFUSED, **ODD, **STRANGE}.keys() - HEAVY) > 40
    assert {**REFUSED, **ODD, **STRANGE}.keys() >= HEAVY


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.long] * (name in HEAVY)) for name in (*REFUSED, *ODD, *STRANGE)]
)
def test_a_hostile_file_ends_in_bounds_with_a_sentence_and_nothing_is_kept(
    name: str, became: dict[str, dict[str, Any]]
) -> None:
    _, outcome = {**REFUSED, **ODD, **STRANGE}[name]
    of_it = became[name]
    assert of_it["seconds"] <= MOST_SECONDS
    assert of_it["megabytes"] <= MOST_MEGABYTES
    assert of_it["unchanged"]
    assert "Traceback" not in of_it["said"]
    if isinstance(outcome, int):
        assert of_it["code"] == 0, of_it["said"]
        assert json.loads(of_it["told"])["new_items"] == outcome
    else:
        assert of_it["code"] == 1
        assert outcome in of_it["said"]
        assert of_it["said"].strip().endswith((".", "true", '"ignore".', "= …"))
        assert "Error" not in of_it["said"]


def test_a_folder_is_refused_and_a_missing_file_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="is a folder"):
        read(tmp_path)
    with pytest.raises(Unavailable, match=r"There is no file “gone\.xlsx”"):
        read(tmp_path / "gone.xlsx")
    with pytest.raises(Unavailable, match="can't be read"):
        read(tmp_path / "n\x00l.xlsx")


def test_a_name_that_leads_to_no_file_but_a_device_ends_with_a_sentence() -> None:
    with pytest.raises((Refused, Unavailable)):
        read(Path("/dev/null"))

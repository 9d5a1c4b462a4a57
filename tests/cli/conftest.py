"""The command line at work on a small register in a file of the test's own."""

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from register.cli.main import main

TODAY = "2026-11-24"

SHEET = """Tag,Description,Kind,Area,Environment,Outlets,Residual current mA,Type,Tested on,Result
YD-0001,Two-way safety switch,Portable safety switch,Slip,Construction,2,30,II,2026-09-01,Pass
YD-0002,Angle grinder 125 mm,Class II appliance,Slip,Construction,,,,2026-05-01,Pass
YD-0003,Kettle,Class I appliance,Office,Benign,,,,2026-11-02,Pass
"""


class Shell:
    """Runs commands and keeps what they print."""

    def __init__(self, db: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.db, self._capsys, self.err = db, capsys, ""

    def run(self, *words: str, code: int = 0) -> str:
        """Run a command on the register; return what it printed, after checking its exit code."""
        found = main(["--db", str(self.db), "--today", TODAY, "--by", "Kim Ferro", *words])
        captured = self._capsys.readouterr()
        self.err = captured.err
        assert found == code, captured.err
        return captured.out

    def printed(self) -> str:
        """Return what was printed since the last command."""
        return self._capsys.readouterr().out

    def json(self, *words: str, code: int = 0) -> Any:  # noqa: ANN401 - whatever JSON says
        """Run a command with --json and return what it says."""
        return json.loads(self.run(*words, "--json", code=code))

    def refused(self, *words: str) -> str:
        """Run a command that is refused, and return its one sentence."""
        out = self.run(*words, code=1)
        assert out == ""
        assert "Traceback" not in self.err
        return self.err.strip()


@pytest.fixture
def shell(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """The command line on a register that does not exist yet."""
    return Shell(tmp_path / "yard.register", capsys)


@pytest.fixture
def yard(shell: Shell, tmp_path: Path) -> Shell:
    """The command line on a register of one yard with three items."""
    sheet = tmp_path / "yard.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    shell.run("import", str(sheet), "--site", "YARD", "--owner", "Tern Boats", "--environment", "workshop")
    return shell


@pytest.fixture
def record(tmp_path: Path) -> Callable[..., Path]:
    """Return what writes a complete record of the two-way switch, with one trip time as told."""

    def write(time: str = "28.4", *, key: str = "01935c8e-7a00-7c4b-9f2e-5d1a4b6c8e10", on: str = TODAY) -> Path:
        date.fromisoformat(on)
        readings: list[dict[str, object]] = [{"quantity": "insulation-resistance", "value": "200", "bound": ">"}]
        for outlet in (1, 2):
            readings.append({"quantity": "earth-resistance", "outlet": outlet, "value": "0.12", "unit": "ohm"})
            readings.append({"quantity": "polarity", "outlet": outlet, "value": "right"})
            for half in (0, 180):
                value = time if (outlet, half) == (2, 180) else "24.1"
                place = {"outlet": outlet, "half_cycle": half, "multiple": "1"}
                readings.append({"quantity": "trip-time", "value": value, "unit": "ms", **place})
        entry = {"id": key, "tag": "YD-0001", "site": "YARD", "tested_on": on, "visual": "pass", "readings": readings}
        path = tmp_path / f"record-{key[-4:]}-{time}.json"
        path.write_text(json.dumps([entry]), encoding="utf-8")
        return path

    return write

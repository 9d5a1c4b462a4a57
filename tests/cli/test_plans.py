"""The week on the command line, on the demo register's like: planned, kept, written to files, forecast."""

import json
from datetime import timedelta
from pathlib import Path

import pytest

from register.cli.main import main
from register.planning.kept_settings import PlanSettings
from register.planning.travel import Place
from register.services.places import known_site
from register.services.week.plan_settings import keep_plan_settings
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from register.store.engine import create_register
from tests.desk import Desk
from tests.registers import TODAY, changing

KEYS = {"week", "days", "left_out", "totals", "cost", "lower_bound", "gap"}


@pytest.fixture
def db(tmp_path: Path) -> Path:
    path = tmp_path / "own.register"
    register = create_register(path)
    desk = Desk(register)
    for code, place in (("DEPOT", "-37.90, 148.61"), ("YARD", "")):
        desk.site(code, address=f"1, {code} Road; back\\gate")
        desk.item(f"{code}-1", site=code)
        with changing(register) as change:
            keep_visiting(change, known_site(change.session.connection(), code), Visiting(place))
    with changing(register) as change:
        keep_plan_settings(change, PlanSettings(base=Place(-37.9, 148.6)))
        keep_van(change, VanFacts("Van 1"))
    register.close()
    return path


def run(db: Path, *arguments: str) -> int:
    return main(["--db", str(db), "--today", TODAY.isoformat(), *arguments])


def test_a_week_is_planned_as_json_in_the_agreed_shape(db: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(db, "plan", "--week", "2026-W48", "--effort", "0.1", "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert set(found) >= KEYS
    day = found["days"][0]
    assert set(day) >= {"date", "van", "leave_base", "back_at_base", "stops", "drive_km", "drive_minutes"}
    assert set(day["stops"][0]) >= {"site", "arrive", "leave", "minutes", "duties", "pulled_forward"}
    assert {stop["site"] for each in found["days"] for stop in each["stops"]} == {"DEPOT", "YARD"}


def test_pins_and_sites_left_out_are_heeded(db: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ("--week", "2026-W48", "--pin", "DEPOT=2026-11-27@Van 1", "--leave-out", "YARD", "--effort", "0.1")
    assert run(db, "plan", *asked, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert [(day["date"], [stop["site"] for stop in day["stops"]]) for day in found["days"]] == [
        ("2026-11-27", ["DEPOT"])
    ]
    assert found["left_out"][0]["site"] == "YARD"
    assert run(db, "plan", "--pin", "DEPOT") == 1
    assert "is no pin" in capsys.readouterr().err


def test_the_files_of_a_week_are_written(db: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = {kind: tmp_path / f"week.{kind}" for kind in ("ics", "gpx", "geojson", "xlsx")}
    files = [part for kind, path in names.items() for part in (f"--{kind}", str(path))]
    assert run(db, "plan", "--week", "2026-W48", "--effort", "0.1", *files) == 0
    assert all(path.stat().st_size > 100 for path in names.values())
    assert "lacks Yard of the bay" in capsys.readouterr().err
    assert run(db, "plan", "--week", "2026-W48", "--gpx", str(tmp_path / "nowhere" / "a.gpx"), "--effort", "0") == 1
    assert "can't be written" in capsys.readouterr().err


def test_a_forecast_is_printed_and_given_as_json(db: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(db, "forecast", "--weeks", "4", "--json") == 0
    weeks = json.loads(capsys.readouterr().out)["weeks"]
    assert [week["monday"] for week in weeks] == [
        (TODAY - timedelta(days=TODAY.weekday()) + timedelta(days=7 * n)).isoformat() for n in range(4)
    ]
    assert run(db, "forecast", "--weeks", "4") == 0
    assert "DEPOT" in capsys.readouterr().out


def test_drives_are_taken_in_tried_and_forgotten(db: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "drives.csv"
    sheet.write_text("from,to,minutes,km\nBASE,DEPOT,90,70\nDEPOT,HERE,3,4\n", encoding="utf-8")
    assert run(db, "drives", str(sheet), "--dry-run") == 0
    said = capsys.readouterr().out
    assert "Line 3: “HERE” is no site of this register." in said
    assert said.endswith("Nothing was kept.\n")
    assert run(db, "drives", str(sheet), "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["drives"], told["holes"], told["kept"]) == (1, 2, True)
    assert told["problems"][0]["line"] == 3
    asked = ("plan", "--week", "2026-W48", "--effort", "0.1", "--leave-out", "YARD", "--json")
    assert run(db, *asked) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["totals"]["drive_minutes"] == 180
    assert run(db, "drives", "--forget") == 0
    capsys.readouterr()
    assert run(db, *asked) == 0
    assert json.loads(capsys.readouterr().out)["totals"]["drive_minutes"] < 20
    assert run(db, "drives") == 1
    assert "Name a sheet of them" in capsys.readouterr().err

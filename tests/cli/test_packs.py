"""The commands of field packs, from the office to the laptop and back."""

from collections.abc import Callable
from pathlib import Path

from tests.cli.conftest import Shell


def test_a_pack_goes_out_and_its_work_comes_back(yard: Shell, record: Callable[..., Path], tmp_path: Path) -> None:
    pack, work = str(tmp_path / "yard.fieldpack"), str(tmp_path / "yard.fieldwork")
    made = yard.json("pack", pack, "--site", "YARD", "--holder", "Asha Pell", "--until", "2026-12-01")
    assert (made["sites"], made["items"], made["expires_on"]) == (["YARD"], 3, "2026-12-01")
    assert [each["state"] for each in yard.json("packs")] == ["out"]
    assert [each["state"] for each in yard.json("packs", "--today", "2027-02-01")] == ["expired"]
    office, field = yard.db, tmp_path / "field.register"
    yard.db = field
    assert yard.json("pack", pack, "--open")["holder"] == "Asha Pell"
    yard.run("record", str(record()))
    sent = yard.json("pack", work, "--back")
    assert (sent["sent"], sent["done"], sent["left"]) == (3, 1, 2)
    yard.db = office
    rehearsal = yard.run("merge", work, "--dry-run")
    assert "sent 3 / done 1 / left 2" in rehearsal
    assert "A dry run: nothing was kept." in rehearsal
    done = yard.json("merge", work)
    assert (done["nothing_new"], done["added"]["record"], done["clashes"]) == (False, 1, [])
    again = yard.json("merge", work)
    assert (again["nothing_new"], again["added"], again["events"]) == (True, {}, 0)
    (listed,) = yard.json("packs")
    assert (listed["state"], listed["came_back"]["left"]) == ("came-back", 2)
    assert "came back  Asha Pell" in yard.run("packs")
    assert "operating-time" in {duty["duty"] for duty in yard.json("why", "YD-0001")["duties"]}
    yard.run("check")


def test_what_can_not_be_packed_or_merged_is_said_in_one_sentence(yard: Shell, tmp_path: Path) -> None:
    path = str(tmp_path / "yard.fieldpack")
    assert "needs a holder" in yard.refused("pack", path, "--site", "YARD")
    assert "at least one site" in yard.refused("pack", path, "--holder", "Asha Pell")
    assert yard.run("packs") == "No field pack was made yet.\n"
    said = yard.refused("pack", path, "--visit", "2026-11-25", "--holder", "Asha Pell")
    assert said.startswith("No kept week has a visit on 25 Nov 2026.")
    assert "ends in .fieldpack" in yard.refused("pack", str(tmp_path / "a.zip"), "--site", "YARD", "--holder", "A")
    assert "not both" in yard.refused("pack", path, "--open", "--back")
    assert "no field pack" in yard.refused("pack", str(tmp_path / "yard.fieldwork"), "--back")
    assert "There is no file" in yard.refused("merge", str(tmp_path / "nowhere.fieldwork"))
    yard.run("pack", path, "--site", "YARD", "--holder", "Asha Pell")
    assert "is a field pack, not field work" in yard.refused("merge", path)

"""The check of a register against what an owner's workbook said of its history."""

from tests.cli.conftest import Shell


def test_a_check_holds_the_history_against_a_report(yard: Shell) -> None:
    told = yard.json("check")
    assert told["clock"] == ""
    events, mark = told["events"], told["head"][:8]
    yard.run("remove", "YD-0003", "--reason", "sold")
    assert "Everything agrees" in yard.run("check", "--report", str(events), mark)
    ahead = yard.json("check", "--report", str(events + 50), mark, code=1)
    assert not ahead["ok"]
    assert ahead["faults"][0].startswith(f"The report was written when {events + 50} events were recorded")
    assert "is no check mark" in yard.refused("check", "--report", str(events), "x")

"""The documents say what is there: every command and option, every action with its keys, links that lead somewhere."""

import argparse
import json
import re
from pathlib import Path

import pytest

from register.cli.main import command_line, main
from ui.help import MANUAL, keys_page

DOCS = Path(__file__).parent.parent / "docs"


def commands() -> dict[str, argparse.ArgumentParser]:
    found = [part for part in command_line()._actions if isinstance(part, argparse._SubParsersAction)]
    return dict(found[0].choices)


@pytest.mark.parametrize("name", commands())
def test_every_command_and_each_of_its_options_is_documented(name: str) -> None:
    text = (DOCS / "command-line.md").read_text(encoding="utf-8")
    assert f"`{name}" in text or f" {name} " in text
    options = [flag for part in commands()[name]._actions for flag in part.option_strings if flag.startswith("--")]
    for option in set(options) - {"--help"}:
        assert option in text, f"{name} {option}"


def test_the_example_of_judge_is_read_and_fails(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (DOCS / "command-line.md").read_text(encoding="utf-8")
    example = re.search(r"```json\n(.*?)```", text, re.DOTALL)
    assert example is not None
    path = tmp_path / "example.json"
    path.write_text(example[1], encoding="utf-8")
    assert main(["judge", str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verdict"] == "fail"


def test_the_page_of_keys_is_made_from_the_actions() -> None:
    assert (MANUAL / "keys.md").read_text(encoding="utf-8") == keys_page()


@pytest.mark.parametrize("page", sorted(DOCS.rglob("*.md")), ids=lambda page: page.name)
def test_every_link_of_a_page_leads_to_a_file(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+?)\)", text):
        if "://" not in target:
            assert (page.parent / target).exists(), f"{page.name}: {target}"

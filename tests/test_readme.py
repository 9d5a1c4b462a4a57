"""README and DEVELOPERS can't promise what is not there, nor keep quiet about a command."""

import argparse
import re
from pathlib import Path

import pytest

from register.cli.main import command_line

TOP = Path(__file__).parent.parent


def commands() -> dict[str, argparse.ArgumentParser]:
    """Every command of the command line with its parser."""
    actions = command_line()._actions
    return next(action.choices for action in actions if isinstance(action, argparse._SubParsersAction))


def promised() -> dict[str, str]:
    """The commands in the README's table, each with its whole line."""
    lines = (TOP / "README.md").read_text(encoding="utf-8").splitlines()
    return {found[1]: line for line in lines if (found := re.match(r"\| `([a-z]+)\b", line))}


def test_the_readme_lists_every_command_and_no_other() -> None:
    assert set(promised()) == set(commands())


def test_every_option_that_the_readme_names_is_understood() -> None:
    for name, parser in commands().items():
        assert set(re.findall(r"--[a-z-]+", promised()[name])) - {"--db"} <= set(parser._option_string_actions)


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_every_path_that_is_named_is_there(name: str) -> None:
    text = (TOP / name).read_text(encoding="utf-8")
    paths = re.findall(r"[`(]((?:register|ui|resources|tests|docs|sample_sites)/[\w./]*)[`)]", text)
    assert not [path for path in paths if "NAME" not in path and "NNNN" not in path and not (TOP / path).exists()]
    assert paths

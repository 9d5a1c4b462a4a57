"""The code keeps its shape: short files and functions, no rings of imports, Qt and the clock where they belong."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests import shape
from tests.__main__ import ON_A_SERVER

TOP = Path(__file__).parent.parent
CHECKS = [
    shape.wrong_layout,
    shape.long_files,
    shape.long_classes,
    shape.long_functions,
    shape.import_cycles,
    shape.breached_qt_wall,
    shape.hidden_clocks,
    shape.machine_paths,
]


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_the_checkout_keeps(check: Callable[[Path], list[str]]) -> None:
    wrong = check(TOP)
    assert not wrong, "\n".join(wrong)


def test_the_tests_that_run_on_a_server_are_there() -> None:
    assert [name for name in ON_A_SERVER if not (TOP / name).is_file()] == []


def planted(top: Path, texts: dict[str, str]) -> Path:
    """A checkout that holds these files."""
    for name, text in texts.items():
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_text(text, encoding="utf-8")
    return top


def body(lines: int) -> str:
    """That many lines of code, indented once."""
    return "    x = 1\n" * lines


BREACHES = [
    (shape.long_files, {"ui/a.py": "x = 1\n" * 401}, ["ui/a.py has 401 lines, at most 400"]),
    (shape.long_files, {"ui/a.py": "x = 1\n" * 400, "ui/.hidden.txt": "\n" * 500}, []),
    (
        shape.long_classes,
        {"tests/a.py": f"class Whole:\n{body(250)}"},
        ["tests/a.py: class Whole has 251 lines, at most 250"],
    ),
    (shape.long_classes, {"tests/a.py": f'class Told:\n    """One\n    two."""\n{body(249)}'}, []),
    (
        shape.long_functions,
        {"tests/a.py": f"def told():\n{body(39)}\ndef long():\n{body(40)}"},
        ["tests/a.py: long() has 41 lines, at most 40"],
    ),
    (
        shape.long_functions,
        {"ui/a.py": f"def one():\n{body(10)}\ndef two():\n{body(10)}"},
        ["the median function has 11.0 lines, at most 10"],
    ),
    (
        shape.import_cycles,
        {"register/a.py": "import register.b\n", "register/b.py": "from register import c\n"}
        | {"register/c.py": "if True:\n    from .a import thing\n", "register/__init__.py": ""},
        ["register.a -> register.b -> register.c -> register.a"],
    ),
    (
        shape.import_cycles,
        {"register/a.py": "def late():\n    import register.b\n", "register/b.py": "import register.a\n"},
        [],
    ),
    (
        shape.breached_qt_wall,
        {"register/a.py": "def late():\n    from PySide6.QtCore import Qt\n", "ui/b.py": "import PySide6\n"},
        ["register/a.py, line 2: Qt is imported"],
    ),
    (
        shape.hidden_clocks,
        {"register/a.py": "import datetime as d\nnow = d.datetime.now\n", "register/cli/b.py": "date.today()\n"}
        | {"resources/c.py": "when = date.today()\n", "ui/app.py": "date.today()\n", "tests/d.py": "date.today()\n"},
        [
            "register/a.py, line 2: d.datetime.now reads the clock",
            "resources/c.py, line 1: date.today reads the clock",
        ],
    ),
    (
        shape.machine_paths,
        {"docs/a.md": "see\n" + "in /ho" + "me/ann/notes\n", "docs/b.md": "https://example.org/ho" + "me/x, and/or\n"}
        | {"ui/c.py": "HOME = 'C:" + "\\Users\\ann'\n"},
        [
            "docs/a.md, line 2: /ho" + "me/ is a path of one machine",
            "ui/c.py, line 1: C:" + "\\Users is a path of one machine",
        ],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("check", "texts", "wrong"), BREACHES)
def test_a_planted_breach_is_found(
    tmp_path: Path, check: Callable[[Path], list[str]], texts: dict[str, str], wrong: list[str]
) -> None:
    assert check(planted(tmp_path, texts)) == wrong


def test_a_stranger_at_the_top_level_and_a_missing_part_are_found(tmp_path: Path) -> None:
    whole = {f"{name}/a.txt": "" for name in shape.LAYOUT if "." not in name} | {"README.md": "", "pyproject.toml": ""}
    top = planted(tmp_path, whole | {".gitignore": "build/\n*.db\n", "build/a.txt": "", "mine.db": "", "notes.txt": ""})
    assert shape.wrong_layout(top) == ["notes.txt is no part of the layout", "DEVELOPERS.md is missing"]

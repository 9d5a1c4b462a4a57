"""A fresh checkout makes itself ready, once, and says so: tried for real on a small checkout with wheels of its own."""

import ast
import os
import re
import signal
import subprocess
import sys
import tomllib
import zipfile
from importlib.metadata import packages_distributions
from pathlib import Path
from shutil import copytree, rmtree

import pytest

from resources import start

TOP = Path(__file__).parent.parent

PROGRAM = """
import sys
from resources import start

start.PURPOSES.clear()
start.PURPOSES["plain"] = start.Purpose(("tiny_one",))
start.PURPOSES["more"] = start.Purpose(("tiny_one", "tiny_two"), extras=("dev",))
start.PURPOSES["impossible"] = start.Purpose(("tiny_one", "never_made"))
start.ensure(sys.argv[1])
import tiny_one

print("version", tiny_one.VERSION, "with", *sys.argv[1:])
"""


class SmallCheckout:
    """A checkout of three files that needs two tiny packages, which an index of its own holds."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "checkout"
        self.wheels = folder / "wheels"
        self.wheels.mkdir(parents=True)
        copytree(TOP / "resources", self.folder / "resources", ignore=lambda *_: {"__pycache__", "rulebooks"})
        (self.folder / "program.py").write_text(PROGRAM, encoding="utf-8")
        self.ask_for("tiny-one==1")

    @property
    def environment(self) -> Path:
        return self.folder / ".venv"

    def ask_for(self, requirement: str) -> None:
        text = f"[project]\ndependencies = ['{requirement}']\noptional-dependencies.dev = ['tiny-two']\n"
        (self.folder / "pyproject.toml").write_text(text, encoding="utf-8")

    def offer(self, module: str, version: int = 1) -> None:
        info = f"{module}-{version}.dist-info"
        with zipfile.ZipFile(self.wheels / f"{module}-{version}-py3-none-any.whl", "w") as wheel:
            wheel.writestr(f"{module}.py", f"VERSION = {version}\n")
            wheel.writestr(f"{info}/METADATA", f"Metadata-Version: 2.1\nName: {module}\nVersion: {version}\n")
            wheel.writestr(f"{info}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
            wheel.writestr(f"{info}/RECORD", "")

    def begin(self, *arguments: str) -> "subprocess.Popen[str]":
        own_index = {"PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(self.wheels), "PIP_CONFIG_FILE": os.devnull}
        return subprocess.Popen(
            [sys.executable, "program.py", *arguments],
            cwd=self.folder,
            env={**os.environ, **own_index},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )

    def run(self, *arguments: str) -> tuple[int, str, str]:
        program = self.begin(*arguments)
        out, told = program.communicate(timeout=120)
        return program.returncode, out, told


@pytest.fixture
def checkout(tmp_path: Path) -> SmallCheckout:
    return SmallCheckout(tmp_path)


def test_two_starts_at_once_in_a_fresh_checkout_make_it_ready_once(checkout: SmallCheckout) -> None:
    checkout.offer("tiny_one")
    both = [checkout.begin("plain", "--json", "a b"), checkout.begin("plain", "--json", "a b")]
    ends = [program.communicate(timeout=120) for program in both]
    assert [out for out, _ in ends] == ["version 1 with plain --json a b\n"] * 2
    told = "".join(said for _, said in ends)
    assert told.count("Making") == 1
    assert told.count("Another start is setting up") == 1
    assert checkout.run("plain") == (0, "version 1 with plain\n", "")


def test_more_is_installed_only_when_a_purpose_asks_for_it_or_the_requirements_change(checkout: SmallCheckout) -> None:
    checkout.offer("tiny_one")
    checkout.offer("tiny_two")
    code, out, told = checkout.run("more")
    assert (code, out) == (0, "version 1 with more\n")
    assert "Installing 2 Python packages" in told
    assert checkout.run("plain") == (0, "version 1 with plain\n", "")
    assert checkout.run("more") == (0, "version 1 with more\n", "")

    checkout.offer("tiny_one", version=2)
    checkout.ask_for("tiny-one==2")
    code, out, told = checkout.run("plain")
    assert (code, out) == (0, "version 2 with plain\n")
    assert "Making" not in told


def test_a_start_killed_while_making_the_environment_is_finished_by_the_next(checkout: SmallCheckout) -> None:
    checkout.offer("tiny_one")
    killed = checkout.begin("plain")
    assert killed.stderr is not None
    assert "Making" in killed.stderr.readline()
    os.killpg(killed.pid, signal.SIGKILL)
    killed.communicate()
    assert checkout.run("plain")[:2] == (0, "version 1 with plain\n")


def test_packages_that_can_not_be_had_are_one_sentence_and_the_next_start_begins_afresh(
    checkout: SmallCheckout,
) -> None:
    code, out, told = checkout.run("plain")
    assert (code, out) == (1, "")
    assert "The Python packages can't be installed: " in told.splitlines()[-1]
    assert "tiny-one==1" in told.splitlines()[-1]
    assert "Traceback" not in told
    left_half_made = checkout.environment / "left-half-made"
    left_half_made.touch()

    checkout.offer("tiny_one")
    assert checkout.run("plain")[:2] == (0, "version 1 with plain\n")
    assert not left_half_made.exists()


def test_a_damaged_environment_is_made_afresh_but_not_for_ever(checkout: SmallCheckout) -> None:
    checkout.offer("tiny_one")
    checkout.run("plain")
    (damaged,) = checkout.environment.glob("lib/*/site-packages")
    rmtree(damaged)
    code, out, told = checkout.run("plain")
    assert (code, out) == (0, "version 1 with plain\n")
    assert "Making" in told

    code, out, told = checkout.run("impossible")
    assert (code, out) == (1, "")
    assert told.splitlines()[-1].endswith("was made afresh and still lacks never_made. Delete it, then start again.")


def test_a_checkout_that_can_not_be_written_is_one_sentence(checkout: SmallCheckout) -> None:
    checkout.environment.write_text("in the way", encoding="utf-8")
    code, out, told = checkout.run("plain")
    assert (code, out) == (1, "")
    assert str(checkout.environment) in told.splitlines()[-1]
    assert "Traceback" not in told


def test_nothing_is_set_up_where_everything_is_there_already() -> None:
    script = (
        "import sys; from resources import start; start.ensure('tests'); "
        "print(sorted({'subprocess', 'tomllib', 'hashlib', 'PySide6', 'sqlalchemy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], cwd=TOP, capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("[]\n", "")


def test_a_python_too_old_reads_the_start_up_files_and_is_told_so() -> None:
    for name in ("resources/start.py", "register/__main__.py", "ui/__main__.py", "tests/__main__.py"):
        ast.parse((TOP / name).read_text(encoding="utf-8"), feature_version=(3, 7))
    assert start.too_old((3, 10, 12)) == (
        "Retest Register needs Python 3.11 or newer; this is Python 3.10.12. Start it with a newer python3."
    )


def test_the_modules_looked_for_are_those_that_pyproject_brings() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    brought_by = packages_distributions()
    for modules, requirements in (
        (start.PROGRAM_MODULES, [*project["dependencies"], *project["optional-dependencies"]["routes"]]),
        (start.TEST_MODULES, project["optional-dependencies"]["dev"]),
    ):
        asked = {re.split(r"[<>=]", requirement)[0].lower() for requirement in requirements}
        found = {name.lower().replace("_", "-") for module in modules for name in brought_by[module]}
        assert {name for name in asked if not name.startswith("types-")} <= found


def test_someone_without_rights_is_told_the_one_command_to_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(start.CannotSetUp) as refusal:
        start.install_system_packages(["python3.11-venv", "libegl1"])
    assert str(refusal.value).splitlines()[1:] == [
        "    sudo sh -c 'apt-get update && apt-get install -y --no-install-recommends python3.11-venv libegl1'"
    ]


def test_only_missing_libraries_and_commands_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.which", lambda name: None if name == "no-such-command" else f"bin/{name}")
    monkeypatch.setattr(
        start, "run", lambda _: (0, "1 libs found\n\tlibthere.so.1 (libc6,x86-64) => lib/libthere.so.1\n")
    )
    needs = start.Purpose(
        (), libraries={"libthere.so.1": "there", "libnot.so.2": "not-there"}, commands={"no-such-command": "a-command"}
    )
    assert start.missing_packages(needs) == ["not-there", "a-command"]


def test_qt_opens_without_a_screen(qapp: object) -> None:
    from PySide6.QtGui import QGuiApplication

    assert qapp is QGuiApplication.instance()
    assert QGuiApplication.platformName() == os.environ["QT_QPA_PLATFORM"]

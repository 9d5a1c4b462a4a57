"""Makes a fresh checkout ready to run: its own Python environment and, on Debian and Ubuntu, the system's packages.

The first thing that `python3 -m register`, `python3 -m ui` and `python3 -m tests` call. It needs the standard library
alone, says what it does on stderr, and is written so that a Python too old for the program can still read it.
"""

from __future__ import annotations

import importlib.util
import os
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from typing import NoReturn

OLDEST = (3, 11)
CHECKOUT = Path(__file__).resolve().parent.parent
UNDER_WAY = "under way"
MADE_AFRESH = "RETEST_REGISTER_MADE_AFRESH"

QT_LIBRARIES = {
    "libglib-2.0.so.0": "libglib2.0-0",
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libxkbcommon.so.0": "libxkbcommon0",
}
QT_ON_A_SCREEN = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
}
PROGRAM_MODULES = (
    "PySide6",
    "sqlalchemy",
    "alembic",
    "dateutil",
    "openpyxl",
    "defusedxml",
    "filelock",
    "holidays",
    "orjson",
    "icalendar",
    "psycopg",
    "pyvrp",
    "segno",
    "tzdata",
)
TEST_MODULES = (
    *("apsw", "hypothesis", "importlinter", "mypy", "pypdfium2", "pytest", "pytest_cov", "pytest_randomly"),
    *("pytest_timeout", "pytestqt", "python_calamine", "ruff", "setuptools", "vobject", "xlsx2csv", "xmlschema"),
    "zxingcpp",
)


class Purpose(NamedTuple):
    """What one way of starting needs beyond Python itself.

    `modules` are the import names that must be found and `extras` the groups of pyproject.toml that bring them;
    `libraries` and `commands` name the Debian package that brings each shared library or command.
    """

    modules: tuple[str, ...]
    extras: tuple[str, ...] = ()
    libraries: Mapping[str, str] = {}
    commands: Mapping[str, str] = {}


PURPOSES = {
    "register": Purpose(PROGRAM_MODULES, extras=("routes", "team")),
    "ui": Purpose(PROGRAM_MODULES, extras=("routes", "team"), libraries={**QT_LIBRARIES, **QT_ON_A_SCREEN}),
    "tests": Purpose(
        (*PROGRAM_MODULES, *TEST_MODULES),
        extras=("routes", "team", "dev"),
        libraries={**QT_LIBRARIES, **QT_ON_A_SCREEN},
        commands={"localc": "libreoffice-calc", "Xvfb": "xvfb", "pg_ctlcluster": "postgresql"},
    ),
}


class CannotSetUp(Exception):  # noqa: N818 - it is an answer, not an error
    """Set-up can't go on. The text says why and what to do."""


class Environment(NamedTuple):
    """The checkout's own Python environment and the note in it that says what it was made ready for."""

    folder: Path

    @property
    def python(self) -> Path:
        """The Python inside it."""
        return self.folder / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")

    @property
    def note(self) -> Path:
        """The file that holds the fingerprint of what is installed, then one purpose a line; `UNDER_WAY` meanwhile."""
        return self.folder / "made-ready-for"

    def noted(self) -> list[str]:
        """The note's lines; none where there is no note."""
        try:
            return self.note.read_text(encoding="utf-8").splitlines()
        except FileNotFoundError:
            return []

    def ready_for(self, purpose: str, fingerprint: str) -> bool:
        """Whether it holds what the purpose needs as pyproject.toml now states it."""
        noted = self.noted()
        return noted[:1] == [fingerprint] and purpose in noted[1:] and self.python.exists()


ENVIRONMENT = Environment(CHECKOUT / ".venv")


def ensure(purpose: str) -> None:
    """Return at once where this Python has what the purpose needs; otherwise set it up and start again in it.

    Ends the program with one sentence on stderr and exit code 1 where that can't be done.
    """
    if sys.version_info < OLDEST:
        sys.exit(too_old(sys.version_info[:3]))
    if not (CHECKOUT / "pyproject.toml").is_file():
        return  # installed by pip, which brought everything
    # Outside a virtual environment a distribution's own packages may be of any version: they are left alone.
    if sys.prefix != sys.base_prefix and not missing_modules(PURPOSES[purpose].modules):
        os.environ.pop(MADE_AFRESH, None)
        return
    try:
        set_up(purpose)
    except CannotSetUp as reason:
        sys.exit(str(reason))
    except OSError as error:
        sys.exit(f"{ENVIRONMENT.folder} can't be made ready: {error.strerror or error}. Mend that, then start again.")
    except KeyboardInterrupt:
        sys.exit("Set-up was interrupted. Start again to finish it.")
    start_again()


def too_old(version: tuple[int, ...]) -> str:
    """The sentence for a Python that can't run the program."""
    have, need = (".".join(map(str, parts)) for parts in (version, OLDEST))
    return f"Retest Register needs Python {need} or newer; this is Python {have}. Start it with a newer python3."


def missing_modules(modules: Iterable[str]) -> list[str]:
    """Those of the modules that this Python can't find. Imports nothing."""
    return [name for name in modules if importlib.util.find_spec(name) is None]


def set_up(purpose: str) -> None:
    """Make the environment, and install into it and the system what the purpose needs; nothing where all is there."""
    needs = PURPOSES[purpose]
    requirements = Requirements.read(CHECKOUT / "pyproject.toml")
    fingerprint = requirements.fingerprint()
    inside = Path(sys.prefix).resolve() == ENVIRONMENT.folder
    if not inside and ENVIRONMENT.ready_for(purpose, fingerprint):
        return
    with only_one_at_a_time(CHECKOUT / ".venv.lock"):
        # Asked again: another start may have done it while this one waited. Noted as ready yet lacking is damaged.
        importlib.invalidate_caches()
        noted_as_ready = ENVIRONMENT.ready_for(purpose, fingerprint)
        lacking = missing_modules(needs.modules) if inside else []
        if noted_as_ready and not lacking:
            return
        install_system_packages(missing_packages(needs))
        noted = ENVIRONMENT.noted()
        held = noted[1:] if noted[:1] == [fingerprint] else []
        if noted_as_ready:
            only_once(lacking)
        if noted_as_ready or UNDER_WAY in noted or not can_install(ENVIRONMENT.python):
            make_environment()
            held = []
        if not any(set(needs.extras) <= set(PURPOSES[other].extras) for other in held):
            ENVIRONMENT.note.write_text(f"{UNDER_WAY}\n", encoding="utf-8")
            install_python_packages(requirements.of(needs))
        ENVIRONMENT.note.write_text("\n".join([fingerprint, *sorted({purpose, *held}), ""]), encoding="utf-8")


def only_once(lacking: list[str]) -> None:
    """Let a damaged environment be made afresh by this start, but not again and again."""
    if os.environ.get(MADE_AFRESH):
        raise CannotSetUp(
            f"{ENVIRONMENT.folder} was made afresh and still lacks {', '.join(lacking)}. Delete it, then start again."
        )
    os.environ[MADE_AFRESH] = "1"


class Requirements(NamedTuple):
    """The packages that pyproject.toml asks for: the program's own, and each group of extras."""

    base: tuple[str, ...]
    extras: Mapping[str, tuple[str, ...]]

    @classmethod
    def read(cls, pyproject: Path) -> Requirements:
        """Read them from a pyproject.toml."""
        import tomllib

        project = tomllib.loads(pyproject.read_text(encoding="utf-8"))["project"]
        extras = {name: tuple(asked) for name, asked in project.get("optional-dependencies", {}).items()}
        return cls(tuple(project["dependencies"]), extras)

    def of(self, purpose: Purpose) -> list[str]:
        """Everything that a purpose needs."""
        return [*self.base, *(asked for name in purpose.extras for asked in self.extras[name])]

    def fingerprint(self) -> str:
        """A text that changes whenever any requirement changes, a system package included."""
        from hashlib import sha256

        return sha256(repr((self.base, sorted(self.extras.items()), sorted(PURPOSES.items()))).encode()).hexdigest()


@contextmanager
def only_one_at_a_time(path: Path) -> Iterator[None]:
    """Hold a lock on the file, waiting for another start to finish; the system lets go of it when a process dies."""
    with path.open("a", encoding="utf-8") as file:
        if not take_lock(file.fileno(), wait=False):
            say("Another start is setting up; waiting for it.")
            take_lock(file.fileno(), wait=True)
        yield


def take_lock(descriptor: int, *, wait: bool) -> bool:
    """Lock an open file for this process; False where another holds it and this one is not to wait."""
    if sys.platform == "win32":
        import msvcrt
        import time

        while True:
            try:
                msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
            except OSError:
                if not wait:
                    return False
                time.sleep(1)
            else:
                return True
    import fcntl

    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        return False
    return True


def missing_packages(purpose: Purpose) -> list[str]:
    """The Debian packages still needed; none on a system without apt-get, which has its own ways."""
    from shutil import which

    has_venv = not missing_modules(["venv", "ensurepip"])
    if which("apt-get") is None:
        if not has_venv:
            raise CannotSetUp("This Python comes without the modules venv and ensurepip. Install them and start again.")
        return []
    packages = [] if has_venv else [f"python3.{sys.version_info.minor}-venv"]
    present = shared_libraries() if purpose.libraries else set()
    packages += [package for library, package in purpose.libraries.items() if library not in present]
    packages += [package for command, package in purpose.commands.items() if which(command) is None]
    return packages


def shared_libraries() -> set[str]:
    """The names of the shared libraries that the system's loader knows."""
    output = run(["/sbin/ldconfig", "-p"])[1]
    return {line.split()[0] for line in output.splitlines() if "=>" in line}


def install_system_packages(packages: list[str]) -> None:
    """Install Debian packages as root; otherwise stop with the one command that does it."""
    if not packages:
        return
    command = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    if os.geteuid() != 0:
        raise CannotSetUp(
            "Some of the system's packages are missing. Run this once, then start again:\n"
            f"    sudo sh -c 'apt-get update && {' '.join(command)}'"
        )
    say(f"Installing the system's packages {', '.join(packages)}.")
    patient = ["-q", "-o", "DPkg::Lock::Timeout=300"]
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    run(["apt-get", "update", *patient], quiet)  # an old list may still do: the next step decides
    code, output = run([*command, *patient], quiet)
    if code != 0:
        raise CannotSetUp(
            f"apt-get could not install them: {last_complaint(output)}\n"
            "Check the network and apt's sources, then start again."
        )


def can_install(python: Path) -> bool:
    """Whether there is a Python at that place that is new enough and has pip."""
    return (
        python.exists() and run([str(python), "-c", f"import sys, pip; sys.exit(sys.version_info < {OLDEST})"])[0] == 0
    )


def make_environment() -> None:
    """Make the environment empty, clearing away a half-made one."""
    say(f"Making {ENVIRONMENT.folder}.")
    code, output = run([sys.executable, "-m", "venv", "--clear", str(ENVIRONMENT.folder)])
    if code != 0:
        raise CannotSetUp(
            f"{ENVIRONMENT.folder} could not be made: {last_complaint(output)} Delete it and start again."
        )


def install_python_packages(requirements: list[str]) -> None:
    """Install into the environment what pyproject.toml asks for."""
    say(f"Installing {len(requirements)} Python packages into it, once. This takes up to a minute.")
    pip = [str(ENVIRONMENT.python), "-m", "pip", "install", "--quiet", "--no-input", "--disable-pip-version-check"]
    code, output = run([*pip, "--retries", "2", *requirements])
    if code == 0:
        return
    if any(sign in output for sign in ("establish a new connection", "timed out", "ProxyError", "ConnectTimeout")):
        raise CannotSetUp(
            "The Python packages can't be fetched: the package index does not answer. Connect, then start again."
        )
    raise CannotSetUp(f"The Python packages can't be installed: {last_complaint(output)}")


def run(command: list[str], environment: Mapping[str, str] | None = None) -> tuple[int, str]:
    """Run a command: its exit code and all that it printed, none of which reaches stdout: that is the program's."""
    import subprocess

    done = subprocess.run(
        command,
        env=environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
    )
    return done.returncode, done.stdout + done.stderr


def last_complaint(output: str) -> str:
    """The line of a failed command's output that says most: its last error line, else its last line."""
    lines = [line.strip() for line in output.splitlines() if line.strip()]
    errors = [line for line in lines if line.startswith(("E:", "ERROR:", "Error:"))]
    return (errors or lines or ["it gave no reason."])[-1]


def start_again() -> NoReturn:
    """Run the same command line with the environment's Python in this one's place."""
    command = [str(ENVIRONMENT.python), *sys.orig_argv[1:]]
    if sys.platform == "win32":  # there, exec would give the prompt back before the program has ended
        import subprocess

        sys.exit(subprocess.run(command, check=False).returncode)
    sys.stdout.flush()
    os.execv(command[0], command)


def say(sentence: str) -> None:
    """Tell the user what is going on, on stderr."""
    print(sentence, file=sys.stderr, flush=True)

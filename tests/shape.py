"""Measures the shape of the code: each check takes the checkout's folder and returns what is wrong, a sentence each."""

import ast
import re
from collections.abc import Iterable, Iterator
from fnmatch import fnmatch
from pathlib import Path
from statistics import median

LAYOUT = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "register",
    "ui",
    "resources",
    "tests",
    "sample_sites",
    "docs",
}
PROGRAM = ("register", "ui", "resources", "sample_sites")
QT_MAY_BE_IN = ("ui", "tests")
CLOCK_MAY_BE_READ_IN = ("ui/app.py", "register/cli")
LONGEST_FILE, LONGEST_CLASS, LONGEST_FUNCTION, MEDIAN_FUNCTION = 400, 250, 40, 10
STRAIGHT_LISTS = "register/store/migrations/versions/"  # a migration is one list of steps, read from top to bottom
A_MACHINES_PATH = re.compile(r"(?<![\w.])(/(?:builds|home|root|srv|tmp|work|Users)/|[A-Z]:[\\/]+Users\b)")


def visible(top: Path) -> list[Path]:
    """Everything at the top level that git would show: no dot-files, nothing that .gitignore names."""
    ignore = top / ".gitignore"
    lines = ignore.read_text(encoding="utf-8").split() if ignore.exists() else []
    patterns = [line.rstrip("/") for line in lines]
    return sorted(
        path
        for path in top.iterdir()
        if not path.name.startswith(".") and not any(fnmatch(path.name, pattern) for pattern in patterns)
    )


def files(top: Path, pattern: str = "*", within: Iterable[str] | None = None) -> Iterator[tuple[str, Path]]:
    """Every file of the checkout, or of some of its folders, as its path from the top and its full path."""
    for start in visible(top):
        if within is None or start.name in within:
            inside = [start] if start.is_file() else sorted(start.rglob(pattern))
            for path in inside:
                name = path.relative_to(top).as_posix()
                if path.is_file() and fnmatch(path.name, pattern) and "__pycache__" not in name:
                    yield name, path


def sources(top: Path, within: Iterable[str] | None = None) -> Iterator[tuple[str, ast.Module]]:
    """Every Python file, read into its syntax tree."""
    for name, path in files(top, "*.py", within):
        yield name, ast.parse(path.read_text(encoding="utf-8"))


def wrong_layout(top: Path) -> list[str]:
    """Names at the top level beyond the layout, and names of the layout that are missing."""
    there = {path.name for path in visible(top)}
    return [f"{name} is no part of the layout" for name in sorted(there - LAYOUT)] + [
        f"{name} is missing" for name in sorted(LAYOUT - there)
    ]


def long_files(top: Path) -> list[str]:
    """Python files with too many lines."""
    lengths = ((name, len(path.read_text(encoding="utf-8").splitlines())) for name, path in files(top, "*.py"))
    return [f"{name} has {lines} lines, at most {LONGEST_FILE}" for name, lines in lengths if lines > LONGEST_FILE]


def length(node: ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """How many lines it has, without decorators and without the lines of its docstring."""
    lines = node.end_lineno - node.lineno + 1
    if ast.get_docstring(node, clean=False) is not None:
        lines -= node.body[0].end_lineno - node.body[0].lineno + 1
    return lines


def long_classes(top: Path) -> list[str]:
    """Classes with too many lines."""
    return [
        f"{name}: class {node.name} has {length(node)} lines, at most {LONGEST_CLASS}"
        for name, tree in sources(top)
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef) and length(node) > LONGEST_CLASS
    ]


def functions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Every function and method of a module."""
    return (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))


def long_functions(top: Path) -> list[str]:
    """Functions with too many lines; and the program's median function, where it is too long."""
    wrong = [
        f"{name}: {node.name}() has {length(node)} lines, at most {LONGEST_FUNCTION}"
        for name, tree in sources(top)
        if not name.startswith(STRAIGHT_LISTS)
        for node in functions(tree)
        if length(node) > LONGEST_FUNCTION
    ]
    lengths = [length(node) for _, tree in sources(top, PROGRAM) for node in functions(tree)]
    if lengths and median(lengths) > MEDIAN_FUNCTION:
        wrong.append(f"the median function has {median(lengths)} lines, at most {MEDIAN_FUNCTION}")
    return wrong


def modules_of(name: str) -> str:
    """The dotted name of a source file, given its path from the top."""
    return name.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def imported(node: ast.AST, package: str) -> Iterator[str]:
    """The dotted names that an import statement may bring in; for `from a import b` both `a` and `a.b`."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        parts = package.split(".")[: -node.level + 1 or None] if node.level else []
        base = ".".join([*parts, *([node.module] if node.module else [])])
        yield base
        yield from (f"{base}.{alias.name}" for alias in node.names)


def outside_functions(tree: ast.AST) -> Iterator[ast.AST]:
    """Every node that runs, or is checked, when the module is imported."""
    for node in ast.iter_child_nodes(tree):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            yield node
            yield from outside_functions(node)


def module_imports(top: Path) -> dict[str, set[str]]:
    """Which modules of the program each of them imports at module level."""
    found: dict[str, set[str]] = {}
    for name, tree in sources(top, PROGRAM):
        module = modules_of(name)
        package = module if name.endswith("__init__.py") else module.rpartition(".")[0]
        found[module] = {target for node in outside_functions(tree) for target in imported(node, package)} - {module}
    # `from a import b` means the module a.b where there is one, and not what a/__init__.py happens to import
    for module, targets in found.items():
        known = targets & found.keys()
        found[module] = {one for one in known if not any(other.startswith(f"{one}.") for other in known)}
    return found


def import_cycles(top: Path) -> list[str]:
    """Modules that import one another in a ring, each ring named by one way round it."""
    imports = module_imports(top)
    done: set[str] = set()
    rings = []

    def follow(module: str, path: list[str]) -> None:
        if module in path:
            rings.append(" -> ".join([*path[path.index(module) :], module]))
        elif module not in done:
            for target in sorted(imports[module]):
                follow(target, [*path, module])
            done.add(module)

    for module in sorted(imports):
        follow(module, [])
    return rings


def breached_qt_wall(top: Path) -> list[str]:
    """Imports of Qt, at any depth, outside the folders where it may be."""
    return [
        f"{name}, line {node.lineno}: Qt is imported"
        for name, tree in sources(top)
        for node in ast.walk(tree)
        if any(target.split(".")[0] in {"PySide6", "shiboken6"} for target in imported(node, ""))
        and not name.startswith(tuple(f"{folder}/" for folder in QT_MAY_BE_IN))
    ]


def hidden_clocks(top: Path) -> list[str]:
    """Places in the program that ask for today's date or the time instead of being told."""
    return [
        f"{name}, line {node.lineno}: {ast.unparse(node)} reads the clock"
        for name, tree in sources(top, PROGRAM)
        if not name.startswith(CLOCK_MAY_BE_READ_IN)
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute)
        and re.fullmatch(r"(.*\.)?(date|datetime)\.(today|now|utcnow)", ast.unparse(node))
    ]


def machine_paths(top: Path) -> list[str]:
    """Lines that name a path of somebody's machine."""
    wrong = []
    for name, path in files(top):
        try:
            lines = path.read_text(encoding="utf-8").splitlines()
        except UnicodeDecodeError:
            continue  # a picture or a spreadsheet
        for number, line in enumerate(lines, 1):
            if found := A_MACHINES_PATH.search(line):
                wrong.append(f"{name}, line {number}: {found[0]} is a path of one machine")
    return wrong

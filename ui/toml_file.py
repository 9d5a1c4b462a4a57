"""Small TOML files that a computer remembers things in: one that can't be read or written is noted and does no harm."""

import json
import logging
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

log = logging.getLogger(__name__)


def read_down(path: Path) -> dict[str, Any]:
    """Return what a file says; nothing where there is none, or none that can be read, which is noted in the log."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        log.warning("%s can't be read and was left aside: %s", path, error)
        return {}


def write_down(path: Path, what: Mapping[str, object]) -> None:
    """Write texts, numbers and lists of texts, whole or not at all.

    A full or read-only disk is noted and does no harm.
    """
    lines = [f"{name} = {json.dumps(value, ensure_ascii=False)}" for name, value in what.items()]
    temporary = path.with_suffix(".tmp")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary.write_text("\n".join(lines) + "\n", encoding="utf-8")
        temporary.replace(path)
    except (OSError, ValueError) as error:  # ValueError: a path with letters that no text file can hold
        temporary.unlink(missing_ok=True)
        log.warning("%s can't be written: %s", path, error)

"""The file of a field pack or of field work: a zip with a manifest, sealed as a whole.

The seal stands in the last bytes, the archive's comment, and covers every byte before it: a changed byte anywhere is
found. What comes in is treated as hostile: its parts are named, counted and weighed before anything is unpacked.
"""

import errno
import hashlib
import hmac
import json
import re
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO, Final

from register.errors import Refused, Unavailable
from register.exchange.files import spare_register
from register.services.packs.identity import FieldPack
from register.stopping import go_on
from register.store import upgrade as layouts

PACK_ENDING: Final = ".fieldpack"
WORK_ENDING: Final = ".fieldwork"
FORM: Final = 1
"""The number of this form of file; a higher one is a newer program's."""

MANIFEST: Final = "manifest.json"
LARGEST_FILE: Final = 200_000_000
LARGEST_UNPACKED: Final = 500_000_000
LARGEST_MANIFEST: Final = 100_000
LARGEST_RATIO: Final = 100
SMALL_ENOUGH: Final = 5_000_000
MOST_LISTED: Final = 50

_SEAL: Final = b"retest-register-seal:"
_SEALED: Final = re.compile(rb"retest-register-seal:([0-9a-f]{64})")
_DIGITS: Final = 64
_CHUNK: Final = 1_000_000
_ZIP: Final = b"PK\x03\x04"
_LISTED: Final = b"PK\x01\x02"
_ENCRYPTED: Final = 0x1
_PACKED_BY: Final = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
"""Other ways of packing are never used here, and their libraries fail in ways of their own."""
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
_BAD_INSIDE: Final = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    LookupError,
    NotImplementedError,
    RuntimeError,
    ValueError,
)


@dataclass(frozen=True, slots=True)
class Form:
    """One of the two forms of file: how it calls itself, in code and in words, its ending, and its one part."""

    what: str
    words: str
    ending: str
    part: str
    again: str


PACK: Final = Form("field-pack", "a field pack", PACK_ENDING, "register.sqlite", "Ask the office for the pack again.")
WORK: Final = Form("field-work", "field work", WORK_ENDING, "work.json", "Ask for the field work to be sent again.")


# --- writing ---


def write_container(path: Path, form: Form, pack: FieldPack, part: Path) -> None:
    """Write the file whole or not at all, in place of an earlier one of its name.

    Unavailable where it can't be, refused over a register.
    """
    spare_register(path)
    said = {
        "what": form.what, "form": FORM, "layout": layouts.HEAD,
        "pack": pack.plain() | ({} if form is PACK else {"key": ""}), "parts": {form.part: _digest(part)},
    }  # fmt: skip
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=f".{path.name[:40]}-", delete=False) as file:
            temporary = Path(file.name)
        try:
            _zip(temporary, {MANIFEST: json.dumps(said, indent=1).encode(), form.part: part})
            _seal(temporary, pack.key)
            temporary.replace(path)
        finally:
            temporary.unlink(missing_ok=True)
    except OSError as error:
        raise Unavailable(
            f"{path.name} can't be written in {path.parent}: {error.strerror}. Make room, or choose another folder."
        ) from error


def _zip(path: Path, parts: Mapping[str, bytes | Path]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            entry = zipfile.ZipInfo(name, _EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            with archive.open(entry, "w") as target:
                for chunk in _chunks_of(content):
                    target.write(chunk)
        archive.comment = _SEAL + b"0" * _DIGITS


def _chunks_of(content: bytes | Path) -> Iterator[bytes]:
    if isinstance(content, bytes):
        yield content
        return
    with content.open("rb") as file:
        while chunk := file.read(_CHUNK):
            go_on()
            yield chunk


def _seal(path: Path, key: str) -> None:
    with path.open("r+b") as file:
        made = _seal_of(file, path.stat().st_size, key)
        file.seek(-_DIGITS, 2)
        file.write(made.encode())


def _seal_of(file: BinaryIO, size: int, key: str) -> str:
    """Return the seal of all bytes but its own."""
    made = hmac.new(key.encode(), digestmod=hashlib.sha256)
    file.seek(0)
    left = size - _DIGITS
    while left > 0 and (chunk := file.read(min(_CHUNK, left))):
        go_on()
        made.update(chunk)
        left -= len(chunk)
    return made.hexdigest()


def _digest(path: Path) -> str:
    made = hashlib.sha256()
    for chunk in _chunks_of(path):
        made.update(chunk)
    return made.hexdigest()


# --- reading ---


@dataclass(frozen=True, slots=True)
class Container:
    """A file that passed the gate: what its manifest says. Its seal and its part are not looked at yet.

    `layout` is that of the register which it was made from: this version's, or an earlier one.
    """

    path: Path
    form: Form
    pack: FieldPack
    digest: str
    layout: str

    def check_seal(self, key: str) -> None:
        """Refuse a file of which any byte was changed since it was sealed with this key."""
        with _told(self.path), self.path.open("rb") as file:
            size = self.path.stat().st_size
            made = _seal_of(file, size, key)
            file.seek(-_DIGITS, 2)
            if not hmac.compare_digest(made.encode(), file.read()):
                raise _altered(self.path, self.form)

    def unpack(self, target: Path) -> None:
        """Unpack the one part to a file, never more than was declared; refused where it is not what it was."""
        made, left = hashlib.sha256(), LARGEST_UNPACKED
        with target.open("wb") as file:
            for chunk in self._chunks():
                left -= len(chunk)
                if left < 0:
                    raise _altered(self.path, self.form)
                made.update(chunk)
                file.write(chunk)
        if made.hexdigest() != self.digest:
            raise _altered(self.path, self.form)

    def _chunks(self) -> Iterator[bytes]:
        with _inside(self.path, self.form) as archive, archive.open(self.form.part) as part:
            while chunk := part.read(_CHUNK):
                go_on()
                yield chunk


def open_container(path: Path, form: Form) -> Container:
    """Look at a file without unpacking it. Refused, with the cause named, where it is not of this form."""
    _check_outside(path, form)
    with _inside(path, form) as archive:
        _check_entries(path, form, archive.infolist())
        with archive.open(MANIFEST) as part:
            text = part.read(LARGEST_MANIFEST)
    return _described(path, form, text)


def _check_outside(path: Path, form: Form) -> None:
    if path.is_dir():
        raise Refused(
            f"“{path.name}” is a folder, not a file of {form.words}. Choose the file that ends in {form.ending}."
        )
    with _told(path), path.open("rb") as file:
        size = path.stat().st_size
        if file.read(len(_ZIP)) != _ZIP:
            raise _other(path, form)
        if size > LARGEST_FILE:
            raise Refused(
                f"“{path.name}” has {size / 1e6:,.0f} MB; {form.words} has at most {LARGEST_FILE / 1e6:,.0f} MB. It was"
                " not opened."
            )
        file.seek(max(0, size - len(_SEAL) - _DIGITS))
        sealed = _SEALED.fullmatch(file.read()) is not None
        if not sealed and not _names_manifest(file):
            raise _other(path, form)
        if not sealed:
            raise Refused(f"“{path.name}” is cut off or was altered, so it was not opened. {form.again}")
        if _listed(file) > MOST_LISTED:
            raise _foreign_parts(path, form)


def _names_manifest(file: BinaryIO) -> bool:
    """Whether the file begins like one of ours."""
    file.seek(0)
    return MANIFEST.encode() in file.read(200)


def _listed(file: BinaryIO) -> int:
    """Count the names in the zip's directory in the raw bytes: a million of them would fill the memory when listed."""
    file.seek(0)
    count, tail = 0, b""
    while chunk := file.read(_CHUNK):
        count += (tail + chunk).count(_LISTED)
        tail = chunk[-len(_LISTED) + 1 :]
    return count


def _check_entries(path: Path, form: Form, entries: list[zipfile.ZipInfo]) -> None:
    names = [entry.filename for entry in entries]
    other = PACK if form is WORK else WORK
    if sorted(names) == sorted((MANIFEST, other.part)):
        raise Refused(f"“{path.name}” is {other.words}, not {form.words}. {_ELSEWHERE[other.what]}")
    if sorted(names) != sorted((MANIFEST, form.part)):
        raise _foreign_parts(path, form)
    if any(entry.flag_bits & _ENCRYPTED or entry.compress_type not in _PACKED_BY for entry in entries):
        raise _foreign_parts(path, form)
    unpacked = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    if unpacked > LARGEST_UNPACKED or (unpacked > SMALL_ENOUGH and unpacked > LARGEST_RATIO * packed):
        raise Refused(
            f"“{path.name}” would unpack to {unpacked / 1e6:,.0f} MB, which {form.words} never does. It was not opened."
        )


_ELSEWHERE: Final = {
    PACK.what: "Open it on the laptop, with “Open a field pack”.",
    WORK.what: "Merge it in the office, with “Merge field work”.",
}


def _described(path: Path, form: Form, text: bytes) -> Container:
    try:
        said: dict[str, Any] = json.loads(text)
        layout, digest = str(said["layout"]), str(said["parts"][form.part])
        newer = int(said["form"]) > FORM or layout > layouts.HEAD
        found = None if newer else Container(path, form, FieldPack.of(said["pack"]), digest, layout)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise _altered(path, form) from None
    if found is not None and layout not in {layouts.HEAD, *layouts.EARLIER}:
        raise _altered(path, form)
    if found is None:
        raise Refused(
            f"“{path.name}” was made by a newer version of this program. Update the program here and open it again."
        )
    return found


@contextmanager
def _inside(path: Path, form: Form) -> Iterator[zipfile.ZipFile]:
    try:
        with _told(path), zipfile.ZipFile(path) as archive:
            yield archive
    except _BAD_INSIDE:
        raise _altered(path, form) from None


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except FileNotFoundError:
        raise Unavailable(f"There is no file “{path.name}” in {path.parent}. Check the name and the drive.") from None
    except OSError as error:
        if error.errno == errno.EINVAL:  # a place inside the file that the file names and can't have
            raise zipfile.BadZipFile(path.name) from error
        raise Unavailable(f"“{path.name}” can't be read: {error.strerror}. Check the drive and try again.") from error


def _other(path: Path, form: Form) -> Refused:
    return Refused(f"“{path.name}” is not {form.words} of this program. Choose the file that ends in {form.ending}.")


def _foreign_parts(path: Path, form: Form) -> Refused:
    return Refused(f"“{path.name}” holds parts that {form.words} never has. It was not opened. {form.again}")


def _altered(path: Path, form: Form) -> Refused:
    return Refused(f"“{path.name}” was altered or damaged since it was made, so nothing of it was used. {form.again}")

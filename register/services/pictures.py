"""Whether bytes are a real picture, and the picture alone: without the place, camera and words that came with it.

The file's own structure is walked from end to end; nothing is decoded, so a hostile file costs no more than its size.
"""

import re
import zlib
from dataclasses import dataclass
from typing import Final

from register.errors import Refused

JPEG: Final = "jpeg"
PNG: Final = "png"
LARGEST: Final = 1_000_000
"""So many bytes a kept picture has at most; the window makes larger ones smaller."""

MOST_PIXELS: Final = 12_000_000
"""So many pixels a kept picture has at most."""

_JPEG_BEGINS: Final = b"\xff\xd8\xff"
_PNG_BEGINS: Final = b"\x89PNG\r\n\x1a\n"
_END, _SCAN = 0xD9, 0xDA
_SIZES: Final = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
"""The markers behind which a JPEG's height and width stand."""

_WANTED: Final = frozenset(range(0xC0, 0xD0)) | {_SCAN, 0xDB, 0xDD}
_ADOBE: Final = 0xEE
"""What the colours mean stands behind this one; what stands behind others of its kind tells of the photographer."""

_NEXT: Final = re.compile(rb"\xff+[^\x00\xd0-\xd7\xff]", re.DOTALL)
_PNG_WANTED: Final = frozenset({b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB"})
_PNG_HEAD: Final = 13


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture: `form` is "jpeg" or "png", `content` its bytes without anything that is not picture."""

    form: str
    width: int
    height: int
    content: bytes


class _NoPictureError(Exception):
    """The bytes break off, or are not as a picture must be."""


def picture_of(content: bytes, *, largest: int = LARGEST, most_pixels: int = MOST_PIXELS) -> Picture:
    """Return the picture that bytes hold. Refused, with a sentence, where they hold none or too large a one."""
    if len(content) > largest:
        raise Refused(
            f"The photo has {len(content) / 1e6:.1f} MB; at most {largest / 1e6:.0f} MB is kept. Make it smaller, and"
            " give it again."
        )
    try:
        form, width, height, kept = _walked(content)
    except (_NoPictureError, IndexError):
        raise Refused(
            "The photo is no whole JPEG or PNG picture, so it was not taken. Choose another file, or take it again."
        ) from None
    if width * height > most_pixels:
        raise Refused(
            f"The photo has {width:,} × {height:,} pixels, more than {most_pixels / 1e6:.0f} million. Make it smaller,"
            " and give it again."
        )
    return Picture(form, width, height, kept)


def _walked(content: bytes) -> tuple[str, int, int, bytes]:
    if content.startswith(_JPEG_BEGINS):
        return JPEG, *_jpeg(content)
    if content.startswith(_PNG_BEGINS):
        return PNG, *_png(content)
    raise _NoPictureError


def _jpeg(content: bytes) -> tuple[int, int, bytes]:
    """Return width, height, and the segments that make the picture, up to its end."""
    width = height = 0
    kept, at, scanned = [content[:2]], 2, False
    while True:
        marker, at = _marker(content, at)
        if marker == _END:
            break
        length = int.from_bytes(content[at : at + 2], "big")
        segment = content[at : at + length]
        if length < len(b"LL") or len(segment) < length:
            raise _NoPictureError
        if marker in _SIZES:
            height, width = int.from_bytes(segment[3:5], "big"), int.from_bytes(segment[5:7], "big")
        at += length
        if marker in _WANTED or (marker == _ADOBE and segment[2:7] == b"Adobe"):
            kept.append(bytes((0xFF, marker)) + segment)
        if marker == _SCAN:
            ends = _scan_end(content, at)
            kept.append(content[at:ends])
            at, scanned = ends, True
    if not (scanned and width and height):
        raise _NoPictureError
    return width, height, b"".join([*kept, bytes((0xFF, _END))])


def _marker(content: bytes, at: int) -> tuple[int, int]:
    """Return the marker at a place, and where what belongs to it begins."""
    if content[at] != 0xFF:  # noqa: PLR2004 - what every marker begins with
        raise _NoPictureError
    while content[at] == 0xFF:  # noqa: PLR2004 - fill
        at += 1
    return content[at], at + 1


def _scan_end(content: bytes, at: int) -> int:
    found = _NEXT.search(content, at)
    if found is None:
        raise _NoPictureError
    return found.start()


def _png(content: bytes) -> tuple[int, int, bytes]:
    """Return width, height, and the chunks that make the picture, each found whole by its sum."""
    kept, at, seen = [_PNG_BEGINS], len(_PNG_BEGINS), set[bytes]()
    width = height = 0
    while b"IEND" not in seen:
        length = int.from_bytes(content[at : at + 4], "big")
        whole = content[at : at + 12 + length]
        name, said = whole[4:8], whole[8:-4]
        if len(whole) < 12 + length or zlib.crc32(name + said) != int.from_bytes(whole[-4:], "big"):
            raise _NoPictureError
        if not seen:
            if name != b"IHDR" or length != _PNG_HEAD:
                raise _NoPictureError
            width, height = int.from_bytes(said[:4], "big"), int.from_bytes(said[4:8], "big")
        seen.add(name)
        at += len(whole)
        if name in _PNG_WANTED:
            kept.append(whole)
    if not (width and height and b"IDAT" in seen):
        raise _NoPictureError
    return width, height, b"".join(kept)

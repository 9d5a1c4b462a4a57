"""Pictures for tests, made byte by byte or by Qt, without a file from anywhere."""

import struct
import zlib

from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QColor, QImage

PLACE = b"GPS 35.1 S 138.5 E"


def png(width: int = 8, height: int = 6, extra: bytes = b"") -> bytes:
    """Return a grey PNG; `extra` becomes a chunk of words."""
    rows = b"".join(b"\0" + bytes([128]) * width for _ in range(height))
    chunks = [
        (b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)),
        *([(b"tEXt", b"Comment\0" + extra)] if extra else []),
        (b"IDAT", zlib.compress(rows)),
        (b"IEND", b""),
    ]
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(name, data) for name, data in chunks)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def jpeg(width: int = 40, height: int = 30, colour: str = "#8a5a2b") -> bytes:
    """Return a JPEG of one colour."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(colour))
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "JPEG")  # type: ignore[call-overload]
    return bytes(held.data())


def with_place(content: bytes) -> bytes:
    """Return a JPEG that says where it was taken, before and behind the picture."""
    said = b"Exif\0\0" + PLACE
    return content[:2] + b"\xff\xe1" + struct.pack(">H", len(said) + 2) + said + content[2:] + PLACE

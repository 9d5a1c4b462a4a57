"""What sort of drive a register lies on, and why some are no place for it: shares of a network, folders kept in step.

SQLite relies on locks and on writes that reach the disk in their order. Over a network both may fail without a word
(https://www.sqlite.org/useovernet.html), and what keeps a folder in step with another place copies files while they
are written (https://www.sqlite.org/howtocorrupt.html). On a share a register is only looked at unless somebody says
otherwise (`on_share.py`); of the other places the user is warned.
"""

import ctypes
import os
import re
from pathlib import Path, PurePath
from typing import Any, Final

MOUNTS: Final = Path("/proc/self/mountinfo")
NETWORK: Final = frozenset({
    "afs", "beegfs", "ceph", "cifs", "coda", "davfs", "fuse.sshfs", "glusterfs", "gpfs", "lustre", "ncpfs", "nfs",
    "nfs4", "ocfs2", "orangefs", "smb3", "smbfs",
})  # fmt: skip
"""The names under which Linux mounts what lies on another computer (common practice, from memory)."""

OF_THE_HOST: Final = frozenset({"9p", "vboxsf", "virtiofs", "vmhgfs"})
"""The names under which Linux mounts what the computer lends on which a virtual one runs (from memory)."""

ON_THIS_DISK: Final = frozenset({
    "fuse.bindfs", "fuse.cryfs", "fuse.encfs", "fuse.exfat", "fuse.gocryptfs", "fuse.mergerfs", "fuse.ntfs-3g",
    "fuse.unionfs", "fuse.veracrypt",
})  # fmt: skip
"""Drives that a program makes of a local disk; any other one that a program makes may lead anywhere."""

REMOTE: Final = 4
"""What Windows' GetDriveType answers for a drive of the network (fileapi.h)."""

_OCTAL: Final = re.compile(r"\\([0-7]{3})")
_BASIC: Final = 0
_ROOM: Final = 1024

SHARE: Final = (
    "{name} lies on a network drive, where a change can be lost or spoil the file when the connection drops. Use it"
    " from one computer at a time, or move it to a disk of this one and let copies go to the network."
)
LENT: Final = (
    "{name} lies in a folder that the computer lends which this virtual one runs on, where one of them may not see that"
    " the other is changing the file. Use it from one of the two at a time."
)
IN_STEP: Final = (
    "{name} lies in a folder that a program keeps in step with another place, which can spoil the file while it is"
    " changed. Move it out of there, and let only copies go there."
)
TWO_OF_IT: Final = (
    "Beside {name} lies {other}: two computers changed the file, and each has what the other lacks. Move the register"
    " out of the folder that is kept in step, and ask for help before you delete either."
)


def warning(path: Path) -> str:
    """Return in words why a register is at risk where it lies; empty where nothing speaks against the place."""
    other = _conflict(path)
    if other:
        return TWO_OF_IT.format(name=path.name, other=other)
    return _place(path).format(name=path.name)


def is_share(path: Path) -> bool:
    """Whether a path lies on another computer, as far as this one tells."""
    try:
        return _place(Path(os.path.realpath(path))) is SHARE
    except ValueError:  # a character that no name can have
        return False


def is_said_of_share(said: str) -> bool:
    """Whether a warning is the one of a network drive."""
    return said.endswith(SHARE.removeprefix("{name}"))


def _place(path: Path) -> str:
    """Return what speaks against the place of a path; empty where nothing does, or nobody can tell."""
    try:
        return _on_windows(path, ctypes) if os.name == "nt" else _on_linux(path)
    except OSError:  # no such list or library here
        return ""


def _conflict(path: Path) -> str:
    """Return the name of a second version of the file, as programs that keep folders in step leave it beside."""
    try:
        names = sorted(each.name for each in path.parent.iterdir())
    except OSError:
        return ""
    own = path.stem.casefold()
    others = [each for each in names if each != path.name and each.casefold().startswith(own)]
    return next((each for each in others if "conflict" in each.casefold()), "")


def _on_linux(path: Path) -> str:
    """Look up the mount that a path lies on; the last one over a folder is the one that counts."""
    if not MOUNTS.exists():
        return ""
    best, kind = -1, ""
    for line in MOUNTS.read_text(encoding="utf-8", errors="surrogateescape").splitlines():
        before, _, after = line.partition(" - ")
        fields = before.split(" ")
        point = Path(_OCTAL.sub(lambda code: chr(int(code[1], 8)), fields[4]))
        if path.is_relative_to(point) and len(point.parts) >= best:
            best, kind = len(point.parts), after.split(" ")[0]
    if kind in NETWORK:
        return SHARE
    if kind in OF_THE_HOST:
        return LENT
    return IN_STEP if kind.startswith("fuse.") and kind not in ON_THIS_DISK else ""


def _on_windows(path: PurePath, c: Any) -> str:  # noqa: ANN401 - ctypes, or what stands for it in a test
    """Ask Windows for the sort of drive, and whether a program has said that it keeps the folder in step."""
    if path.drive.startswith("\\\\") or c.WinDLL("kernel32").GetDriveTypeW(f"{path.drive}\\") == REMOTE:
        return SHARE
    room, length = c.create_string_buffer(_ROOM), c.c_uint32()
    asked = c.WinDLL("cldapi").CfGetSyncRootInfoByPath(str(path), _BASIC, room, _ROOM, c.byref(length))
    return IN_STEP if asked == 0 else ""

"""Files that hold somebody's record: how they are written, and how much of one is read."""

import os
import stat
from collections.abc import Iterable
from pathlib import Path


def write_private(place: Path, *parts: bytes) -> None:
    """Write a file that nobody but its owner can read, also where one that others could read stood before.

    OSError, with nothing written, where the file is somebody else's.
    """
    _write(place, parts, 0)


def write_private_in(folder: Path, name: str, parts: Iterable[bytes]) -> Path:
    """Write such a file into a folder that others may write to, too, and return it.

    A link of that name is replaced, not followed: it may lead anywhere.
    """
    place = folder / name
    place.parent.mkdir(parents=True, exist_ok=True)
    if place.is_symlink():
        place.unlink()
    _write(place, parts, getattr(os, "O_NOFOLLOW", 0))
    return place


def read_at_most(place: Path, most: int) -> bytes:
    """Return what a file holds, or its first `most` bytes and one more: a device or a pipe may never end."""
    with place.open("rb") as file:
        return file.read(most + 1)


def _write(place: Path, parts: Iterable[bytes], how: int) -> None:
    handle = os.open(place, os.O_WRONLY | os.O_CREAT | getattr(os, "O_BINARY", 0) | how, 0o600)
    with os.fdopen(handle, "wb") as file:
        if stat.S_ISREG(os.fstat(handle).st_mode):  # else a device or a pipe, such as /dev/stdout
            if os.name == "posix":
                os.fchmod(handle, 0o600)
            file.truncate(0)
        file.writelines(parts)

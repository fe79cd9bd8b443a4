"""The seal of a copy: a checksum over the whole file, so that one changed bit is found before it is used.

It stands in the four bytes that SQLite leaves to programs (`user_version`), so that it travels with the file;
whoever opens the file to write breaks it. An encrypted file needs none: each of its pages has its own.
"""

import zlib
from pathlib import Path

_PLACE = 60
_SIZE = 4
_BLOCK = 1 << 20
_PLAIN = b"SQLite format 3\0"
UNSEALED = 0


def seal(file: Path) -> None:
    """Seal a file that nobody has open."""
    if _is_plain(file):
        checksum = _checksum(file)
        with file.open("r+b") as opened:
            opened.seek(_PLACE)
            opened.write(checksum.to_bytes(_SIZE))


def is_broken(file: Path) -> bool:
    """Tell whether a file is not as it was when it was sealed; one that was never sealed is not broken.

    Nor is one that somebody has open, whose journal says what it holds.
    """
    journal = Path(f"{file}-wal")
    if not _is_plain(file) or (journal.exists() and journal.stat().st_size):
        return False
    with file.open("rb") as opened:
        opened.seek(_PLACE)
        sealed = int.from_bytes(opened.read(_SIZE))
    return sealed not in (UNSEALED, _checksum(file))


def _is_plain(file: Path) -> bool:
    with file.open("rb") as opened:
        return opened.read(len(_PLAIN)) == _PLAIN


def _checksum(file: Path) -> int:
    """Return a checksum of all but the place of the seal, which is never that of an unsealed file."""
    with file.open("rb") as opened:
        found = zlib.crc32(opened.read(_PLACE))
        opened.seek(_PLACE + _SIZE)
        while block := opened.read(_BLOCK):
            found = zlib.crc32(block, found)
    return found or 1

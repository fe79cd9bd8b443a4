"""What is inside a file: gzip and zip archives are opened, never beyond the limits of a readings file."""

import struct
import zipfile
import zlib
from io import BytesIO

from bot.model.errors import BadFile

MAX_BYTES = 20 * 1024 * 1024
"""Of a file as it is sent."""

MAX_INFLATED = 200 * 1024 * 1024
"""Of all that an archive holds, taken together."""

MAX_MEMBERS = 100
_MOST_TIMES, _TIMES_FROM = (
    200,
    10 * 1024 * 1024,
)  # packed text shrinks to a tenth or so; a bomb to a thousandth
_FIRST_PIECE = 512  # bytes
_DEEPEST = 2  # a packed file in an archive; no further
_ENCRYPTED = 0x1  # bit of a zip member's flags, by the format's own description (from memory)
_BROKEN = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, OSError, RuntimeError, ValueError)
"""What the standard library raises for damaged archives; RuntimeError also for ways of packing it lacks."""


def unpack(data: bytes, name: str) -> list[tuple[str, bytes]]:
    """Return the files in an archive with their names, or the file itself when it is none.

    A workbook, although a zip archive too, is left whole. BadFile when it is damaged, locked or too much.
    """
    if len(data) > MAX_BYTES:
        raise BadFile(f"{name} is larger than 20 MB; send a shorter span of days.")
    return _Opener(name, len(data)).open("", data, 0)


def open_zip(data: bytes, name: str) -> zipfile.ZipFile:
    """Open a zip archive whose list of members is within the limits; BadFile otherwise."""
    try:
        archive = zipfile.ZipFile(BytesIO(data))
        members = archive.infolist()
    except _BROKEN:
        raise BadFile(f"{name} is a damaged zip archive; send it again.") from None
    if len(members) > MAX_MEMBERS:
        raise BadFile(f"{name} holds {len(members):,} files; send at most {MAX_MEMBERS} at once.")
    if any(member.flag_bits & _ENCRYPTED for member in members):
        raise BadFile(f"{name} is locked with a password; send it without one.")
    _check_size(sum(member.file_size for member in members), len(data), name)
    return archive


def read_member(archive: zipfile.ZipFile, member: zipfile.ZipInfo, most: int, name: str) -> bytes:
    """Return a member's bytes; BadFile when it is damaged or turns out larger than `most`."""
    if member.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
        raise BadFile(f"{name} is packed in an unusual way; pack it again as a plain zip.")
    try:
        with archive.open(member) as file:
            data = file.read(most + 1)
    except _BROKEN:
        raise BadFile(f"{name} is a damaged zip archive; send it again.") from None
    if len(data) > most:
        raise _too_much(name)
    return data


class _Opener:
    """Opens what a file holds, counting what comes out."""

    def __init__(self, name: str, packed: int) -> None:
        self._name, self._packed = name, packed
        self._inflated = 0

    def open(self, label: str, data: bytes, depth: int) -> list[tuple[str, bytes]]:
        """Return the plain files in `data`; `label` is its name within what was sent."""
        packed = data.startswith(b"\x1f\x8b") or (data.startswith(b"PK\x03\x04") and not _is_document(data))
        if not packed:
            return [(label, data)]
        if depth == _DEEPEST:
            raise BadFile(f"{self._name} is an archive in an archive; send the readings themselves.")
        if data.startswith(b"\x1f\x8b"):
            return self.open(label, self._gunzip(data), depth + 1)
        found = []
        with open_zip(data, self._name) as archive:
            for member in archive.infolist():
                path = member.filename
                if member.is_dir() or path.startswith("__MACOSX") or path.rsplit("/", 1)[-1].startswith("."):
                    continue
                inner = read_member(archive, member, MAX_INFLATED - self._inflated, self._name)
                self._count(len(inner))
                found += self.open(path, inner, depth + 1)
        if not found:
            raise BadFile(f"{self._name} is an empty zip archive; put the readings in and send it again.")
        return found

    def _gunzip(self, data: bytes) -> bytes:
        parts: list[bytes] = []
        at = 0
        while data.startswith(b"\x1f\x8b", at):  # several packed files may follow each other
            at = self._gunzip_one(data, at, parts)
        return b"".join(parts)

    def _gunzip_one(self, data: bytes, at: int, parts: list[bytes]) -> int:
        """Unpack the packed file that begins at `at` and return where it ends.

        It is fed in pieces that grow, so that what lies behind it is not copied for each of many small ones.
        """
        opener, size = zlib.decompressobj(wbits=31), _FIRST_PIECE
        while not opener.eof:
            if at >= len(data):
                raise BadFile(f"{self._name} is a gzip archive that breaks off; send it again.")
            piece = data[at : at + size]
            try:
                parts.append(opener.decompress(piece, MAX_INFLATED - self._inflated + 1))
            except zlib.error:
                raise BadFile(f"{self._name} is a damaged gzip archive; send it again.") from None
            self._count(len(parts[-1]))
            at += len(piece) - len(opener.unused_data)
            size *= 2
        return at

    def _count(self, size: int) -> None:
        self._inflated += size
        _check_size(self._inflated, self._packed, self._name)


def _is_document(data: bytes) -> bool:
    return b"[Content_Types].xml" in data or data[30:38] == b"mimetype"


def _check_size(inflated: int, packed: int, name: str) -> None:
    if inflated > MAX_INFLATED or (inflated > _TIMES_FROM and inflated > _MOST_TIMES * packed):
        raise _too_much(name)


def _too_much(name: str) -> BadFile:
    return BadFile(f"{name} unpacks to far more than a file of readings; send a shorter span of days.")

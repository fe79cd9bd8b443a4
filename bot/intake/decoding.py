"""Bytes to text: what kind of file it is, and in which encoding its text is."""

import codecs
import re

from bot.intake.headings import glucose_score, time_score
from bot.model.errors import BadFile

# First bytes of common kinds of file, as their own formats define them (values from memory).
_KINDS = (
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"BM", "a picture"),
    (b"II*\x00", "a picture"),
    (b"MM\x00*", "a picture"),
    (b"%PDF", "a PDF"),
    (b"SQLite format 3\x00", "a database file"),
    (b"{\\rtf", "a formatted text document"),
    (b"7z\xbc\xaf\x27\x1c", "an archive other than zip"),
    (b"Rar!", "an archive other than zip"),
    (b"BZh", "an archive other than zip"),
    (b"\xfd7zXZ", "an archive other than zip"),
    (b"PK\x05\x06", "an empty zip archive"),
)
_OLE = b"\xd0\xcf\x11\xe0"  # the container of old office files, and of locked new ones
_LOCKED = "EncryptedPackage".encode("utf-16-le")
_ASK = "export the readings as CSV text and send that"
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1a\x1c-\x1f\x7f]")
_JSON = re.compile(r"\{|\[\s*(?:[\[{\"\d\]]|$)")
# Where a file is not UTF-8: the encodings of Western and Central Europe, Cyrillic, Greek, Turkish and of East
# Asia. Digits are the same in all; the one in which its headings mean something is taken.
_LEGACY = (
    "cp1252",
    "cp1250",
    "cp1251",
    "cp1253",
    "cp1254",
    "koi8-r",
    "cp437",
    "shift_jis",
    "gb18030",
    "big5",
    "cp949",
)
_HEAD_BYTES, _HEAD_LINES = 8_000, 40
_CELLS = re.compile(r"[\t;,|]")


def decode(data: bytes, name: str) -> str:
    """Return the text of `data`; a file that is not text raises BadFile saying what it is instead."""
    if not data.strip(b"\x00 \t\r\n"):
        raise BadFile(f"{name} is empty; {_ASK}.")
    if data.startswith(_OLE) and _LOCKED in data:
        raise BadFile(f"{name} is locked with a password; send it without one.")
    kind = _kind_of(data)
    if kind:
        raise BadFile(f"{name} is {kind}; {_ASK}.")
    text = _to_text(data)
    if text is None or len(_CONTROLS.findall(text[:20_000])) > len(text[:20_000]) / 100:
        raise BadFile(f"{name} is not a text file; {_ASK}.")
    text = text.removeprefix("\ufeff")
    start = text.lstrip()[:200].lower()
    for opening, kind in (("<!doctype html", "a web page"), ("<html", "a web page")):
        if start.startswith(opening):
            raise BadFile(f"{name} is {kind}, not a table of readings; {_ASK}.")
    if re.match(r"<[?!a-z]", start):
        raise BadFile(f"{name} is an XML file, not a table of readings; {_ASK}.")
    return text


def is_json(text: str) -> bool:
    """Say whether a text opens as JSON does."""
    return _JSON.match(text.lstrip()[:200]) is not None


def _kind_of(data: bytes) -> str:
    if data.startswith(_OLE):
        return "an old Excel or Word file"
    if (data.startswith(b"RIFF") and data[8:12] == b"WEBP") or data[4:8] == b"ftyp":
        return "a picture or a film"
    if data[257:262] == b"ustar":
        return "an archive other than zip"
    binary = b"\x00" in data[:4096] or not data[:2].isalpha()
    return next((kind for magic, kind in _KINDS if data.startswith(magic) and (binary or len(magic) > 2)), "")


def _to_text(data: bytes) -> str | None:
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF32_LE, "utf-32"),
        (codecs.BOM_UTF32_BE, "utf-32"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if data.startswith(mark):
            return _try(data, encoding)
    if b"\x00" in data:
        # Figures and separators in UTF-16 have a zero in every other byte, on one side only.
        head = data[:4096]
        pairs = len(head) // 2
        odd, even = head[1::2].count(0), head[0::2].count(0)
        if pairs and max(odd, even) > 0.4 * pairs and min(odd, even) < 0.05 * pairs:
            return _try(data, "utf-16-le" if odd > even else "utf-16-be")
        return None
    text = _try(data, "utf-8")
    if text is not None:
        return text
    head = data[:_HEAD_BYTES]
    best = max(_LEGACY, key=lambda encoding: _count_headings(head, encoding))  # of equals the first
    return data.decode(best, errors="replace")


def _count_headings(head: bytes, encoding: str) -> int:
    """Return how many cells near the start speak of time or glucose when read in an encoding."""
    lines = head.decode(encoding, errors="replace").splitlines()[:_HEAD_LINES]
    cells = {
        cell for line in lines for cell in _CELLS.split(line)[:60] if len(cell) <= 60 and not cell.isascii()
    }
    return sum((time_score(cell) > 0) + (glucose_score(cell) > 1) for cell in cells)


def _try(data: bytes, encoding: str) -> str | None:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return None

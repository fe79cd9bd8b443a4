"""Bytes to text: what kind of file it is, and in which encoding its text is."""

import codecs
import re

from bot.errors import BadFile

MAX_BYTES = 20 * 1024 * 1024

# First bytes of common kinds of file, as their own formats define them (values from memory).
_KINDS = (
    (b"PK\x03\x04", "a zip archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"%PDF", "a PDF"),
    (b"\xd0\xcf\x11\xe0", "an old Excel or Word file"),
    (b"SQLite format 3\x00", "a database file"),
    (b"{\\rtf", "a formatted text document"),
)
_ASK = "export the readings as CSV text and send that"
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1a\x1c-\x1f\x7f]")


def decode(data: bytes, name: str) -> str:
    """Return the text of `data`; a file that is not text raises BadFile saying what it is instead."""
    if not data.strip(b"\x00 \t\r\n"):
        raise BadFile(f"{name} is empty; {_ASK}.")
    if len(data) > MAX_BYTES:
        raise BadFile(f"{name} is larger than 20 MB; send a shorter span of days.")
    kind = _kind_of(data)
    if kind:
        raise BadFile(f"{name} is {kind}; {_ASK}.")
    text = _to_text(data)
    if text is None or len(_CONTROLS.findall(text[:20_000])) > len(text[:20_000]) / 100:
        raise BadFile(f"{name} is not a text file; {_ASK}.")
    start = text.lstrip()[:200].lower()
    for opening, kind in (("<!doctype html", "a web page"), ("<html", "a web page"), ("<", "an XML file")):
        if start.startswith(opening):
            raise BadFile(f"{name} is {kind}, not a table of readings; {_ASK}.")
    if re.match(r"\{|\[\s*[\[{\"\d]", start):
        raise BadFile(f"{name} is a JSON file; {_ASK}.")
    return text


def _kind_of(data: bytes) -> str:
    if data.startswith(b"PK\x03\x04") and b"xl/" in data:
        return "an Excel workbook"
    if (data.startswith(b"RIFF") and data[8:12] == b"WEBP") or data[4:8] == b"ftyp":
        return "a picture or a film"
    return next((kind for magic, kind in _KINDS if data.startswith(magic)), "")


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
        # Text of Western letters in UTF-16 has a zero in every other byte; a binary file does not.
        head = data[:4096]
        pairs = len(head) // 2
        for zeros, encoding in ((head[1::2], "utf-16-le"), (head[0::2], "utf-16-be")):
            if pairs and zeros.count(0) > 0.8 * pairs:
                return _try(data, encoding)
        return None
    for encoding in ("utf-8", "cp1252", "latin-1"):
        text = _try(data, encoding)
        if text is not None:
            return text
    return None


def _try(data: bytes, encoding: str) -> str | None:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return None

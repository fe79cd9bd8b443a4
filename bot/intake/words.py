"""Words as they are compared: small letters, no accents, whatever the language."""

import re
import unicodedata
from collections.abc import Iterable, Sequence

_LETTERS = str.maketrans(
    {"ł": "l", "ø": "o", "æ": "ae", "œ": "oe", "ß": "ss", "đ": "d", "ð": "d", "ı": "i", "ς": "σ"}
)
_CAMEL = re.compile(r"([a-z])([A-Z])")
_WORD = re.compile(r"[^\W\d_]+")
_STRIP = " \t\"'\u00a0\u202f\ufeff"
_HALVES = (
    (re.compile(r"上午|午前|오전|π\.?\s?μ\.?|(?<!\w)öö(?!\w)", re.IGNORECASE), "am"),
    (re.compile(r"下午|午後|오후|μ\.?\s?μ\.?|(?<!\w)ös(?!\w)", re.IGNORECASE), "pm"),
)
_COUNTERS = (  # the marks after year, month, day, hour, minute and second in Chinese, Japanese and Korean
    (re.compile(r"(\d)\s*[年月년월]\s*"), r"\1-"),
    (re.compile(r"(\d)\s*[日일]\s*"), r"\1 "),
    (re.compile(r"(\d)\s*[時时点點시]\s*(?=\d)"), r"\1:"),
    (re.compile(r"(\d)\s*[分분]\s*(?=\d)"), r"\1:"),
    (re.compile(r"(\d)\s*[分秒분초]"), r"\1"),
    (re.compile(r"\s*\([^()\d]{1,4}\)\s*"), " "),  # a weekday after the date
)


def fold(text: str) -> str:
    """Return a text in small letters without accents; camelCase is parted into words."""
    bare = unicodedata.normalize("NFKD", text)
    plain = "".join(c for c in bare if not unicodedata.combining(c))
    return _CAMEL.sub(r"\1 \2", plain).lower().translate(_LETTERS)


def clean(cell: str) -> str:
    """Return a cell without blanks and quotes around it, and times in other scripts as they are usual."""
    if cell.startswith('="'):  # a text that a spreadsheet was told to leave alone
        cell = cell[1:]
    cell = cell.strip(_STRIP)
    return cell if cell.isascii() or len(cell) > 80 else _to_plain(cell)


def clean_all(cells: Sequence[str | None]) -> list[str]:
    """Return cells cleaned, those that are missing as empty ones."""
    plain = [cell or "" for cell in cells]
    text = "".join(plain)
    if text.isascii() and '="' not in text:
        return [cell.strip(_STRIP) for cell in plain]
    return [clean(cell) for cell in plain]


def _to_plain(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text).replace("\u2212", "-")
    if not any(mark.isdigit() for mark in plain):
        return plain
    for pattern, half in _HALVES:
        if pattern.search(plain):
            plain = f"{pattern.sub(' ', plain, count=1)} {half}"
            break
    for pattern, usual in _COUNTERS:
        plain = pattern.sub(usual, plain)
    return " ".join(plain.split())


def words_of(text: str) -> list[str]:
    """Return the folded words of a text; numbers and marks part them."""
    return _WORD.findall(fold(text))


def folded(texts: Iterable[str]) -> frozenset[str]:
    """Return words to compare with, each folded."""
    return frozenset(fold(text) for line in texts for text in line.split())

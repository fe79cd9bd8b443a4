"""Clock times as files write them, with the offset from UTC where one is stated."""

import re
from collections.abc import Mapping

SECOND = 1_000_000  # in µs, the unit of all times here
DAY = 86_400 * SECOND
MOST_HOURS_OFF = 14  # Kiribati; the farthest of all zones
Clock = tuple[int, int | None]  # since midnight; offset from UTC, None where none is stated

_OFFSET = r"([+-])(\d{1,2}):?(\d{2})?"
_CLOCK = re.compile(
    r"(\d{1,2})(?:[:.h](\d{1,2})(?:[:.](\d{2})(?:[.,](\d{1,9}))?)?)?"
    r"\s*(?:([ap])(?:\.?\s?m)?\.?(?![a-z])|uhr|h)?"
    rf"\s*([a-z]{{1,5}})?\.?\s*(?:{_OFFSET})?(?:\[[\w/]+\])?",
    re.IGNORECASE,
)
_COMPACT = re.compile(rf"(\d{{2}})(\d{{2}})(\d{{2}})?(?:[.,](\d{{1,9}}))?()(z)?(?:{_OFFSET})?", re.IGNORECASE)
_UTC_NAMES = {"z", "utc", "gmt"}
# Before and after noon in German, Dutch, Swedish and Norwegian, Hungarian, Finnish, Czech (from memory).
_BEFORE_NOON, _AFTER_NOON = {"vorm", "vm", "fm", "de", "ap", "dop"}, {"nachm", "nm", "em", "du", "ip", "odp"}
HALVES = _BEFORE_NOON | _AFTER_NOON | {"am", "pm"}
_AT = re.compile(r"(?:klo?|um|at|o)\.?\s+(?=\d)", re.IGNORECASE)  # "at" before a clock time
_HALF_FIRST = re.compile(rf"({'|'.join(sorted(HALVES))})\.?\s*(\d.*)", re.IGNORECASE)


def read_clock(text: str, zone_names: Mapping[str, int] | None = None) -> Clock | None:
    """Return a clock time in µs, None when `text` is none.

    zone_names: the letters that may stand for an offset (such as CET), in capitals, with that offset; without
    them any letters pass and state nothing
    """
    text = text.strip()
    if text[:1].isalpha():
        text = _HALF_FIRST.sub(r"\2 \1", _AT.sub("", text))
    found = _CLOCK.fullmatch(text)
    if found is None or not (found[2] or found[5]):
        found = _COMPACT.fullmatch(text)
    if found is None:
        return None
    hour, minute, second = int(found[1]), int(found[2] or 0), int(found[3] or 0)
    letters = (found[6] or "").lower()
    half = (found[5] or "").lower()
    if letters in _BEFORE_NOON or letters in _AFTER_NOON:
        half, letters = ("a" if letters in _BEFORE_NOON else "p"), ""
    if half and hour <= 12:
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 24 or minute > 59 or second > 60 or (hour == 24 and minute + second):
        return None
    since_midnight = ((hour * 60 + minute) * 60 + second) * SECOND + int((found[4] or "0")[:6].ljust(6, "0"))
    if found[7]:
        if int(found[8]) > MOST_HOURS_OFF or int(found[9] or 0) > 59:
            return None
        offset = (int(found[8]) * 60 + int(found[9] or 0)) * 60 * SECOND
        return since_midnight, -offset if found[7] == "-" else offset
    if letters in _UTC_NAMES:
        return since_midnight, 0
    if letters and zone_names is not None:
        known = zone_names.get(letters.upper())
        return None if known is None else (since_midnight, known)
    return since_midnight, None

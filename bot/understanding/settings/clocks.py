"""Clock times, spans of them, lengths and days of the week in what somebody says of their habits. Pure."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from bot.understanding.pieces.numerals import NUMBER_WORDS

DAY_MIN = 24 * 60
_HOURS = {word: int(n) for word, n in NUMBER_WORDS.items() if 1 <= n <= 12 and word.isascii()}
_HOUR = rf"\d{{1,2}}|{'|'.join(_HOURS)}|noon|midday|midnight"
_CLOCK = re.compile(
    rf"(?P<link>\b(?:from|at|to|till|til|until|by|before|after|past|between|and|about|around|is|in|up|hours)\s+|-\s*|–\s*|[:,]\s+|^)?"
    rf"(?P<part>half past|half|quarter past"
    rf"|quarter to)?\s*\b(?P<hour>{_HOUR})(?:(?P<mark>[:.h])(?P<minute>\d\d))?h?(?![\d:])"
    r"\s*(?P<half>a\.?m\b\.?|p\.?m\b\.?|in the morning|in the afternoon|in the evening|at night|o'?clock)?"
    r"(?P<unit>\s*(?:mg|g|ml|mcg|units?|tablets?|pills?|hours?|hrs?|h\b|min\w*|days?|weeks?|months?|years?|times|%|km|miles?|yo)\b|\s*%)?"
    r"(?P<joins>\s*(?:-|–|to\b|till?\b|until\b))?",
    re.IGNORECASE,
)
_LENGTH = re.compile(
    rf"\b(?P<n>half an|half a|\d{{1,4}}(?:[.,]\d)?|an?"
    rf"|{'|'.join(w for w in NUMBER_WORDS if w.isascii())})\s*-?"
    r"(?P<and_half>\s*and a half)?\s*(?P<unit>hours?|hrs?|h\b|min(?:ute)?s?|days?"
    r"|weeks?)(?P<half>\s*and a half)?",
    re.IGNORECASE,
)
MINUTES = {"h": 60.0, "m": 1.0, "d": 24 * 60.0, "w": 7 * 24 * 60.0}
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_DAY = re.compile(
    r"\b(mon|tue|wed|thu|fri|sat|sun)(?:s|day|days|sday|sdays|nesday|nesdays|rsday|rsdays|urday|urdays|r|rs|ds)?\b"
)
_DAY_SETS = {
    "weekdays": "mon-fri", "weekday": "mon-fri", "workdays": "mon-fri", "work days": "mon-fri",
    "weekends": "sat,sun", "weekend": "sat,sun",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock time as said; loose: it may be morning or evening; joined: "till" or the like is behind it."""

    minute: int
    loose: bool
    joined: bool
    start: int


def clocks_in(text: str) -> list[Clock]:
    """Return the clock times of a text in order; amounts and lengths are none."""
    return list(_clocks(text.lower()))


def _clocks(text: str) -> Iterator[Clock]:
    joined = False
    for found in _CLOCK.finditer(text):
        said, sure = found["hour"], found["mark"] or found["part"] or found["half"]
        if found["unit"] or not (
            sure or found["link"] or joined or found["joins"] or said in ("noon", "midday", "midnight")
        ):
            joined = False
            continue
        hour = {"noon": 12, "midday": 12, "midnight": 0}.get(said, _HOURS.get(said, -1))
        hour = int(said) if hour < 0 else hour
        minute = int(found["minute"] or 0)
        if hour > 23 or minute > 59:
            joined = False
            continue
        part = found["part"] or ""
        shift = 30 if part.startswith("half") else 15 if part == "quarter past" else -15 if part else 0
        half = (found["half"] or "").replace(".", "")
        later = (
            half.startswith("p")
            or half in ("in the afternoon", "in the evening")
            or (half == "at night" and hour > 5)
        )
        if later and hour < 12:
            hour += 12
        if half == "am" and hour == 12:
            hour = 0
        padded = (found["mark"] == ":" and (hour > 12 or len(said) == 2)) or hour > 12 or found["mark"] == "h"
        named = said in ("noon", "midday", "midnight")
        loose = not (padded or named or (half and not half.startswith("o")))
        joined = bool(found["joins"])
        yield Clock((hour * 60 + minute + shift) % DAY_MIN, loose, joined, found.start())


def span_of(first: Clock, last: Clock, shortest: int, longest: int) -> tuple[int, int] | None:
    """Return a span in minutes of the day: of a sensible length where morning or evening was not said.

    Of those that are, the shortest is taken, and the one that begins as it was written; None where none is.
    """
    starts = [first.minute, *([(first.minute + 720) % DAY_MIN] if first.loose else [])]
    ends = [last.minute, *([(last.minute + 720) % DAY_MIN] if last.loose else [])]
    fits = [(a, b) for a in starts for b in ends if shortest <= ((b - a) % DAY_MIN) <= longest]
    return min(fits, key=lambda span: (span[1] - span[0]) % DAY_MIN, default=None)


def night_of(first: Clock, last: Clock) -> tuple[int, int] | None:
    """Return a span of sleep: of two that fit the one in the evening and at night."""
    spans = [span for a in _both(first) for b in _both(last) if (span := span_of(a, b, 180, 840)) is not None]
    return min(spans, key=lambda span: abs((span[0] - 22 * 60 + 720) % DAY_MIN - 720), default=None)


def _both(clock: Clock) -> list[Clock]:
    plain = Clock(clock.minute, False, clock.joined, clock.start)
    return (
        [plain, Clock((clock.minute + 720) % DAY_MIN, False, clock.joined, clock.start)]
        if clock.loose
        else [plain]
    )


def write(minute: int) -> str:
    """Return a minute of the day as a clock time: 17:30."""
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"


def lengths_in(text: str) -> list[tuple[float, int]]:
    """Return the lengths of time in a text in minutes, with where each begins: "an hour", "14 days"."""
    found = []
    for match in _LENGTH.finditer(text.lower()):
        said = match["n"].replace(",", ".")
        number = (
            0.5
            if said.startswith("half")
            else 1.0
            if said in ("a", "an")
            else NUMBER_WORDS.get(said) or float(said)
        )
        half = 0.5 if match["and_half"] or match["half"] else 0.0
        found.append(((number + half) * MINUTES[match["unit"][0]], match.start()))
    return found


def days_in(text: str) -> str:
    """Return the days of the week that a habit is kept on: "mon-fri", "tue,thu", "" where none are said."""
    text = text.lower()
    for words, days in _DAY_SETS.items():
        if re.search(rf"\b{words}\b", text):
            return days
    named = [
        match[1]
        for match in _DAY.finditer(text)
        if len(match[0]) > 3 or re.search(rf"\b(?:on|every|each|and) {match[0]}\b", text)
    ]
    if named:
        return ",".join(sorted(set(named), key=WEEKDAYS.index))
    return (
        "mon-sun"
        if re.search(r"\bdaily\b|\b(?:every|each|most) (?:day|morning|evening|night|afternoon)s?\b", text)
        else ""
    )

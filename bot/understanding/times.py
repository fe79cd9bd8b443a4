"""Times as people say them -> `Moment`: at 7:15, half past six, 20 min ago, yesterday 8pm, 23:00 to 6:30."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from bot.understanding.days import read_day
from bot.understanding.numerals import NUMBER_WORDS, read_and_part, read_number, read_share
from bot.understanding.pieces import Moment, Piece, SlotWord, word_at
from bot.understanding.slots import SLOT_WORDS
from bot.understanding.tokens import Token

_PREFIXES = frozenset({"at", "@", "by", "since", "from"})
# Before a bare number these may just as well mean an amount ("about 8 crackers").
_WEAK_PREFIXES = frozenset({"around", "about", "circa", "ca", "~", "approx", "approximately", "roughly"})
_MINUTES = frozenset({"min", "mins", "minute", "minutes", "m", "'"})
_HOURS = frozenset({"h", "hr", "hrs", "hour", "hours"})
_AGO = frozenset({"ago", "back", "earlier"})
_NAMED = {"noon": (12, 0), "midday": (12, 0), "midnight": (0, 0)}
_TO = frozenset({"to", "-", "till", "til", "until"})
_EATING = frozenset({"it", "that", "this", "eating", "meal", "food"})
MAX_AGO_MIN = 14 * 24 * 60.0

Clock = tuple[int, int, str, bool, bool, int]  # hour, minute, half, loose, padded, where it ends


def fold_times(pieces: Sequence[Piece]) -> list[Piece]:
    """Replace every time in `pieces` by one `Moment`; neighbours that complete each other become one."""
    folded: list[Piece] = []
    i = 0
    while i < len(pieces):
        found = _read_moment(pieces, i)
        if found is None:
            folded.append(pieces[i])
            i += 1
            continue
        moment, i = found
        before = folded[-1] if folded else None
        joined = _join(before, moment) if isinstance(before, Moment) else None
        if joined is None:
            folded.append(moment)
        else:
            folded[-1] = joined
    return folded


def _join(first: Moment, second: Moment) -> Moment | None:
    """Join a day (or part of it) and a clock time that stand side by side; None when they do not fit."""
    if first.side or second.side or first.after_min is not None or second.after_min is not None:
        return None
    if (first.has_clock and second.has_clock) or (first.has_day and second.has_day and first.has_clock):
        return None
    clock, other = (first, second) if first.has_clock else (second, first)
    return replace(
        clock,
        start=first.start,
        end=second.end,
        days=clock.days if clock.days is not None else other.days,
        weekday=clock.weekday if clock.weekday is not None else other.weekday,
        back=clock.back or other.back,
        on=clock.on or other.on,
        part=clock.part or other.part,
    )


def _read_moment(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    first = pieces[i]
    if not isinstance(first, Token):
        return None
    for read in (_read_stamp, _read_ago, _read_side, _read_span_or_clock, read_day):
        found = read(pieces, i)
        if found is not None:
            return found
    return None


def _read_stamp(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "2026-03-02 07:15", or a day by itself; with an offset it is a full instant."""
    k = i + 1 if word_at(pieces, i) in ("on", "at", "from") else i
    token = pieces[k] if k < len(pieces) else None
    if not isinstance(token, Token) or token.kind != "stamp":
        return None
    day = _date(token.text[:10])
    if day is None:
        return None
    moment = Moment(pieces[i].start, token.end, on=day)
    clock = _parts(token.text[11:].split("+")[0].rstrip("Z").split("-")[0])
    if len(token.text) > 10:
        if clock is None:
            return None
        has_offset = token.text[-1] == "Z" or re.search(r"[+-]\d\d:\d\d$", token.text[11:]) is not None
        stamp = token.text.replace(" ", "T") if has_offset else ""
        moment = replace(moment, hour=clock[0], minute=clock[1], padded=True, instant=stamp)
    elif (later := _read_clock(pieces, k + 1, prefixed=False)) is not None:
        moment = _with_clock(moment, later, pieces)
        return moment, later[-1]
    if word_at(pieces, k + 1) in _TO:
        end = _read_stamp(pieces, k + 2)
        if end is not None:
            return replace(moment, until=end[0], end=end[0].end), end[1]
    return moment, k + 1


def _date(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _parts(text: str) -> tuple[int, int] | None:
    numbers = re.fullmatch(r"(\d{1,2})[:.h](\d{2})(?::\d{2})?", text)
    if numbers is None:
        return None
    hour, minute = int(numbers[1]), int(numbers[2])
    return (hour, minute) if hour < 24 and minute < 60 else None


def read_length(pieces: Sequence[Piece], i: int) -> tuple[float, int] | None:
    """Read a length of time in minutes: 20 min, half an hour, an hour and a half, 1 h 20, a couple of hours."""
    j = i
    value = read_share(pieces, i)
    if value is None:
        value = read_number(pieces, i)
    if value is None and word_at(pieces, i) in ("a", "an"):
        value = (1.0, i + 1)
        if word_at(pieces, i + 1) == "couple":
            value = (2.0, i + 3 if word_at(pieces, i + 2) == "of" else i + 2)
    if value is None:
        return None
    number, j = value
    extra = read_and_part(pieces, j)
    if extra is not None:
        number, j = number + extra[0], extra[1]
    unit = word_at(pieces, j)
    if unit in _MINUTES:
        return number, j + 1
    if unit not in _HOURS:
        return None
    minutes, j = number * 60, j + 1
    extra = read_and_part(pieces, j)
    if extra is not None:
        return minutes + extra[0] * 60, extra[1]
    k = j + 1 if word_at(pieces, j) == "and" else j
    rest = read_number(pieces, k)
    if rest is not None and 0 < rest[0] < 60 and rest[0] == int(rest[0]) and number == int(number):
        if word_at(pieces, rest[1]) in _MINUTES:
            return minutes + rest[0], rest[1] + 1
        glued = pieces[k]
        if isinstance(glued, Token) and glued.glued:
            return minutes + rest[0], rest[1]
    return minutes, j


def _read_ago(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    start = pieces[i].start
    if word_at(pieces, i) in ("just", "right") and word_at(pieces, i + 1) == "now":
        return Moment(start, pieces[i + 1].end, ago_min=0.0), i + 2
    if word_at(pieces, i) == "now":
        return Moment(start, pieces[i].end, ago_min=0.0), i + 1
    j = i + 1 if word_at(pieces, i) in ("about", "around", "~") else i
    length = read_length(pieces, j)
    if length is None or word_at(pieces, length[1]) not in _AGO or not 0 <= length[0] <= MAX_AGO_MIN:
        return None
    return Moment(start, pieces[length[1]].end, ago_min=length[0]), length[1] + 1


def _read_side(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "at 45 min", "after 2 hours", "2h after lunch", "before breakfast", "after the meal"."""
    start, first = pieces[i].start, word_at(pieces, i)
    if first in ("at", "after", "+", "@"):
        length = read_length(pieces, i + 1)
        # "at 13h" is a clock time, "at 2h" is not; "after a 20 min walk" is no time at all.
        if length is not None and (first == "after" or length[0] <= 300):
            following = word_at(pieces, length[1])
            if not following.startswith(("walk", "run", "jog", "ride", "cycl", "bike", "swim", "stroll")):
                return Moment(start, pieces[length[1] - 1].end, after_min=length[0]), length[1]
    length = read_length(pieces, i)
    j = i if length is None else length[1]
    if word_at(pieces, j) not in ("after", "before"):
        return None
    named = _read_named_meal(pieces, j + 1)
    if named is None:
        return None
    slot, end = named
    side = word_at(pieces, j)
    moment = Moment(start, pieces[end - 1].end, side=side, side_slot=slot)
    if length is not None:
        moment = replace(moment, after_min=length[0] if side == "after" else -length[0])
    return moment, end


def _read_named_meal(pieces: Sequence[Piece], i: int) -> tuple[str, int] | None:
    j = i + 1 if word_at(pieces, i) in ("the", "my", "that", "this") else i
    piece = pieces[j] if j < len(pieces) else None
    if isinstance(piece, SlotWord):
        return piece.slot, j + 1
    word = word_at(pieces, j)
    if word in SLOT_WORDS:
        return SLOT_WORDS[word], j + 1
    if word in _EATING:
        return "", j + 1
    return ("", i + 1) if word_at(pieces, i) in _EATING else None


def _read_span_or_clock(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    j, prefixed, weak = i, False, False
    while word_at(pieces, j) in _PREFIXES or word_at(pieces, j) in _WEAK_PREFIXES:
        prefixed = prefixed or word_at(pieces, j) in _PREFIXES
        weak = True
        j += 1
    clock = _read_clock(pieces, j, prefixed=prefixed)
    if clock is None and weak and word_at(pieces, j + 1) in ("", ",", ";", ".", "\n"):
        clock = _read_clock(pieces, j, prefixed=True)
    if clock is None and _starts_span(pieces, j):
        clock = _read_clock(pieces, j, prefixed=True)
    if clock is None:
        return None
    moment = _with_clock(Moment(pieces[i].start, pieces[i].end), clock, pieces)
    k = clock[-1]
    # The end of a span may be a bare number ("11 to 7") only where the start is surely a time.
    if word_at(pieces, k) in _TO:
        until = _read_clock(pieces, k + 1, prefixed=True)
        if until is not None:
            end = _with_clock(Moment(pieces[k + 1].start, pieces[k + 1].end), until, pieces)
            return replace(moment, until=end, end=end.end), until[-1]
    return moment, k


def _starts_span(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether a bare number begins a span whose end is surely a time ("23-6:30", "2 to 2.30pm")."""
    return word_at(pieces, i + 1) in _TO and _read_clock(pieces, i + 2, prefixed=False) is not None


def _with_clock(moment: Moment, clock: Clock, pieces: Sequence[Piece]) -> Moment:
    hour, minute, half, loose, padded, end = clock
    return replace(
        moment, hour=hour, minute=minute, half=half, loose=loose, padded=padded, end=pieces[end - 1].end
    )


def _read_clock(pieces: Sequence[Piece], i: int, *, prefixed: bool) -> Clock | None:
    """Read a clock time at `i`; a bare number counts only when `prefixed` ("at 8")."""
    piece = pieces[i] if i < len(pieces) else None
    if not isinstance(piece, Token):
        return None
    if piece.text in _NAMED and word_at(pieces, i + 1) != "snack":
        return (*_NAMED[piece.text], "", False, True, i + 1)
    spoken = _read_spoken(pieces, i, prefixed=prefixed)
    if spoken is not None:
        return spoken
    if piece.kind == "clock":
        parts = _parts(piece.text)
        return None if parts is None else _close(pieces, i + 1, *parts, padded=piece.text[0] == "0")
    if piece.kind != "number":
        return None
    return _read_digits(piece, pieces, i, prefixed=prefixed)


def _read_digits(piece: Token, pieces: Sequence[Piece], i: int, *, prefixed: bool) -> Clock | None:
    following = word_at(pieces, i + 1)
    if re.fullmatch(r"\d{4}", piece.text):  # 0715
        parts = _parts(f"{piece.text[:2]}:{piece.text[2:]}")
        alone = following in ("", "h", "hrs") or not _is_unit(following)
        return _close(pieces, i + 1, *parts, padded=True) if parts is not None and alone else None
    if re.fullmatch(r"\d{1,2}\.\d{2}", piece.text):  # 7.15
        parts = _parts(piece.text)
        half = following in ("am", "pm")
        if parts is not None and (half or (prefixed and not _is_unit(following))):
            return _close(pieces, i + 1, *parts, padded=piece.text[0] == "0")
        return None
    if not re.fullmatch(r"\d{1,2}", piece.text) or piece.number > 24:
        return None
    hour = int(piece.number) % 24
    if following == "h":  # 7h30, 13h
        minute = pieces[i + 2] if i + 2 < len(pieces) else None
        if isinstance(minute, Token) and minute.glued and re.fullmatch(r"[0-5]\d", minute.text):
            return hour, int(minute.number), "", False, hour > 12, i + 3
        return (hour, 0, "", False, True, i + 2) if prefixed else None
    if following in ("am", "pm", "o'clock", "oclock", "ish"):
        return _close(pieces, i + 1, hour, 0, padded=False, bare=True)
    if prefixed and not _is_unit(following) and following not in ("/", "×", "-", "or"):
        return _close(pieces, i + 1, hour, 0, padded=False, bare=True)
    if prefixed and following == "-" and _is_span_end(pieces, i + 2):  # from 11-7
        return _close(pieces, i + 1, hour, 0, padded=False, bare=True)
    return None


def _is_span_end(pieces: Sequence[Piece], i: int) -> bool:
    piece = pieces[i] if i < len(pieces) else None
    return (
        isinstance(piece, Token)
        and piece.kind in ("number", "clock")
        and not _is_unit(word_at(pieces, i + 1))
    )


def _close(
    pieces: Sequence[Piece], end: int, hour: int, minute: int, *, padded: bool, bare: bool = False
) -> Clock:
    """Add what may follow a clock time: am, pm, o'clock, h, ish."""
    half = ""
    if word_at(pieces, end) in ("am", "pm"):
        half, end = word_at(pieces, end), end + 1
    elif word_at(pieces, end) in ("o'clock", "oclock", "h", "hrs", "ish", "uhr"):
        end += 1
        if word_at(pieces, end) in ("am", "pm"):
            half, end = word_at(pieces, end), end + 1
    return hour, minute, half, bare and not half and 0 < hour <= 12, padded, end


def _is_unit(word: str) -> bool:
    return word in _MINUTES or word in _HOURS or word in _NOT_AFTER_HOUR


_NOT_AFTER_HOUR = frozenset(
    "g gr gram grams kg ml dl cl l litre liter oz lb floz cup cups tbsp tbsps tsp tsps slice slices piece "
    "pieces km k miles steps mmol mmol/l mg/dl mg kcal calories kj days day weeks week times x".split()
)


def _read_spoken(pieces: Sequence[Piece], i: int, *, prefixed: bool) -> Clock | None:
    """Read "half past six", "quarter to 8", "ten past 7", "half six", "seven thirty", "seven o'clock"."""
    word = word_at(pieces, i)
    j = i + 1 if word == "a" and word_at(pieces, i + 1) == "quarter" else i
    minutes = {"half": (30.0, j + 1), "quarter": (15.0, j + 1)}.get(word_at(pieces, j)) or read_number(
        pieces, i
    )
    if minutes is None:
        return None
    number, j = minutes
    k = j + 1 if word_at(pieces, j) in ("min", "mins", "minutes") else j
    turn = word_at(pieces, k)
    if turn in ("past", "to") and 0 < number < 60 and number == int(number):
        hour = _hour_at(pieces, k + 1)
        if hour is not None and (turn == "past" or _says_time(pieces, i, prefixed)):
            total = (hour[0] * 60 + int(number if turn == "past" else -number)) % (24 * 60)
            return _close(pieces, hour[1], total // 60, total % 60, padded=False, bare=hour[0] <= 12)
    if word == "half" and prefixed and (hour := _hour_at(pieces, i + 1)) is not None:
        return _close(pieces, hour[1], hour[0], 30, padded=False, bare=True)
    if word in NUMBER_WORDS and 1 <= NUMBER_WORDS[word] <= 12:
        if word_at(pieces, i + 1) in ("o'clock", "oclock", "am", "pm"):
            return _close(pieces, i + 1, int(NUMBER_WORDS[word]), 0, padded=False, bare=True)
        after = read_number(pieces, i + 1)
        if prefixed and after is not None and after[0] in (10, 15, 20, 25, 30, 35, 40, 45, 50, 55):
            return _close(pieces, after[1], int(NUMBER_WORDS[word]), int(after[0]), padded=False, bare=True)
        if prefixed and not _is_unit(word_at(pieces, i + 1)):
            return _close(pieces, i + 1, int(NUMBER_WORDS[word]), 0, padded=False, bare=True)
    return None


def _says_time(pieces: Sequence[Piece], i: int, prefixed: bool) -> bool:
    """ "2 to 3 slices" is a range; "20 to 8", "quarter to 8" and "at 5 to 8" are times."""
    return (
        prefixed
        or word_at(pieces, i) in ("quarter", "a", "ten", "twenty")
        or word_at(pieces, i)
        in (
            "10",
            "20",
            "25",
        )
        and not _is_unit(word_at(pieces, i + 3))
    )


def _hour_at(pieces: Sequence[Piece], i: int) -> tuple[int, int] | None:
    number = read_number(pieces, i)
    if number is None or number[0] != int(number[0]) or not 1 <= number[0] <= 23:
        return None
    return int(number[0]), number[1]

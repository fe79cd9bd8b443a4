"""Times as people say them -> `Moment`: at 7:15, half past six, 20 min ago, yesterday 8pm, 23:00 to 6:30."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from bot.understanding.clocks import HOUR_WORDS, MINUTE_WORDS, Clock, clock_parts, read_clock
from bot.understanding.days import DAY_OPENERS, NO_YEAR, read_day
from bot.understanding.numerals import NUMBER_WORDS, read_and_part, read_number, read_share
from bot.understanding.pieces import Moment, Piece, SlotWord, word_at
from bot.understanding.slots import SLOT_WORDS
from bot.understanding.tokens import Token
from bot.understanding.wordlists import word_set

_PREFIXES = frozenset({"at", "@", "by", "since", "from", "um"})
# Before a bare number these may just as well mean an amount ("about 8 crackers").
_WEAK_PREFIXES = frozenset(
    {"around", "about", "bout", "abt", "circa", "ca", "~", "approx", "approximately", "roughly"}
)
_AGO = frozenset({"ago", "back", "earlier"})
_TO = frozenset({"to", "-", "till", "til", "until"})
_EATING = frozenset({"it", "that", "this", "eating", "meal", "food"})
_AFTER_WEAK = frozenset({"", ",", ";", ".", "\n", "a", "an", "i", "had", "we"})
# Words that a time may begin with; asking for them first makes long notes quick to read.
_OPENERS = (
    _PREFIXES
    | _WEAK_PREFIXES
    | DAY_OPENERS
    | frozenset(NUMBER_WORDS)
    | word_set("between just right now an one half quarter third couple after before noon midday midnight")
)
MAX_AGO_MIN = 14 * 24 * 60.0


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
        padded=clock.padded or (other.on is not None and other.on.year != NO_YEAR),
    )


def _read_moment(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    first = pieces[i]
    if not isinstance(first, Token) or (first.kind == "word" and first.text not in _OPENERS):
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
    clock = clock_parts(token.text[11:].split("+")[0].rstrip("Z").split("-")[0])
    if len(token.text) > 10:
        if clock is None:
            return None
        has_offset = token.text[-1] == "Z" or re.search(r"[+-]\d\d:\d\d$", token.text[11:]) is not None
        stamp = token.text.replace(" ", "T") if has_offset else ""
        moment = replace(moment, hour=clock[0], minute=clock[1], padded=True, instant=stamp)
    elif (later := read_clock(pieces, k + 1, prefixed=False)) is not None:
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


def read_length(pieces: Sequence[Piece], i: int) -> tuple[float, int] | None:
    """Read a length of time in minutes: 20 min, half an hour, an hour and a half, 1 h 20."""
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
    if unit in MINUTE_WORDS:
        return number, j + 1
    if unit not in HOUR_WORDS:
        return None
    minutes, j = number * 60, j + 1
    extra = read_and_part(pieces, j)
    if extra is not None:
        return minutes + extra[0] * 60, extra[1]
    k = j + 1 if word_at(pieces, j) == "and" else j
    rest = read_number(pieces, k)
    if rest is not None and 0 < rest[0] < 60 and rest[0] == int(rest[0]) and number == int(number):
        if word_at(pieces, rest[1]) in MINUTE_WORDS:
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
    if word_at(pieces, i) == "between":
        return _read_between(pieces, i)
    while j - i < 3 and (word_at(pieces, j) in _PREFIXES or word_at(pieces, j) in _WEAK_PREFIXES):
        prefixed = prefixed or word_at(pieces, j) in _PREFIXES
        weak = True
        j += 1
    clock = read_clock(pieces, j, prefixed=prefixed)
    if (
        clock is not None
        and word_at(pieces, j - 1) in ("from", "since", "by")
        and _counts_food(pieces, j, clock)
    ):
        return None
    if clock is None and weak and word_at(pieces, j + 1) in _AFTER_WEAK:
        clock = read_clock(pieces, j, prefixed=True)
    if clock is None and _starts_span(pieces, j):
        clock = read_clock(pieces, j, prefixed=True)
    if clock is None:
        return None
    moment = _with_clock(Moment(pieces[i].start, pieces[i].end), clock, pieces)
    k = clock[-1]
    # The end of a span may be a bare number ("11 to 7") only where the start is surely a time.
    if word_at(pieces, k) in _TO:
        until = read_clock(pieces, k + 1, prefixed=True)
        if until is not None:
            end = _with_clock(Moment(pieces[k + 1].start, pieces[k + 1].end), until, pieces)
            if moment.loose and end.half:  # "5-6pm"
                earlier = (moment.hour or 0) % 12 < (end.hour or 0) % 12
                half = end.half if earlier else {"am": "pm", "pm": "am"}[end.half]
                moment = replace(moment, half=half, loose=False)
            return replace(moment, until=end, end=end.end), until[-1]
    return moment, k


def _read_between(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "between 12 and 12:30" as its first time."""
    first = read_clock(pieces, i + 1, prefixed=True)
    if first is None or word_at(pieces, first[-1]) != "and":
        return None
    second = read_clock(pieces, first[-1] + 1, prefixed=True)
    if second is None:
        return None
    return _with_clock(Moment(pieces[i].start, pieces[i].end), first, pieces), second[-1]


def _counts_food(pieces: Sequence[Piece], i: int, clock: Clock) -> bool:
    """Tell whether a bare number after "from" counts foods ("from 3 eggs")."""
    end = clock[-1]
    following = pieces[end] if end < len(pieces) else None
    bare = end == i + 1 and clock[3]
    return bare and isinstance(following, Token) and following.kind == "word" and following.text not in _TO


def _starts_span(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether a bare number begins a span whose end is surely a time ("23-6:30", "2 to 2.30pm")."""
    return word_at(pieces, i + 1) in _TO and read_clock(pieces, i + 2, prefixed=False) is not None


def _with_clock(moment: Moment, clock: Clock, pieces: Sequence[Piece]) -> Moment:
    hour, minute, half, loose, padded, end = clock
    return replace(
        moment, hour=hour, minute=minute, half=half, loose=loose, padded=padded, end=pieces[end - 1].end
    )

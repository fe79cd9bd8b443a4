"""Times as people say them -> `Moment`: at 7:15, half past six, 20 min ago, yesterday 8pm, 23:00 to 6:30."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

from bot.understanding.pieces.beside_times import read_during, read_side
from bot.understanding.pieces.clocks import Clock, clock_parts, read_clock, with_clock
from bot.understanding.pieces.days import DAY_OPENERS, NO_YEAR, read_counted_day, read_day
from bot.understanding.pieces.hours import is_likely_hour
from bot.understanding.pieces.lengths import read_length
from bot.understanding.pieces.numerals import NUMBER_WORDS, SHARE_OPENERS
from bot.understanding.pieces.pieces import Moment, Piece, with_end_part, word_at
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import MOVEMENT_WORDS
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token
from bot.understanding.words.wordlists import word_set

_TO = TAGS.until_times | {"to", "-"}
_DOTTED = re.compile(r"\d{1,2}\.[0-5][05]|[1-9][0-5][05]")
MOST_GRAMS = 400
"""A number of three digits behind "about" is rather the weight of a food than an hour without a colon."""
MAX_AGO_MIN = 14 * 24 * 60.0


def fold_times(pieces: Sequence[Piece]) -> list[Piece]:
    """Replace every time in `pieces` by one `Moment`; neighbours that complete each other become one."""
    folded: list[Piece] = []
    i = 0
    while i < len(pieces):
        found = (
            None if _is_parted(pieces, i) else _read_moment(pieces, i) or _read_past_hour(pieces, i, folded)
        )
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


def _is_parted(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether "by 3" behind it says among how many food was shared."""
    return word_at(pieces, i) == "by" and any(
        word_at(pieces, k) in TAGS.parted for k in range(max(0, i - 5), i)
    )


def _join(first: Moment, second: Moment) -> Moment | None:
    """Join a day (or part of it) and a clock time that stand side by side; None when they do not fit."""
    if first.side or second.side or first.after_min is not None or second.after_min is not None:
        return None
    if (first.has_clock and second.has_clock) or (first.has_day and second.has_day and first.has_clock):
        return None
    clock, other = (first, second) if first.has_clock else (second, first)
    if clock is first and clock.until is not None and other.part:
        clock, other = with_end_part(clock, clock.until, other.part), replace(other, part="")
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
    if not isinstance(first, Token):
        return None
    named = first.kind in ("word", "mark")
    for read in _BY_WORD.get(first.text, ()) if named else _BY_KIND[first.kind]:
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


def _read_ago(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    start = pieces[i].start
    if word_at(pieces, i) in ("just", "right") and word_at(pieces, i + 1) == "now":
        return Moment(start, pieces[i + 1].end, ago_min=0.0), i + 2
    if word_at(pieces, i) in ("now", "rn"):
        if (
            word_at(pieces, i - 1) in ("well", "ok", "okay", "right", "so")
            and word_at(pieces, i + 1) in TAGS.after_past
        ):
            return None  # "well now, two eggs" begins a tale
        return Moment(start, pieces[i].end, ago_min=0.0), i + 1
    j = i + 1 if word_at(pieces, i) in TAGS.weak_prefixes | {"since"} else i
    length = read_length(pieces, j)
    if length is None or not 0 <= length[0] <= MAX_AGO_MIN:
        return None
    if word_at(pieces, length[1]) == "later":
        return Moment(start, pieces[length[1]].end, side="later", after_min=length[0]), length[1] + 1
    if word_at(pieces, length[1]) == "earlier" and word_at(pieces, length[1] + 1) in ("than", "at", "@"):
        return None
    if word_at(pieces, i) == "since":
        return Moment(start, pieces[length[1] - 1].end, ago_min=length[0]), length[1]
    if word_at(pieces, length[1]) not in TAGS.ago:
        return None
    return Moment(start, pieces[length[1]].end, ago_min=length[0]), length[1] + 1


def _read_now(pieces: Sequence[Piece], i: int) -> Moment | None:
    """Read "now" or "just now" behind "till"."""
    k = i + 1 if word_at(pieces, i) == "just" else i
    return Moment(pieces[i].start, pieces[k].end, ago_min=0.0) if word_at(pieces, k) == "now" else None


def _read_past_hour(pieces: Sequence[Piece], i: int, folded: Sequence[Piece]) -> tuple[Moment, int] | None:
    """Read "at half past": of the hour said before it, or of the hour that it is."""
    j = i + 1 if word_at(pieces, i) == "at" else i
    minute = {"half": 30, "quarter": 15}.get(word_at(pieces, j))
    if minute is None or word_at(pieces, j + 1) != "past":
        return None
    after = pieces[j + 2] if j + 2 < len(pieces) else None
    if after is not None and not (isinstance(after, Token) and after.text in TAGS.after_past):
        return None
    found = Moment(pieces[i].start, pieces[j + 1].end, minute=minute, of_hour=True)
    before = next((p for p in reversed(folded) if isinstance(p, Moment) and p.hour is not None), None)
    if before is not None:
        hour = (before.hour or 0) + (before.minute >= minute)
        found = replace(before, start=found.start, end=found.end, hour=hour % 24, minute=minute, until=None)
    return found, j + 2


def _read_span_or_clock(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    j, prefixed, weak = i, False, False
    if word_at(pieces, i) == "between":
        return _read_between(pieces, i)
    while j - i < 3 and word_at(pieces, j) in TAGS.prefixes | TAGS.weak_prefixes | (
        {"like"} if prefixed else set()
    ):
        prefixed = prefixed or word_at(pieces, j) in TAGS.prefixes
        weak = True
        j += 1
    if weak and not prefixed and _is_rather_grams(pieces, i, j):
        return None
    nearly = _read_nearly(pieces, i)
    if nearly and word_at(pieces, nearly + 1) in TAGS.after_weak:
        j, prefixed = nearly, True
    named = word_at(pieces, i - 1) in SLOT_WORDS and word_at(pieces, j + 1) in ("", ",", ";", ".", ":", "\n")
    named = named or is_likely_hour(pieces, j)
    clock = read_clock(pieces, j, prefixed=prefixed or named)
    if clock is not None and word_at(pieces, j - 1) == "from" and _counts_food(pieces, j, clock):
        return None
    if clock is not None and j > i and read_counted_day(pieces, j) is not None:
        return None  # "since 4 February"
    spoken = word_at(pieces, j) in NUMBER_WORDS and word_at(pieces, j + 1) == "and"
    spoken = spoken and word_at(pieces, j + 2) not in ("a", "half", "quarter")
    if clock is None and weak and (spoken or word_at(pieces, j + 1) in TAGS.after_weak):
        clock = read_clock(pieces, j, prefixed=True)
    if clock is None and (_is_dotted_hour(pieces, j) or _lists_times(pieces, j)):
        clock = read_clock(pieces, j, prefixed=True)
    if clock is None and _starts_span(pieces, j):
        hour = int(word_at(pieces, j)) if word_at(pieces, j).isdecimal() else 0
        bare = (hour, 0, "", True, False, j + 1) if 0 < hour <= 12 else None  # "gym 5 to 6" is not 5:55
        clock = bare or read_clock(pieces, j, prefixed=True)
    if clock is None:
        return None
    moment = with_clock(Moment(pieces[i].start, pieces[i].end), clock, pieces)
    k = clock[-1]
    # The end of a span may be a bare number ("11 to 7") only where the start is surely a time.
    part, behind = _part_before_end(pieces, k)
    if part:
        moment, k = replace(moment, half=part, loose=False), behind
    return _with_end(pieces, moment, k)


def _with_end(pieces: Sequence[Piece], moment: Moment, k: int) -> tuple[Moment, int]:
    """Read where a span that began with `moment` ends, and what stands behind it; at `k` "to" may stand."""
    if word_at(pieces, k) in TAGS.until_times and (now := _read_now(pieces, k + 1)):
        return replace(moment, until=now, end=now.end), k + 2 + (word_at(pieces, k + 1) == "just")
    about = word_at(pieces, k + 1) in TAGS.weak_prefixes  # "2:30 to about 3:15"
    until = read_clock(pieces, k + 1 + about, prefixed=True) if word_at(pieces, k) in _TO else None
    if until is None or _lists_food(pieces, k, until):
        return moment, k
    end = with_clock(Moment(pieces[k + 1].start, pieces[k + 1].end), until, pieces)
    if end.half and not (moment.half or moment.padded) and 1 <= (moment.hour or 0) <= 12:  # "5-6pm"
        earlier = ((moment.hour or 0) % 12, moment.minute) < ((end.hour or 0) % 12, end.minute)
        half = end.half if earlier else {"am": "pm", "pm": "am"}[end.half]
        moment = replace(moment, half=half, loose=False)
    return replace(moment, until=end, end=end.end), until[-1]


def _lists_food(pieces: Sequence[Piece], k: int, until: Clock) -> bool:
    """Tell whether what stands behind a dash is a count: "breakfast at 9 - 3 idli"."""
    behind = word_at(pieces, k + 2)
    bare = until[3] and until[-1] == k + 2 and word_at(pieces, k) == "-"
    spaced = bare and pieces[k].start > pieces[k - 1].end
    return spaced and behind.isalpha() and not (is_plain(behind) or behind in MOVEMENT_WORDS)


def _is_dotted_hour(pieces: Sequence[Piece], j: int) -> bool:
    """Tell whether "3.20" at the end of "ice cream in a cone, 3.20" is a time: meters show one decimal."""
    word, before = word_at(pieces, j), word_at(pieces, j - 2)
    dotted = "." in word and _DOTTED.fullmatch(word) is not None
    if not dotted or j + 1 < len(pieces) or word_at(pieces, j - 1) not in (",", ";"):
        return False
    return before.isalpha() and not is_plain(before) and before not in TAGS.of_glucose


def _is_rather_grams(pieces: Sequence[Piece], i: int, j: int) -> bool:
    """Tell "rice about 150" from "lunch about 150", "toast around 730" and "about 150 soup".

    i: where "about" stands; j: where the number does
    """
    number = pieces[j] if j < len(pieces) else None
    if not isinstance(number, Token) or number.kind != "number" or not number.text.isdecimal():
        return False
    before = i - 1 - (word_at(pieces, i - 1) == ",")
    behind = word_at(pieces, before) if before >= 0 else ""
    said_of = bool(behind) and not (behind in SLOT_WORDS or is_plain(behind) or behind in MOVEMENT_WORDS)
    ends = j + 1 == len(pieces) or word_at(pieces, j + 1) in TAGS.after_past
    counted = behind.endswith("s") and not (behind in SLOT_WORDS or is_plain(behind))
    several = counted and word_at(pieces, i) not in ("around", "round")
    if several and ends and 2 <= number.number < 100:
        return True  # "grapes abt 15"
    return 100 <= number.number < MOST_GRAMS and ends and (said_of or before < 0)


def _part_before_end(pieces: Sequence[Piece], k: int) -> tuple[str, int]:
    """Read "in the morning" of "8 in the morning to about 2": which half of the day, and where it ends."""
    j = k + (2 if (word_at(pieces, k), word_at(pieces, k + 1)) == ("in", "the") else 1)
    if word_at(pieces, j - 1) not in ("the", "this") or word_at(pieces, j + 1) not in _TO:
        return "", k
    half = {"morning": "am", "afternoon": "pm", "evening": "pm"}.get(word_at(pieces, j), "")
    return half, j + 1 if half else k


def _read_nearly(pieces: Sequence[Piece], i: int) -> int:
    """Return where the time of "just before 9" or "a bit after 7" begins, 0 for no such words."""
    j = i + 1 if word_at(pieces, i) == "a" else i
    nearly = word_at(pieces, j) in ("just", "bit", "little", "shortly", "soon")
    return j + 2 if nearly and word_at(pieces, j + 1) in ("before", "after") else 0


def _read_between(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "between 12 and 12:30" as a span."""
    first = read_clock(pieces, i + 1, prefixed=True)
    if first is None or word_at(pieces, first[-1]) != "and":
        return None
    second = read_clock(pieces, first[-1] + 1, prefixed=True)
    if second is None:
        return None
    end = with_clock(Moment(pieces[first[-1]].start, pieces[first[-1]].end), second, pieces)
    begin = with_clock(Moment(pieces[i].start, pieces[i].end), first, pieces)
    return replace(begin, until=end, end=end.end), second[-1]


def _counts_food(pieces: Sequence[Piece], i: int, clock: Clock) -> bool:
    """Tell whether a bare number after "from" counts foods ("from 3 eggs")."""
    end = clock[-1]
    following = pieces[end] if end < len(pieces) else None
    bare = end == i + 1 and clock[3]
    return (
        bare
        and isinstance(following, Token)
        and following.kind == "word"
        and following.text not in TAGS.not_counted
    )


def _starts_span(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether a number begins a span: its end is surely a time, or "till" stands between the two.

    "23-6:30", "2 to 2.30pm", "8.30 till 3"; numbers with a dot like times are times, too ("5.30 to 6.15").
    """
    word = word_at(pieces, i + 1)
    if word not in _TO:
        return False
    if word in TAGS.until_times and _read_now(pieces, i + 2):
        return True
    if read_clock(pieces, i + 2, prefixed=False) is not None:
        return True
    dotted = [_DOTTED.fullmatch(word_at(pieces, k)) is not None for k in (i, i + 2)]
    end = read_clock(pieces, i + 2, prefixed=True)
    if end is None:
        return False
    lasting = word_at(pieces, i - 1) in _LASTING
    in_day = word_at(pieces, end[-1]) in TAGS.day_words_times
    if any(dotted) and (lasting or in_day or _ends(pieces, end[-1])):
        return True
    hours = [int(word_at(pieces, k)) if word_at(pieces, k).isdecimal() else 0 for k in (i, i + 2)]
    behind = lasting and 0 < (hours[1] - hours[0]) % 12 <= _LONGEST_SPAN_H
    of_day = in_day and bool(hours[0])
    return (
        all(dotted)
        or word in TAGS.until_times
        or (all(0 < hour <= 12 for hour in hours) and (behind or of_day))
    )


def _lists_times(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether an hour and a time behind a comma are two times: "walked twice, 7 and 8:30"."""
    hour, last = word_at(pieces, i), word_at(pieces, i + 2)
    behind = word_at(pieces, i - 1) == "," and word_at(pieces, i + 1) in ("and", "&") and ":" in last
    return i > 1 and behind and hour.isdecimal() and 0 < int(hour) <= 12


_LASTING = MOVEMENT_WORDS | TAGS.lasting
_LONGEST_SPAN_H = 4  # "gym 5 to 6", but "walked 10 to 15"


def _ends(pieces: Sequence[Piece], i: int) -> bool:
    return i >= len(pieces) or word_at(pieces, i) in TAGS.after_past


_Reader = Callable[[Sequence[Piece], int], tuple[Moment, int] | None]
_COUNTS = frozenset(NUMBER_WORDS) | SHARE_OPENERS | {"an", "hour", "hr"}
# What each reader's times may begin with; asking for that first makes long notes quick to read.
_READERS: tuple[tuple[_Reader, frozenset[str], frozenset[str]], ...] = (
    (_read_stamp, frozenset({"stamp"}), frozenset({"on", "at", "from"})),
    (
        _read_ago,
        frozenset({"number"}),
        _COUNTS | TAGS.weak_prefixes | {"since", "just", "right", "now", "rn"},
    ),
    (read_side, frozenset({"number"}), _COUNTS | {"at", "@", "+", "after", "before"}),
    (read_during, frozenset(), frozenset({"during", "on"})),
    (
        _read_span_or_clock,
        frozenset({"number", "clock"}),
        _COUNTS
        | TAGS.prefixes
        | TAGS.weak_prefixes
        | word_set("between just bit little shortly soon noon midday midnight"),
    ),
    (read_counted_day, frozenset({"number"}), frozenset()),
    (read_day, frozenset(), DAY_OPENERS | frozenset(NUMBER_WORDS)),
)
_BY_KIND = {
    kind: tuple(read for read, kinds, _ in _READERS if kind in kinds) for kind in ("number", "clock", "stamp")
}
_BY_WORD = {
    word: tuple(read for read, _, words in _READERS if word in words)
    for word in frozenset().union(*(words for _, _, words in _READERS))
}

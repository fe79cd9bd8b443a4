"""Days and parts of days as people say them -> `Moment`: yesterday, on Tuesday, last night, 2 March."""

import re
from collections.abc import Sequence
from datetime import date

from bot.understanding.pieces.clocks import is_unit, read_clock
from bot.understanding.pieces.numerals import read_number
from bot.understanding.pieces.pieces import Moment, Piece, word_at, words_match
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_WEEKDAY = {name: n for n, name in enumerate(_WEEKDAYS)}
_WEEKDAY |= {f"{name}'s": n for n, name in enumerate(_WEEKDAYS)}
# Short forms only after "on" or "last": "sat" and "sun" are words of their own.
_SHORT_WEEKDAY = {name[:3]: n for n, name in enumerate(_WEEKDAYS)} | {"tues": 1, "weds": 2, "thurs": 3}
_SPRING = ("january", "february", "march", "april", "may", "june")
MONTHS = (*_SPRING, "july", "august", "september", "october", "november", "december")
_MONTH = {name: n for n, name in enumerate(MONTHS, start=1)} | {
    name[:3]: n for n, name in enumerate(MONTHS, start=1)
}
# Words of neighbours that slip into English notes.
_OTHER_DAYS = {"gestern": -1, "heute": 0, "ayer": -1, "hoy": 0, "vorgestern": -2}
_MIDDLE = {"morning": 10, "afternoon": 15}  # half past that
DAY_OPENERS = (
    frozenset(_WEEKDAY)
    | frozenset(_SHORT_WEEKDAY)
    | frozenset(_MONTH)
    | frozenset(_OTHER_DAYS)
    | TAGS.day_openers
)
"""Words that a day may begin with."""
# A leap year, so that 29 February is a day; the right year is found when the moment is resolved.
NO_YEAR = 4


def read_day(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read a day, a part of a day, or both, at `i`."""
    start = pieces[i].start
    word = word_at(pieces, i)

    def found(k: int, **said: object) -> tuple[Moment, int]:
        return Moment(start, pieces[k - 1].end, **said), k  # type: ignore[arg-type]

    j = i + 1 if word == "the" else i
    if word_at(pieces, j) == "day" and words_match(pieces, j, ("day", "before", "yesterday")):
        return found(j + 3, days=-2)
    if word_at(pieces, j) == "night" and words_match(pieces, j, ("night", "before", "last")):
        return found(j + 3, days=-2, part="night")
    if word in ("yesterday", "yesterday's", "today", "today's"):
        days = -1 if word.startswith("y") else 0
        part = word_at(pieces, i + 1)
        return found(i + 2, days=days, part=part) if part in TAGS.parts else found(i + 1, days=days)
    if word == "overnight" and word_at(pieces, i + 1) in ("", ",", ".", "\n", "and"):
        return found(i + 1, hour=3, padded=True)
    if word == "first" and word_at(pieces, i + 1) == "thing":
        return found(i + 2, part="morning")
    if word in ("mid", "late", "early") and word_at(pieces, i + 1) in TAGS.parts:
        part = word_at(pieces, i + 1)
        if word == "mid" and part in _MIDDLE:
            return found(i + 2, hour=_MIDDLE[part], minute=30, padded=True)
        return found(i + 2, part=part)
    if (
        word == "the"
        and words_match(pieces, i, ("the", "day", "before"))
        and word_at(pieces, i + 3) in ("", ":", ",", "at")
    ):
        return found(i + 3, days=-1)
    if word in _OTHER_DAYS:
        return found(i + 1, days=_OTHER_DAYS[word])
    if word == "earlier" and word_at(pieces, i + 1) in ("today", "this"):
        later = read_day(pieces, i + 1)
        return None if later is None else found(later[1], days=later[0].days, part=later[0].part)
    if word == "all" and word_at(pieces, i + 1) in TAGS.parts | {"day"}:
        return found(i + 2, part=word_at(pieces, i + 1).replace("day", "morning"))
    return _read_part(pieces, i) or _read_weekday(pieces, i) or read_counted_day(pieces, i)


def _read_part(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read a part of a day by its words: "last night", "this am", "in the evening", "morning:"."""
    word, after, third = (word_at(pieces, i + k) for k in range(3))

    def found(k: int, **said: object) -> tuple[Moment, int]:
        return Moment(pieces[i].start, pieces[k - 1].end, **said), k  # type: ignore[arg-type]

    if word == "last" and after in ("night", "night's", "nights"):
        return found(i + 2, days=-1, part="night")
    if word in ("tonight", "tonight's"):
        return found(i + 1, days=0, part="tonight")
    if word == "this" and (after in _HALVES or after in TAGS.parts):
        return found(i + 2, days=0, part=_HALVES.get(after, after))
    if word in ("in", "of") and after == "the" and third in TAGS.parts:
        return found(i + 3, part=third)
    if word == "in" and after in ("morning", "afternoon", "evening", "night"):
        return found(i + 2, part=after)
    if (word, after) in (("before", "bed"), ("at", "bedtime"), ("at", "night")):
        return found(i + 2, part="night")
    numbered = i > 0 and getattr(pieces[i - 1], "kind", "") in ("number", "clock")  # "7 o'clock morning"
    if word in TAGS.parts and (after == ":" or numbered or _heads_tale(pieces, i)):
        return found(i + 1, part=word)
    return None


def _heads_tale(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether a part of the day opens what was had in it: "evening only fruits", "morning 2 idli"."""
    opened = [k for k in range(len(pieces)) if word_at(pieces, k) in TAGS.parts and _opens(pieces, k)]
    if i not in opened or len(opened) > 1:
        return i in opened  # "morning idli, afternoon rice, night chapati"
    counted = getattr(pieces[i + 1], "kind", "") == "number" if i + 1 < len(pieces) else False
    return word_at(pieces, i + 1) in TAGS.behind_part_of_day or (counted and word_at(pieces, i) != "night")


def _opens(pieces: Sequence[Piece], i: int) -> bool:
    return not i or word_at(pieces, i - 1) in TAGS.before_part


_LAST_WEEK = -7
_HALVES = {"am": "morning", "pm": "afternoon"}


def read_counted_day(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "3 days ago" or "2 March" at `i`."""
    return _read_days_ago(pieces, i) or _read_date(pieces, i)


def _read_weekday(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    led = words_match(pieces, i, ("last", "week"))
    j = i + 2 * led
    while j - i < 3 and word_at(pieces, j) in ("on", "last", "this"):
        j += 1
    word = word_at(pieces, j)
    number = _WEEKDAY.get(word)
    if (
        number is None and word in _SHORT_WEEKDAY and (j > i or _is_timed(pieces, j + 1))
    ):  # "on sat", "sat 8am"
        number = _SHORT_WEEKDAY[word]
    if number is None:
        return None
    back = any(word_at(pieces, k) == "last" for k in range(i, j))
    part = word_at(pieces, j + 1)
    end = j + 2 if part in TAGS.parts else j + 1
    said = part if part in TAGS.parts else ""
    of_last = any(words_match(pieces, end, (*of, "last", "week")) for of in ((), ("of",)))
    end += of_last * (3 if word_at(pieces, end) == "of" else 2)
    week = _LAST_WEEK if of_last or led else None
    return Moment(pieces[i].start, pieces[end - 1].end, days=week, weekday=number, back=back, part=said), end


def _is_timed(pieces: Sequence[Piece], i: int) -> bool:
    word = word_at(pieces, i)
    return word == ":" or word in SLOT_WORDS or read_clock(pieces, i, prefixed=False) is not None


def _read_days_ago(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    number = (1.0, i + 1) if word_at(pieces, i) == "a" else read_number(pieces, i)
    if number is None or word_at(pieces, number[1] + 1) != "ago":
        return None
    per = {"day": 1, "days": 1, "week": 7, "weeks": 7}.get(word_at(pieces, number[1]))
    if per is None or not 0 < number[0] * per <= 60 or number[0] != int(number[0]):
        return None
    end = number[1] + 2
    return Moment(pieces[i].start, pieces[end - 1].end, days=-int(number[0]) * per), end


def _read_date(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "2 March", "on the 2nd of March" or "March 2"."""
    j = i
    while j - i < 3 and word_at(pieces, j) in ("on", "the"):
        j += 1
    if word_at(pieces, j) in _MONTH:
        day = _day_number(pieces, j + 1)
        month, end = _MONTH[word_at(pieces, j)], j + 1 if day is None else day[1]
    else:
        day = _day_number(pieces, j)
        if day is None:
            return None
        k = day[1] + 1 if word_at(pieces, day[1]) == "of" else day[1]
        if word_at(pieces, k) not in _MONTH:
            return None
        month, end = _MONTH[word_at(pieces, k)], k + 1
    if day is None:
        return None
    year = _year(pieces, end)
    end += year is not None
    try:
        on = date(year or NO_YEAR, month, day[0])
    except ValueError:
        return None
    return Moment(pieces[i].start, pieces[end - 1].end, on=on), end


def _year(pieces: Sequence[Piece], i: int) -> int | None:
    """Read the year behind a day ("3 March 1999"), where the number counts nothing."""
    piece = pieces[i] if i < len(pieces) else None
    if not isinstance(piece, Token) or not re.fullmatch(r"(?:19|20)\d\d", piece.text):
        return None
    return None if is_unit(word_at(pieces, i + 1)) else int(piece.number)


def _day_number(pieces: Sequence[Piece], i: int) -> tuple[int, int] | None:
    piece = pieces[i] if i < len(pieces) else None
    if not isinstance(piece, Token) or not (piece.text.isdecimal() and len(piece.text) <= 2):
        return None
    end = i + 2 if word_at(pieces, i + 1) in ("st", "nd", "rd", "th") else i + 1
    return int(piece.number), end

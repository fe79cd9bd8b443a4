"""Lengths of time as people say them -> minutes: 20 min, half an hour, an hour and a half, 1 h 20."""

from collections.abc import Sequence

from bot.understanding.pieces.numerals import read_and_part, read_number, read_share
from bot.understanding.pieces.pieces import Piece, word_at
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

LEAST_METRES = 200  # "rowing 2000m" is no length of time
_PAST_THE_HOUR = frozenset({5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 45.0, 50.0})


def read_length(pieces: Sequence[Piece], i: int) -> tuple[float, int] | None:
    """Read a length of time in minutes: 20 min, half an hour, an hour and a half, 1 h 20."""
    value = read_share(pieces, i) or read_number(pieces, i)
    if value is None and word_at(pieces, i) in ("hour", "hr"):
        return _from_bare_hour(pieces, i)
    value = value or _read_article(pieces, i)
    if value is None or value[0] < 0:
        return None
    number, j = value
    extra = read_and_part(pieces, j)
    if extra is not None:
        number, j = number + extra[0], extra[1]
    j += word_at(pieces, j) == "ish"  # "20ish min"
    unit = word_at(pieces, j)
    if unit == "m" and number >= LEAST_METRES:
        return None
    if unit in TAGS.minute_words:
        return number, j + 1
    if unit not in TAGS.hour_words:
        return None
    return _with_minutes(pieces, j + 1, number)


def _from_bare_hour(pieces: Sequence[Piece], i: int) -> tuple[float, int] | None:
    """Read "hour later", "hour and a half" and "hour ten"."""
    extra = read_and_part(pieces, i + 1)
    if extra is not None:
        return 60 + extra[0] * 60, extra[1]
    if word_at(pieces, i + 1) in TAGS.sides:
        return 60.0, i + 1
    rest = read_number(pieces, i + 1)
    if rest is None or rest[0] not in _PAST_THE_HOUR:
        return None
    return (
        None if word_at(pieces, rest[1]) in TAGS.minute_words | TAGS.hour_words else (60.0 + rest[0], rest[1])
    )


def _read_article(pieces: Sequence[Piece], i: int) -> tuple[float, int] | None:
    """Read the number that stands in "an" hour and "a couple of" hours."""
    if word_at(pieces, i) not in ("a", "an"):
        return None
    if word_at(pieces, i + 1) != "couple":
        return 1.0, i + 1
    return 2.0, i + 3 if word_at(pieces, i + 2) == "of" else i + 2


def _with_minutes(pieces: Sequence[Piece], j: int, number: float) -> tuple[float, int]:
    """Return so many hours with the minutes behind them: an hour "and a half", 1 h "20"."""
    minutes = number * 60
    extra = read_and_part(pieces, j)
    if extra is not None:
        return minutes + extra[0] * 60, extra[1]
    if (
        word_at(pieces, j) == "and"
        and word_at(pieces, j + 1) == "half"
        and word_at(pieces, j + 2) in TAGS.ends
    ):
        return minutes + 30, j + 2  # "an hour and half"
    k = j + 1 if word_at(pieces, j) == "and" else j
    rest = read_number(pieces, k)
    if rest is not None and 0 < rest[0] < 60 and rest[0] == int(rest[0]) and number == int(number):
        if word_at(pieces, rest[1]) in TAGS.minute_words:
            return minutes + rest[0], rest[1] + 1
        glued = pieces[k]
        ends = rest[0] % 5 == 0 and word_at(pieces, rest[1]) in TAGS.ends
        if ends or (isinstance(glued, Token) and glued.glued):
            return minutes + rest[0], rest[1]  # "1h20", "1hr 15, then soup"
    return minutes, j
